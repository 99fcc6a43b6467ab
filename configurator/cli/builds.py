"""`headwright builds`: every valid build for a material and a process."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.measured import evidence_option, open_workshop
from configurator.cli.opening import catalog_option, examples_folder, format_option
from configurator.cli.terminal import put, table_width, wants_colour, watched
from configurator.errors import UsageError, shown

if TYPE_CHECKING:
    from configurator.report.page import Page

SORT_FIGURES = (
    "cost_index",
    "speed_low_rpm",
    "speed_high_rpm",
    "back_pressure_bar",
    "torque_nm",
    "volume_error_pct",
    "shot_revolutions",
    "head_mass_kg",
    "time_pressure_error_pct",
    "mixing_cov",
    "residence_s",
    "purge_waste_ml",
)
"""For the help alone, which must not import what knows them."""


MOST_LISTED = 10_000
"""Each build comes with all its findings; longer lists go page by page."""


@click.command(
    short_help="List every valid build for a material and a process.",
    epilog="""\b
Examples:
  headwright builds lid-sealant lid-bead
  headwright builds my-paste.toml my-bead.toml --pick stator=fkm-l --limit 5
  headwright builds lid-sealant lid-bead --pareto cost_index,volume_error_pct
  headwright builds lid-sealant lid-bead --strict --format json > builds.json""",
)
@click.argument("material", metavar="MATERIAL")
@click.argument("process", metavar="PROCESS")
@catalog_option
@evidence_option
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
    "--sort",
    metavar="FIGURE",
    default=SORT_FIGURES[0],
    show_default=True,
    help=f"Order within a state; one of {', '.join(SORT_FIGURES)}.",
)
@click.option(
    "--limit",
    metavar="N",
    type=click.IntRange(0, MOST_LISTED),
    default=20,
    show_default=True,
    help="Most builds to list.",
)
@click.option(
    "--offset",
    metavar="N",
    type=click.IntRange(min=0),
    default=0,
    show_default=True,
    help="Builds to pass over first.",
)
@click.option(
    "--pareto",
    metavar="FIGURE,FIGURE",
    help="Only builds that no other build beats in all of two to four figures.",
)
@click.option("--strict", is_flag=True, help="Only builds that fit over the whole stated range.")
@format_option
@click.pass_context
def builds(  # noqa: PLR0917 - click passes options by name
    ctx: click.Context,
    material: str,
    process: str,
    folder: Path | None,
    findings: Path | None,
    picks: tuple[str, ...],
    without: tuple[str, ...],
    sort: str,
    limit: int,
    offset: int,
    pareto: str | None,
    strict: bool,  # noqa: FBT001
    form: str,
) -> None:
    """List every valid head build for MATERIAL and PROCESS, best first.

    MATERIAL and PROCESS are files, or names of shipped examples (`headwright examples`).
    States: fits holds over the whole stated range; marginal at nominal or by little;
    unproven lacks data, and says which.
    """
    from configurator.report.page import front_page, page_of
    from configurator.request.load import load_material, load_process
    from configurator.request.question import Question
    from configurator.workshop.figures import figure_named

    chosen, excluded = picks_from(picks), exclusions_from(without, picks_from(picks))
    traded = [
        figure_named(name.strip(), option="--pareto")
        for name in (pareto or "").split(",")
        if pareto
    ]
    if traded and offset:
        raise UsageError("--offset: a trade-off has one page; leave out --pareto or --offset")
    examples = examples_folder()
    question = Question(
        material=load_material(material, folder=examples),
        process=load_process(process, folder=examples),
        picks=chosen,
        without=excluded,
        sort=figure_named(sort).name,
        strict=strict,
    )
    answer = open_workshop(folder, findings).answer(question)
    if traded:
        page = front_page(answer, traded, limit=limit, progress=_progress())
    else:
        page = page_of(answer, offset=offset, limit=limit)
    put(_text(page, form))
    ctx.exit(0 if page.total else 1)


def _progress() -> Callable[[int, int, int], None] | None:
    """A line on the error stream while a long trade-off is worked out, if a person looks on."""
    if not watched():
        return None

    def show(done: int, total: int, found: int) -> None:
        end = "\n" if done == total else ""
        click.echo(
            f"\rtrade-off: {done} of {total}, {found} builds so far{end}", err=True, nl=False
        )

    return show


def _text(page: Page, form: str) -> str:
    from configurator.report.builds import builds_csv, builds_json
    from configurator.report.table import builds_table

    if form == "json":
        return builds_json(page)
    if form == "csv":
        return builds_csv(page)
    return builds_table(page, width=table_width(), colour=wants_colour())


def picks_from(texts: Sequence[str]) -> Mapping[str, str]:
    """Read `slot=part` texts into one part a slot.

    Raises
    ------
    UsageError
        If a text is no such pair, or a slot has two parts.
    """
    chosen: dict[str, str] = {}
    for text in texts:
        slot, part = _pair("--pick", text)
        if chosen.get(slot, part) != part:
            raise UsageError(f"--pick: slot {slot} has both '{chosen[slot]}' and '{part}'")
        chosen[slot] = part
    return chosen


def exclusions_from(texts: Sequence[str], picks: Mapping[str, str]) -> Mapping[str, frozenset[str]]:
    """Read `slot=part` texts into the parts to leave out, by slot.

    Raises
    ------
    UsageError
        If a text is no such pair, or names a part that is picked as well.
    """
    pairs = [_pair("--without", text) for text in texts]
    for slot, part in pairs:
        if picks.get(slot) == part:
            raise UsageError(f"{slot}={part} is both picked and left out")
    return {
        slot: frozenset(part for other, part in pairs if other == slot)
        for slot in dict.fromkeys(slot for slot, _ in pairs)
    }


def _pair(option: str, text: str) -> tuple[str, str]:
    slot, equals, part = (piece.strip() for piece in text.partition("="))
    if not (slot and equals and part):
        raise UsageError(f"{option}: given '{shown(text)}'; accepted: SLOT=PART, as stator=fkm-l")
    return slot, part
