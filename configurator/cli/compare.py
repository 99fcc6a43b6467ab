"""`headwright compare`: two to four builds side by side, differences first."""

from __future__ import annotations

from pathlib import Path

import click

from configurator.cli.builds import exclusions_from, picks_from
from configurator.cli.measured import open_workshop
from configurator.cli.opening import catalog_option, examples_folder
from configurator.cli.terminal import put, table_width


@click.command(
    short_help="Put builds side by side, differences first.",
    epilog="""\b
Examples:
  headwright compare probe-grease plug-grease --build 1 --build 40
  headwright compare lid-sealant lid-bead --build 1 --build 2 --build 3 --format json""",
)
@click.argument("material", metavar="MATERIAL")
@click.argument("process", metavar="PROCESS")
@catalog_option
@click.option(
    "--build",
    "named",
    metavar="RANK|PARTS",
    multiple=True,
    help='A rank of the list, or "slot=part, slot=part"; two to four times.',
)
@click.option(
    "--pick",
    "picks",
    metavar="SLOT=PART",
    multiple=True,
    help="Only builds with this part; once a slot.",
)
@click.option(
    "--without",
    metavar="SLOT=PART",
    multiple=True,
    help="No builds with this part; as often as you like.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="How to print the data.",
)
@click.pass_context
def compare(  # noqa: PLR0917 - click passes options by name
    ctx: click.Context,
    material: str,
    process: str,
    folder: Path | None,
    named: tuple[str, ...],
    picks: tuple[str, ...],
    without: tuple[str, ...],
    form: str,
) -> None:
    """Compare two to four builds for MATERIAL and PROCESS: parts, figures, and every rule.

    The exit code is 1 if one of them is ruled out.
    """
    from configurator.explain.compare import compare as side_by_side
    from configurator.report.compare import compare_json, compare_text
    from configurator.request.load import load_material, load_process
    from configurator.request.question import Question
    from configurator.rules.finding import State

    examples = examples_folder()
    question = Question(
        material=load_material(material, folder=examples),
        process=load_process(process, folder=examples),
        picks=picks_from(picks),
        without=exclusions_from(without, picks_from(picks)),
    )
    answer = open_workshop(folder, None).answer(question)
    found = side_by_side(answer, named)
    put(
        compare_json(answer, found)
        if form == "json"
        else compare_text(answer, found, table_width())
    )
    ctx.exit(1 if any(build.state is State.RULED_OUT for build in found.builds) else 0)
