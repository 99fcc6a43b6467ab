"""`headwright common`: one head for several jobs, or the fewest heads."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from configurator.cli.opening import examples_folder, format_option, number_option
from configurator.cli.question import QuestionOptions, question_options
from configurator.cli.terminal import put, table_width
from configurator.errors import UsageError, shown


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
    of shipped examples, all of one part. Where no head serves all, the fewest that do are
    listed, with what single change would make one do.
    """
    from configurator.report.shared_head import common_json, common_text
    from configurator.screen.pairs import read_pairs
    from configurator.workshop.heads import EXCHANGED
    from configurator.workshop.shared_head import MOST_JOBS, common_heads

    free = _free(slots) if slots else EXCHANGED
    jobs = read_pairs(Path(source), folder=examples_folder(), most=MOST_JOBS)
    questions = [asked.question(job.material, job.process) for job in jobs]
    found = common_heads(asked.workshop, questions, free, limit=limit)
    titles = [(job.line, job.title) for job in jobs]
    if form == "json":
        put(common_json(found, titles))
    else:
        put(common_text(found, titles, table_width()))
    ctx.exit(0 if found.count else 1)


def _free(names: Sequence[str]) -> tuple[str, ...]:
    """The slots that are named."""
    from configurator.catalog.parts import SLOTS
    from configurator.catalog.slot_words import slot_meant

    for name in names:
        if name not in SLOTS:
            raise UsageError(
                f"--free: given '{shown(name)}'; accepted: {', '.join(SLOTS)}",
                slot_meant(name, SLOTS),
            )
    if len(set(names)) == len(SLOTS):
        raise UsageError("--free: nothing is left of a head; leave a slot out")
    return tuple(slot for slot in SLOTS if slot in names)
