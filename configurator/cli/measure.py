"""`headwright measure`: which missing or wide datum, once known, settles most builds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from configurator.cli.opening import format_option
from configurator.cli.question import puts_question
from configurator.cli.terminal import ProgressLine, put, table_width

if TYPE_CHECKING:
    from configurator.request.question import Question
    from configurator.workshop.workshop import Workshop


@click.command(
    short_help="Which missing or wide datum decides most, in builds settled.",
    epilog="""\b
Examples:
  headwright measure lens-adhesive lens-ring
  headwright measure my-paste.toml my-bead.toml --format json > tests.json""",
)
@puts_question(strict="it is about builds that are not shown to fit")
@format_option("table", "json")
@click.pass_context
def measure(ctx: click.Context, workshop: Workshop, question: Question, form: str) -> None:
    """Rank what could be measured of MATERIAL by the builds that knowing it would settle.

    The question is put again with each datum at either end of what it may be.
    """
    from configurator.explain.measure import measurements
    from configurator.report.measure import measure_json, measure_text

    answer = workshop.answer(question)
    with ProgressLine() as line:
        found = measurements(answer, progress=lambda at: line(f"trying {at}"))
    put(
        measure_json(answer, found)
        if form == "json"
        else measure_text(answer, found, table_width())
    )
    ctx.exit(0 if answer.count else 1)
