"""The shop's own findings as an option of a command, and opening them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from configurator.cli.terminal import complain
from configurator.errors import Fault, InputError, did_you_mean, shown

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.chemistry.evidence import Evidence, EvidenceRecord
    from configurator.request.material import Material

EVIDENCE_VARIABLE = "HEADWRIGHT_EVIDENCE"
"""Environment variable that names the shop's record where no option does."""

Command = TypeVar("Command", bound=Callable[..., Any])


def evidence_option(command: Command) -> Command:
    """Add `--evidence FILE`."""
    return click.option(
        "--evidence",
        "findings",
        metavar="FILE",
        type=click.Path(path_type=Path),
        envvar=EVIDENCE_VARIABLE,
        help=f"The shop's own findings (`headwright evidence`); else ${EVIDENCE_VARIABLE}, or none.",
    )(command)


def open_evidence(path: Path | None) -> Evidence | None:
    """Read the record that an option names; lines that cannot be read are told and left out.

    Raises
    ------
    InputError
        If there is no such file: a slip in its name must not pass for a shop without findings.
    """
    from configurator.chemistry.evidence import load_evidence

    if path is None:
        return None
    if not path.exists():
        accepted = "a record of findings, as `headwright evidence add` makes it"
        raise InputError([Fault(str(path), "file", "no such file", accepted)])
    evidence = load_evidence(path)
    complain(*(fault.line() for fault in evidence.faults))
    return evidence


def tell_strangers(records: Iterable[EvidenceRecord], catalog: Catalog) -> None:
    """Say on standard error which findings speak of nothing that the catalog holds."""
    from configurator.catalog.parts import SLOTS, wetted_codes

    wetted = catalog.substances.wetted
    made_of = {
        (code, part.name)
        for slot in SLOTS
        for part in catalog.slot(slot)
        for _, code in wetted_codes(part)
    }
    lines: dict[str, None] = {}
    for record in records:
        code, compound = record.material, record.grade_name
        if code not in wetted:
            hint = did_you_mean(code, wetted)
            line = f"finding on '{shown(code)}': no wetted material of that code is known"
            lines[f"{line}; {hint}" if hint else line] = None
        elif compound and (code, compound) not in made_of:
            lines[
                f"finding on {code} of grade '{shown(compound)}': no part of that name is made of "
                "it, so the finding counts for none; leave the grade out if it stands for all"
            ] = None
    complain(*lines)


def measured_heads(catalog: Catalog, findings: Path | None, material: Material) -> Catalog:
    """Put measured displacement and slip of trialled heads in place of the catalog's."""
    if findings is None:
        return catalog
    from configurator.trial.measured_head import with_records
    from configurator.trial.record import load_records

    records, faults = load_records(findings)
    complain(*(fault.line() for fault in faults))
    return with_records(catalog, records, material)
