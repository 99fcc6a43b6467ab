"""The one build that a command is about: options that name it, and finding it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from configurator.cli.builds import exclusions_from, picks_from
from configurator.cli.measured import evidence_option, open_workshop
from configurator.cli.opening import catalog_option, examples_folder
from configurator.errors import UsageError

if TYPE_CHECKING:
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild

Command = TypeVar("Command", bound=Callable[..., Any])


def build_options(command: Command) -> Command:
    """Add MATERIAL, PROCESS, `--build` and the options that `builds` has for its list."""
    for decorate in (
        click.option(
            "--sort",
            metavar="FIGURE",
            default="cost_index",
            show_default=True,
            help="Order of the list that --build counts in.",
        ),
        click.option(
            "--without",
            metavar="SLOT=PART",
            multiple=True,
            help="No builds with this part; as for `builds`.",
        ),
        click.option(
            "--pick",
            "picks",
            metavar="SLOT=PART",
            multiple=True,
            help="Only builds with this part; as for `builds`.",
        ),
        evidence_option,
        catalog_option,
        click.option(
            "--build",
            "rank",
            metavar="K",
            type=click.IntRange(1, 10_000),
            default=1,
            show_default=True,
            help="Which build: its number in the list that `builds` shows.",
        ),
        click.argument("process", metavar="PROCESS"),
        click.argument("material", metavar="MATERIAL"),
    ):
        command = decorate(command)
    return command


@dataclass(frozen=True)
class Chosen:
    """A build and the answer that it stands in."""

    answer: Answer
    build: RankedBuild


def chosen_build(
    *,
    material: str,
    process: str,
    rank: int,
    folder: Path | None,
    findings: Path | None,
    picks: tuple[str, ...],
    without: tuple[str, ...],
    sort: str,
) -> Chosen:
    """Find the build that the options name.

    Raises
    ------
    UsageError
        If the list is shorter.
    """
    from configurator.request.load import load_material, load_process
    from configurator.request.question import Question
    from configurator.workshop.figures import figure_named

    examples = examples_folder()
    question = Question(
        material=load_material(material, folder=examples),
        process=load_process(process, folder=examples),
        picks=picks_from(picks),
        without=exclusions_from(without, picks_from(picks)),
        sort=figure_named(sort).name,
    )
    answer = open_workshop(folder, findings).answer(question)
    builds = answer.builds(offset=rank - 1, limit=1)
    if not builds:
        raise UsageError(
            f"--build: given '{rank}'; accepted: 1 to {answer.count}"
            if answer.count
            else "no build exists for this material and process",
            "headwright builds lists them and says why parts are out",
        )
    return Chosen(answer, builds[0])
