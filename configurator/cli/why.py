"""`headwright why`: why nothing fits, or why a part or a build is out, and what would help."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Self

import click

from configurator.cli.builds import exclusions_from, picks_from
from configurator.cli.measured import open_workshop
from configurator.cli.opening import catalog_option, examples_folder
from configurator.cli.terminal import put, table_width, watched
from configurator.errors import UsageError


@click.command(
    short_help="Why nothing fits, or a part or build is out, and what would help.",
    epilog="""\b
Examples:
  headwright why grip-mortar grip-dots
  headwright why lid-sealant lid-bead --part stator=nbr-s
  headwright why probe-grease plug-grease --build 1""",
)
@click.argument("material", metavar="MATERIAL")
@click.argument("process", metavar="PROCESS")
@catalog_option
@click.option("--part", metavar="SLOT=PART", help="Why this part is out, or what it leaves.")
@click.option(
    "--build",
    "build",
    metavar="RANK|PARTS",
    help='A rank of the list, or "slot=part, slot=part".',
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
    "--limit",
    metavar="N",
    type=click.IntRange(1, 20),
    default=3,
    show_default=True,
    help="Most reasons to tell.",
)
@click.option("--quick", is_flag=True, help="Leave out remedies and flip points.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="How to print the data.",
)
@click.pass_context
def why(  # noqa: PLR0917 - click passes options by name
    ctx: click.Context,
    material: str,
    process: str,
    folder: Path | None,
    part: str | None,
    build: str | None,
    picks: tuple[str, ...],
    without: tuple[str, ...],
    limit: int,
    quick: bool,  # noqa: FBT001
    form: str,
) -> None:
    """Explain MATERIAL and PROCESS: why nothing fits, and what would bring a build back.

    With --part or --build: why that is out, or how far it is from breaking. Every change that
    is suggested was solved again and has builds.
    """
    from configurator.explain.why import why as explain
    from configurator.report.why import why_json, why_text
    from configurator.request.load import load_material, load_process
    from configurator.request.question import Question

    if part is not None and build is not None:
        raise UsageError("give --part or --build, not both")
    examples = examples_folder()
    question = Question(
        material=load_material(material, folder=examples),
        process=load_process(process, folder=examples),
        picks=picks_from(picks),
        without=exclusions_from(without, picks_from(picks)),
    )
    answer = open_workshop(folder, None).answer(question)
    asked = _asked(part, build)
    if build is not None and build.strip().isdecimal():
        from configurator.explain.chosen import build_named

        ranked = build_named(answer, build)
        asked = {slot: each.name for slot, each in ranked.parts.items()}
    with Telling() as telling:
        found = explain(answer, asked, limit=limit, search=not quick, progress=telling)
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


class Telling:
    """Tells on one line of a terminal what is being tried, and nowhere else."""

    def __init__(self) -> None:
        self._open = watched()
        self._width = 0

    def __enter__(self) -> Self:
        return self

    def __call__(self, text: str) -> None:
        """Write over the line."""
        if self._open:
            line = f"trying {text}"
            sys.stderr.write("\r" + line.ljust(self._width))
            sys.stderr.flush()
            self._width = len(line)

    def __exit__(self, *_: object) -> None:
        if self._open and self._width:
            sys.stderr.write("\r" + " " * self._width + "\r")
            sys.stderr.flush()
