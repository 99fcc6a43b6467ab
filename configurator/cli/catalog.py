"""`headwright catalog` and `examples`: what heads are built from, and what they can be asked for."""

from __future__ import annotations

from pathlib import Path

import click

from configurator.cli.catalog_tables import export, import_, new
from configurator.cli.completion import slots
from configurator.cli.opening import (
    catalog_option,
    check_slots,
    examples_folder,
    format_option,
    open_catalog,
    shipped_processes,
    stand_ins_line,
)
from configurator.cli.terminal import complain, put, table_width
from configurator.errors import CatalogError, shown


@click.group(
    epilog="""\b
Example:
  headwright catalog check --catalog my-catalog"""
)
def catalog() -> None:
    """Begin, fill, audit or list a catalog of parts."""


for each in (new, import_, export):
    catalog.add_command(each)


@catalog.command(
    short_help="Audit a catalog.",
    epilog="""\b
Example:
  headwright catalog check --catalog my-catalog""",
)
@catalog_option
@format_option()
@click.pass_context
def check(ctx: click.Context, folder: Path | None, form: str) -> None:
    """Audit a catalog: exit 3 if it has an error; warnings are shown and pass."""
    from configurator.catalog.audit import audit
    from configurator.catalog.load import catalog_folder, read_catalog, shipped_folder
    from configurator.report.catalog import audit_csv, audit_json, audit_table

    path, where = catalog_folder(folder)
    opened, faults = read_catalog(path, substances=shipped_folder() / "substances", where=where)
    if faults or opened is None:
        # What can be read is asked what one part alone can be asked: one round of mending less.
        complain(*(fault.line() for fault in faults))
        if opened is not None:
            complain(*(shown(note.line(), 400) for note in audit(opened, alone=True)))
            complain("checks between parts wait until what cannot be read is mended")
        ctx.exit(CatalogError.exit_code)
        return
    if opened.stand_ins:
        complain(stand_ins_line(opened))
    notes = audit(opened)
    if form == "json":
        put(audit_json(opened, notes))
    elif form == "csv":
        put(audit_csv(notes))
    else:
        put(audit_table(opened, notes, width=table_width()))
    ctx.exit(3 if any(note.severity == "error" for note in notes) else 0)


@catalog.command(
    epilog="""\b
Examples:
  headwright catalog show
  headwright catalog show --slot stator"""
)
@click.option(
    "--slot",
    metavar="SLOT",
    shell_complete=slots,
    help="Only this slot, with all that its parts state.",
)
@click.option("--origin", is_flag=True, help="What a catalog adds to the one that it extends.")
@catalog_option
@format_option()
def show(slot: str | None, folder: Path | None, form: str, *, origin: bool) -> None:
    """List the parts of a catalog."""
    from configurator.catalog.parts import SLOTS
    from configurator.report.catalog import origins_in, parts_csv, parts_json, parts_table

    shown_slots = SLOTS if slot is None else (slot,)
    check_slots("--slot", shown_slots)
    opened = open_catalog(folder)
    if origin:
        put(origins_in(opened, slot, form=form, width=table_width()))
    elif form == "json":
        put(parts_json(opened, shown_slots))
    elif form == "csv":
        put(parts_csv(opened, shown_slots))
    else:
        put(parts_table(opened, shown_slots, width=table_width()))


@click.command(
    epilog="""\b
Example:
  headwright examples"""
)
@format_option()
def examples(form: str) -> None:
    """List the shipped example materials and processes."""
    from configurator.report.catalog import examples_csv, examples_json, examples_table
    from configurator.request.load import load_material, material_files

    folder = examples_folder()
    materials = [
        load_material(folder / "materials" / f"{name}.toml", folder=folder)
        for name in material_files(folder)
    ]
    processes = shipped_processes()
    if form == "json":
        put(examples_json(materials, processes))
    elif form == "csv":
        put(examples_csv(materials, processes))
    else:
        put(examples_table(materials, processes, width=table_width()))
