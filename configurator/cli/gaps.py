"""`headwright gaps`: what a catalog lacks for a list of materials, and what it has in vain."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from configurator.cli.opening import examples_folder, format_option, number_option
from configurator.cli.question import (
    QuestionOptions,
    crew_of,
    crew_options,
    list_options,
    question_options,
    read_processes,
)
from configurator.cli.terminal import ProgressLine, complain, put, table_width
from configurator.errors import UsageError


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
@list_options
@question_options(sort="it lists no builds")
@number_option(
    "--limit",
    low=1,
    high=10_000,
    words="New parts to show; else 20 in a table, and all as JSON or CSV.",
)
@crew_options
@click.option(
    "--keep",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Keep what is found, chunk by chunk, so that a search that was ended can go on.",
)
@click.option("--resume", is_flag=True, help="Go on with the file of --keep.")
@format_option()
@click.pass_context
def gaps(
    ctx: click.Context,
    /,
    *,
    asked: QuestionOptions,
    source: str,
    processes: tuple[str, ...],
    limit: int | None,
    list_form: Literal["csv", "jsonl"] | None,
    encoding: str | None,
    workers: int,
    cluster: str | None,
    keep: Path | None,
    resume: bool,
    form: str,
) -> None:
    """Find which one new part would give most rows of LIST a build, and which parts serve none.

    New parts are made by rule from those of the catalog, one step beyond or between them, and
    each is judged as if it were there. They are hypothetical: nothing says that they can be made.
    """
    from configurator.screen.gap_search import GapsAsked
    from configurator.screen.gaps import find_gaps
    from configurator.screen.gaps_kept import GapsKept
    from configurator.screen.gaps_text import exit_code, gaps_csv, gaps_json, gaps_text
    from configurator.screen.sources import open_list

    if resume and keep is None:
        raise UsageError("--resume wants the file of --keep")
    read = read_processes(processes)
    crew = crew_of(workers, cluster)
    workshop = asked.workshop.keeping(asked.picks, asked.without)
    with (
        open_list(source, form=list_form, encoding=encoding, folder=examples_folder()) as entries,
        ProgressLine() as line,
    ):
        complain(*(told := entries.warnings))
        question = GapsAsked(read, workshop, frozenset(asked.picks), asked.strict)
        store = None if keep is None else GapsKept(keep, question, resume=resume)
        found = find_gaps(entries, question, crew, line, store)
    complain(*(line for line in entries.warnings if line not in told))
    complain(*(f"row {each.number}, line {each.line}: {each.fault}" for each in found.unread))
    if form == "json":
        put(gaps_json(found, limit))
    elif form == "csv":
        put(gaps_csv(found, limit))
    else:
        put(gaps_text(found, table_width(), limit))
    ctx.exit(exit_code(found))
