"""`headwright gaps`: what a catalog lacks for a list of materials, and what it has in vain."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from configurator.cli.asked import asked_processes, list_options, process_option
from configurator.cli.measured import evidence_option, open_workshop
from configurator.cli.opening import catalog_option, examples_folder, format_option
from configurator.cli.terminal import complain, put, table_width
from configurator.cli.why import Telling


@click.command(
    short_help="Which new part would serve most of a list, and idle parts.",
    epilog="""\b
Examples:
  headwright gaps list.csv --process lid-bead
  headwright gaps list.csv --process lid-bead --process bolt-dots --strict
  headwright gaps list.csv --process lens-ring --format csv > parts.csv

\b
Exit codes: 0 every row has a build; 1 one has none or was not read; 2 bad
input; 3 bad catalog.""",
)
@click.argument("source", metavar="LIST")
@process_option
@click.option("--strict", is_flag=True, help="Count only builds that fit.")
@click.option(
    "--limit",
    metavar="N",
    type=click.IntRange(1, 10_000),
    help="New parts to show; else 20 in a table, and all as JSON or CSV.",
)
@list_options
@catalog_option
@evidence_option
@format_option
@click.pass_context
def gaps(  # noqa: PLR0917 - click passes options by name
    ctx: click.Context,
    source: str,
    processes: tuple[str, ...],
    strict: bool,  # noqa: FBT001 - click passes options by name
    limit: int | None,
    list_form: Literal["csv", "jsonl"] | None,
    encoding: str | None,
    folder: Path | None,
    findings: Path | None,
    form: str,
) -> None:
    """Find which one new part would give most rows of LIST a build, and which parts serve none.

    New parts are made by rule from those of the catalog, one step beyond or between them, and
    each is judged as if it were there. They are hypothetical: nothing says that they can be made.
    """
    from configurator.screen.gaps import find_gaps
    from configurator.screen.gaps_text import exit_code, gaps_csv, gaps_json, gaps_text
    from configurator.screen.sources import open_list

    asked = asked_processes(processes)
    workshop = open_workshop(folder, findings)
    with (
        open_list(source, form=list_form, encoding=encoding, folder=examples_folder()) as entries,
        Telling() as telling,
    ):
        complain(*(told := entries.warnings))
        found = find_gaps(
            entries,
            asked,
            workshop,
            strict=strict,
            tell=telling,
        )
    complain(*(line for line in entries.warnings if line not in told))
    complain(*(f"row {each.number}, line {each.line}: {each.fault}" for each in found.unread))
    if form == "json":
        put(gaps_json(found, limit))
    elif form == "csv":
        put(gaps_csv(found, limit))
    else:
        put(gaps_text(found, table_width(), limit))
    ctx.exit(exit_code(found))
