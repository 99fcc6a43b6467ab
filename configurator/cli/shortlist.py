"""`headwright shortlist`: few heads that differ, each best for a purpose."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from configurator.cli.opening import format_option
from configurator.cli.question import puts_question
from configurator.cli.terminal import put, table_width

if TYPE_CHECKING:
    from configurator.request.question import Question
    from configurator.workshop.workshop import Workshop


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
