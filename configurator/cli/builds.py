"""`headwright builds`, `shortlist` and `common`: every build, few heads, one head for several jobs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli import completion
from configurator.cli.opening import (
    check_slots,
    examples_folder,
    format_option,
    number_option,
)
from configurator.cli.question import QuestionOptions, puts_question, question_options
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
    shell_complete=completion.figures,
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


@click.command(
    short_help="Three to six heads that differ, each best for a purpose.",
    epilog="""\b
Examples:
  headwright shortlist lid-sealant lid-bead
  headwright shortlist my-paste.toml my-bead.toml --without body=hard-al
  headwright shortlist hull-paste hull-seam --format json > heads.json""",
)
@puts_question(sort="each purpose has an order of its own")
@format_option("table", "json")
@click.pass_context
def shortlist(ctx: click.Context, /, *, workshop: Workshop, question: Question, form: str) -> None:
    """Choose among all builds of the best state the head of least cost, longest life, least error.

    The others are the most robust (greatest least margin), that of least waste and the lightest;
    one head may be best for several purposes. Each says what it gives up against the next.
    """
    from configurator.report.shortlist import shortlist_json, shortlist_text
    from configurator.workshop.shortlist import shortlist_of

    answer = workshop.answer(question)
    found = shortlist_of(answer)
    put(
        shortlist_json(answer, found)
        if form == "json"
        else shortlist_text(answer, found, table_width())
    )
    ctx.exit(0 if found else 1)


@click.command(
    short_help="One head for several jobs, or the fewest heads.",
    epilog="""\b
Examples:
  headwright common jobs.csv
  headwright common jobs.csv --free outlet --free feed --free drive
  headwright common jobs.csv --pick size=h2 --strict --format json > heads.json

\b
Exit codes: 0 one head serves all; 1 none does; 2 bad input; 3 bad catalog.""",
)
@click.argument("source", metavar="PAIRS")
@question_options(sort="heads stand in an order of their own")
@click.option(
    "--free",
    "slots",
    metavar="SLOT",
    multiple=True,
    help="Slot whose part may differ from job to job; as often as you like; else outlet and feed.",
)
@number_option("--limit", low=1, high=100, default=1, words="Most heads to list that serve all.")
@format_option("table", "json")
@click.pass_context
def common(
    ctx: click.Context,
    /,
    *,
    asked: QuestionOptions,
    source: str,
    slots: tuple[str, ...],
    limit: int,
    form: str,
) -> None:
    """Find the heads that serve every row of PAIRS, each with a tip and a feed of its own.

    PAIRS is a CSV file with the columns material and process: files, from its folder on, or names
    of shipped examples. Where no head serves all, the fewest that do are listed, with what single
    change would make one do. Materials of one and of two parts are two questions, told in turn.
    """
    from configurator.report.shared_head import common_json, common_text
    from configurator.screen.pairs import read_pairs
    from configurator.units.grouped import grouped
    from configurator.workshop.heads import EXCHANGED
    from configurator.workshop.shared_head import MOST_JOBS, common_heads

    free = _free(slots) if slots else EXCHANGED
    jobs = read_pairs(Path(source), folder=examples_folder(), most=MOST_JOBS)
    groups = grouped(jobs, lambda job: job.material.two_part)
    answered = []
    for group in groups.values():
        questions = [asked.question(job.material, job.process) for job in group]
        titles = [(job.line, job.title) for job in group]
        answered.append((common_heads(asked.workshop, questions, free, limit=limit), titles))
    if form == "json":
        put(common_json(answered))
    else:
        put(common_text(answered, table_width()))
    ctx.exit(0 if len(answered) == 1 and answered[0][0].one_serves_all else 1)


def _free(names: Sequence[str]) -> tuple[str, ...]:
    from configurator.catalog.parts import SLOTS

    check_slots("--free", names)
    if len(set(names)) == len(SLOTS):
        raise UsageError("--free: nothing is left of a head; leave a slot out")
    return tuple(slot for slot in SLOTS if slot in names)
