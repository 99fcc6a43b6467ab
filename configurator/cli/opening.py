"""Opening what a command is given: catalog, findings of the shop, shipped examples."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from configurator.cli.terminal import complain
from configurator.errors import Fault, InputError

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.chemistry.evidence import Evidence
    from configurator.workshop.workshop import Workshop

EVIDENCE_VARIABLE = "HEADWRIGHT_EVIDENCE"
"""Environment variable that names the shop's record where no option does."""

Command = TypeVar("Command", bound=Callable[..., Any])


def catalog_option(command: Command) -> Command:
    """Add `--catalog DIR`."""
    return click.option(
        "--catalog",
        "folder",
        metavar="DIR",
        type=click.Path(path_type=Path),
        help="Catalog folder; else $HEADWRIGHT_CATALOG, your own, or the shipped one.",
    )(command)


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


def format_option(
    *forms: str, words: str = "How to print the data."
) -> Callable[[Command], Command]:
    """Add `--format` with some of table, json and csv; all three if none is named."""
    return click.option(
        "--format",
        "form",
        type=click.Choice(forms or ("table", "json", "csv")),
        default="table",
        show_default=True,
        help=words,
    )


def open_catalog(folder: Path | None) -> Catalog:
    """Read the catalog that an option names, or the one that is used without it.

    Raises
    ------
    CatalogError
        With every fault of every file.
    """
    from configurator.catalog.load import catalog_folder, load_catalog, shipped_folder

    path, where = catalog_folder(folder)
    return load_catalog(path, substances=shipped_folder() / "substances", where=where)


def examples_folder() -> Path:
    """Folder of the shipped example materials and processes."""
    from configurator.catalog.load import shipped_folder

    return shipped_folder() / "examples"


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
