"""`headwright measure`: which missing or wide datum, once known, settles most builds."""

from __future__ import annotations

from pathlib import Path

import click

from configurator.cli.builds import exclusions_from, picks_from
from configurator.cli.measured import open_workshop
from configurator.cli.opening import catalog_option, examples_folder
from configurator.cli.terminal import put, table_width
from configurator.cli.why import Telling


@click.command(
    short_help="Which missing or wide datum decides most, in builds settled.",
    epilog="""\b
Examples:
  headwright measure lens-adhesive lens-ring
  headwright measure my-paste.toml my-bead.toml --format json > tests.json""",
)
@click.argument("material", metavar="MATERIAL")
@click.argument("process", metavar="PROCESS")
@catalog_option
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
def measure(  # noqa: PLR0917 - click passes options by name
    ctx: click.Context,
    material: str,
    process: str,
    folder: Path | None,
    picks: tuple[str, ...],
    without: tuple[str, ...],
    form: str,
) -> None:
    """Rank what could be measured of MATERIAL by the builds that knowing it would settle.

    The request is solved again with each datum at either end of what it may be.
    """
    from configurator.explain.measure import measurements
    from configurator.report.measure import measure_json, measure_text
    from configurator.request.load import load_material, load_process
    from configurator.request.question import Question

    examples = examples_folder()
    question = Question(
        material=load_material(material, folder=examples),
        process=load_process(process, folder=examples),
        picks=picks_from(picks),
        without=exclusions_from(without, picks_from(picks)),
    )
    answer = open_workshop(folder, None).answer(question)
    with Telling() as telling:
        found = measurements(answer, progress=telling)
    put(
        measure_json(answer, found)
        if form == "json"
        else measure_text(answer, found, table_width())
    )
    ctx.exit(0 if answer.count else 1)
