"""`headwright builds`: every valid build for a material and a process."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import format_option, number_option
from configurator.cli.question import puts_question
from configurator.cli.terminal import ProgressLine, put, table_width, wants_colour
from configurator.errors import UsageError

if TYPE_CHECKING:
    from configurator.report.builds import Page
    from configurator.request.question import Question
    from configurator.workshop.workshop import Workshop

MOST_LISTED = 10_000
"""Each build comes with all its findings; longer lists go page by page."""


@click.command(
    short_help="List every valid build for a material and a process.",
    epilog="""\b
Examples:
  headwright builds lid-sealant lid-bead
  headwright builds lid-sealant lid-bead --each --limit 5
  headwright builds my-paste.toml my-bead.toml --pick stator=fkm-l --limit 5
  headwright builds lid-sealant lid-bead --pareto cost_index,volume_error_pct
  headwright builds lid-sealant lid-bead --strict --format json > builds.json""",
)
@puts_question()
@number_option(
    "--limit", low=0, high=MOST_LISTED, default=20, words="Most heads or builds to list."
)
@number_option("--offset", low=0, default=0, words="Heads or builds to pass over first.")
@click.option("--each", is_flag=True, help="List single builds, and no heads with their tips.")
@click.option("--full", is_flag=True, help="Tell findings, gaps and cautions at length.")
@click.option(
    "--pareto",
    metavar="FIGURE,FIGURE",
    help="Only builds that no other build beats in all of two to four figures.",
)
@format_option()
@click.pass_context
def builds(
    ctx: click.Context,
    /,
    *,
    workshop: Workshop,
    question: Question,
    limit: int,
    offset: int,
    each: bool,
    full: bool,
    pareto: str | None,
    form: str,
) -> None:
    """List every valid head for MATERIAL and PROCESS, best first, with its tips and feeds.

    MATERIAL and PROCESS are files, or names of shipped examples (`headwright examples`).
    States: fits holds over the whole stated range; marginal at nominal or by little;
    unproven lacks data, and says which.
    """
    from configurator.report.builds import front_page, heads_page, page_of
    from configurator.workshop.figures import figure_named

    traded = [
        figure_named(name.strip(), option="--pareto")
        for name in (pareto or "").split(",")
        if pareto
    ]
    if traded and offset:
        raise UsageError("--offset: a trade-off has one page; leave out --pareto or --offset")
    answer = workshop.answer(question)
    if traded:
        with ProgressLine() as line:
            page = front_page(answer, traded, limit=limit, progress=partial(_told, line))
    elif each or form == "csv":
        page = page_of(answer, offset=offset, limit=limit)
    else:
        page = heads_page(answer, offset=offset, limit=limit)
        if form == "json":
            page = replace(page, builds=answer.builds(offset=offset, limit=limit))
    put(_text(page, form, full=full))
    ctx.exit(0 if page.total else 1)


def _told(line: ProgressLine, done: int, total: int, found: int) -> None:
    line(f"trade-off: {done} of {total}, {found} builds so far")


def _text(page: Page, form: str, *, full: bool) -> str:
    from configurator.report.builds import builds_csv, builds_json
    from configurator.report.heads import heads_table
    from configurator.report.table import builds_table

    if form == "json":
        return builds_json(page)
    if form == "csv":
        return builds_csv(page)
    if page.heads and not full:
        return heads_table(page, width=table_width(), colour=wants_colour())
    return builds_table(page, width=table_width(), colour=wants_colour())
