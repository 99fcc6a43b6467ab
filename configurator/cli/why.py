"""`headwright why`: why nothing fits, or why a part or a build is out, and what would help."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import format_option
from configurator.cli.question import puts_question
from configurator.cli.terminal import ProgressLine, put, table_width
from configurator.errors import UsageError

if TYPE_CHECKING:
    from configurator.request.question import Question
    from configurator.workshop.workshop import Workshop


@click.command(
    short_help="Why nothing fits, or a part or build is out, and what would help.",
    epilog="""\b
Examples:
  headwright why grip-mortar grip-dots
  headwright why lid-sealant lid-bead --part stator=nbr-s
  headwright why probe-grease plug-grease --build 1""",
)
@puts_question(strict="it explains what rules builds out, which marginal ones are not")
@click.option("--part", metavar="SLOT=PART", help="Why this part is out, or what it leaves.")
@click.option(
    "--build",
    "build",
    metavar="RANK|PARTS",
    help='A rank of the list, or "slot=part, slot=part".',
)
@click.option(
    "--limit",
    metavar="N",
    type=click.IntRange(1, 20),
    default=3,
    show_default=True,
    help="Most reasons to tell.",
)
@click.option("--quick", is_flag=True, help="Leave out remedies and break points.")
@format_option("table", "json")
@click.pass_context
def why(
    ctx: click.Context,
    /,
    *,
    workshop: Workshop,
    question: Question,
    part: str | None,
    build: str | None,
    limit: int,
    quick: bool,
    form: str,
) -> None:
    """Explain MATERIAL and PROCESS: why nothing fits, and what would bring a build back.

    With --part or --build: why that is out, or how far it is from breaking. Every change that
    is suggested was solved again and has builds.
    """
    from configurator.explain.why import why as explain
    from configurator.report.why import why_json, why_text

    if part is not None and build is not None:
        raise UsageError("give --part or --build, not both")
    answer = workshop.answer(question)
    asked = _asked(part, build)
    if build is not None and build.strip().isdecimal():
        asked = {slot: each.name for slot, each in answer.build(int(build)).parts.items()}
    with ProgressLine() as line:
        found = explain(
            answer, asked, limit=limit, search=not quick, progress=lambda at: line(f"trying {at}")
        )
    put(why_json(found) if form == "json" else why_text(found, table_width()))
    ctx.exit(0 if found.count else 1)


def _asked(part: str | None, build: str | None) -> Mapping[str, str]:
    from configurator.explain.chosen import read_parts

    if part is not None:
        asked = read_parts(part, "--part")
        if len(asked) != 1:
            raise UsageError("--part: one SLOT=PART; use --build for several")
        return asked
    if build is not None and not build.strip().isdecimal():
        return read_parts(build)
    return {}
