"""The shop's own findings as an option of a command, and opening them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from configurator.cli.opening import examples_folder, open_catalog
from configurator.cli.terminal import complain
from configurator.errors import Fault, InputError, did_you_mean, nearest, shown

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.chemistry.evidence import Evidence, EvidenceRecord
    from configurator.workshop.workshop import Workshop

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


def open_evidence(path: Path) -> Evidence:
    """Read the record that an option names; lines that cannot be read are told and left out.

    Raises
    ------
    InputError
        If there is no such file: a slip in its name must not pass for a shop without findings.
    """
    from configurator.chemistry.evidence import load_evidence

    if not path.exists():
        accepted = "a record of findings, as `headwright evidence add` makes it"
        raise InputError([Fault(str(path), "file", "no such file", accepted)])
    evidence = load_evidence(path)
    complain(*(fault.line() for fault in evidence.faults))
    return evidence


def tell_strangers(records: Iterable[EvidenceRecord], catalog: Catalog) -> None:
    """Say on standard error which findings speak of nothing that is known."""
    from configurator.catalog.parts import SLOTS, wetted_codes

    records = tuple(records)
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
    complain(*lines, *_strange_substances(records, catalog))


def _strange_substances(records: Iterable[EvidenceRecord], catalog: Catalog) -> list[str]:
    """A line for each substance under a name that neither tables nor shipped materials know.

    It may be the name of a material file of the shop's own; a slip of the pen looks the same,
    and would be a finding that counts for nothing.
    """
    from configurator.chemistry.spelling import unknown_constituent

    known = catalog.substances.by_spelling
    names = {
        folded: record.substance
        for record in records
        if (folded := " ".join(record.substance.split()).casefold()) not in known
    }
    products = _products() if names else frozenset[str]()
    lines = []
    for folded, name in names.items():
        if folded in products:
            continue
        whole = [f"{name} a", f"{name} b"] if f"{folded} a" in products else []
        same = catalog.substances.find(name)
        if same is not None:
            meant = [same.title]
        else:
            near = [*nearest(name, products, 1), *unknown_constituent(name, catalog.substances)]
            meant = whole or near[:3]
        line = (
            f"finding on substance '{shown(name)}': neither a constituent nor a shipped material of "
            "that name, so it counts for a material file of exactly that name alone"
        )
        lines.append(f"{line}; did you mean {' or '.join(meant)}?" if meant else line)
    return lines


def _products() -> frozenset[str]:
    """Names under which a whole shipped material may stand; a side by itself where it has two."""
    from configurator.reading import ReadFault, read_toml
    from configurator.request.load import MATERIALS, material_files

    found: set[str] = set()
    folder = examples_folder()
    for name in material_files(folder):
        try:
            tables, _ = read_toml(folder / MATERIALS / f"{name}.toml")
        except ReadFault:  # a shipped file that cannot be read is told by the command that needs it
            continue
        found |= {f"{name} a", f"{name} b"} if "mix" in tables else {name}
    return frozenset(found)


def open_workshop(folder: Path | None, findings: Path | None) -> Workshop:
    """Read catalog, findings and measured heads; lines that cannot be read are told and left out.

    Raises
    ------
    CatalogError
        With every fault of every file of the catalog.
    InputError
        If there is no record of findings where one is named.
    """
    from configurator.workshop.workshop import Workshop

    catalog = open_catalog(folder)
    if findings is None:
        return Workshop(catalog)
    from configurator.workshop.head_record import load_records

    evidence = open_evidence(findings)
    heads, faults = load_records(findings)
    complain(*(fault.line() for fault in faults))
    return Workshop(catalog, evidence, heads)
