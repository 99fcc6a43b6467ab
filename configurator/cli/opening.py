"""Opening what a command is given: catalog, findings of the shop, shipped examples."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from configurator.cli.terminal import complain
from configurator.errors import Fault, InputError, UsageError, shown

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.chemistry.evidence import Evidence
    from configurator.request.process import Process
    from configurator.workshop.workshop import Workshop

EVIDENCE_VARIABLE = "HEADWRIGHT_EVIDENCE"
"""Environment variable that names the shop's record where no option does."""

Command = TypeVar("Command", bound=Callable[..., Any])


def check_slots(option: str, names: Iterable[str]) -> None:
    """Refuse names of an option that are no slots, each with the one that may be meant."""
    from configurator.catalog.parts import SLOTS
    from configurator.catalog.slot_words import slot_meant

    for name in names:
        if name not in SLOTS:
            raise UsageError(
                f"{option}: given '{shown(name)}'; accepted: {', '.join(SLOTS)}",
                slot_meant(name, SLOTS),
            )


def path_option(
    *names: str, words: str, metavar: str = "FILE", **more: Any
) -> Callable[[Command], Command]:
    """Add an option that names a file or folder."""
    path = click.Path(path_type=Path)
    return click.option(*names, metavar=metavar, type=path, help=words, **more)


def number_option(
    *names: str, low: int, high: int | None = None, default: int | None = None, words: str = ""
) -> Callable[[Command], Command]:
    """Add an option that takes a whole number between two ends."""
    return click.option(
        *names,
        metavar="N",
        type=click.IntRange(low, high),
        default=default,
        show_default=default is not None,
        help=words or None,
    )


catalog_option = path_option(
    "--catalog",
    "folder",
    metavar="DIR",
    words="Catalog folder; else $HEADWRIGHT_CATALOG, your own, or the shipped one.",
)

evidence_option = path_option(
    "--evidence",
    "findings",
    envvar=EVIDENCE_VARIABLE,
    words=f"The shop's own findings (`headwright evidence`); else ${EVIDENCE_VARIABLE}, or none.",
)


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
    """Read the catalog that an option names, or the one that is used without it."""
    from configurator.catalog.load import catalog_folder, load_catalog, shipped_folder

    path, where = catalog_folder(folder)
    catalog = load_catalog(path, substances=shipped_folder() / "substances", where=where)
    if catalog.stand_ins:
        complain(stand_ins_line(catalog))
    return catalog


def stand_ins_line(catalog: Catalog) -> str:
    """Say which rules of thumb a catalog leaves to the shipped ones."""
    names = catalog.stand_ins
    some = f"{', '.join(names[:3])}{f' and {len(names) - 3} more' if names[3:] else ''}"
    return f"{catalog.where}: practice: {some} not stated; the shipped rules of thumb stand in"


def examples_folder() -> Path:
    """Folder of the shipped example materials and processes."""
    from configurator.catalog.load import shipped_folder

    return shipped_folder() / "examples"


def shipped_processes() -> list[Process]:
    """Read the shipped example processes."""
    from configurator.request.load import PROCESSES, load_process, process_files

    folder = examples_folder()
    return [
        load_process(folder / PROCESSES / f"{name}.toml", folder=folder)
        for name in process_files(folder)
    ]


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


def open_workshop(
    folder: Path | None, findings: Path | None, *, in_stock: bool = False
) -> Workshop:
    """Read catalog, findings and measured heads; lines that cannot be read are told and left out.

    Raises
    ------
    CatalogError
        With every fault of every file of the catalog, or if a slot has nothing in stock.
    InputError
        If there is no record of findings where one is named.
    """
    from configurator.workshop.workshop import Workshop

    catalog = open_catalog(folder)
    if in_stock:
        catalog = catalog.in_stock()
    if findings is None:
        return Workshop(catalog)
    from configurator.workshop.head_record import load_records

    evidence = open_evidence(findings)
    heads, faults = load_records(findings)
    complain(*(fault.line() for fault in faults))
    return Workshop(catalog, evidence, heads)
