"""`headwright catalog`: what heads are built from, and whether it holds together."""

from __future__ import annotations

from pathlib import Path

import click

from configurator.cli.opening import catalog_option, format_option, open_catalog
from configurator.cli.terminal import put, table_width
from configurator.errors import UsageError, did_you_mean


@click.group(
    epilog="""\b
Example:
  headwright catalog check --catalog my-catalog"""
)
def catalog() -> None:
    """Audit a catalog, or list its parts."""


@catalog.command(
    short_help="Audit a catalog.",
    epilog="""\b
Example:
  headwright catalog check --catalog my-catalog""",
)
@catalog_option
@format_option
@click.pass_context
def check(ctx: click.Context, folder: Path | None, form: str) -> None:
    """Audit a catalog: exit 3 if it has an error; warnings are shown and pass."""
    from configurator.catalog.audit import audit
    from configurator.report.audit import audit_csv, audit_json, audit_table

    opened = open_catalog(folder)
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
@click.option("--slot", metavar="SLOT", help="Only this slot, with all that its parts state.")
@catalog_option
@format_option
def show(slot: str | None, folder: Path | None, form: str) -> None:
    """List the parts of a catalog."""
    from configurator.catalog.parts import SLOTS
    from configurator.report.parts import parts_csv, parts_json, parts_table

    if slot is not None and slot not in SLOTS:
        raise UsageError(
            f"--slot: given '{slot}'; accepted: {', '.join(SLOTS)}", did_you_mean(slot, SLOTS)
        )
    slots = SLOTS if slot is None else (slot,)
    opened = open_catalog(folder)
    if form == "json":
        put(parts_json(opened, slots))
    elif form == "csv":
        put(parts_csv(opened, slots))
    else:
        put(parts_table(opened, slots, width=table_width()))
