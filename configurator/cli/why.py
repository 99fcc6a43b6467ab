"""`headwright why`, `compare` and `measure`: what explains an answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import format_option, number_option
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
@number_option("--limit", low=1, high=20, default=3, words="Most reasons to tell.")
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
