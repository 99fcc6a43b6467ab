"""`headwright compare`: two to four builds side by side, differences first."""

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
    short_help="Put builds side by side, differences first.",
    epilog="""\b
Examples:
  headwright compare probe-grease plug-grease --build 1 --build 40
  headwright compare lid-sealant lid-bead --build 1 --build 2 --build 3 --format json""",
)
@puts_question()
@click.option(
    "--build",
    "named",
    metavar="RANK|PARTS",
    multiple=True,
    help='A rank of the list, or "slot=part, slot=part"; two to four times.',
)
@format_option("table", "json")
@click.pass_context
def compare(
    ctx: click.Context,
    /,
    *,
    workshop: Workshop,
    question: Question,
    named: tuple[str, ...],
    form: str,
) -> None:
    """Compare two to four builds for MATERIAL and PROCESS: parts, figures, and every rule.

    The exit code is 1 if one of them is ruled out, or does not fit and --strict is given.
    """
    from configurator.explain.compare import compare as compared
    from configurator.report.compare import compare_json, compare_text

    answer = workshop.answer(question)
    found = compared(answer, named)
    put(
        compare_json(answer, found)
        if form == "json"
        else compare_text(answer, found, table_width())
    )
    ctx.exit(0 if all(build.state in answer.levels for build in found.builds) else 1)
