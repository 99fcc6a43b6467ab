"""The question of a command: its options, the same for every command, and what they say."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial, reduce, wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from configurator.cli import completion
from configurator.cli.opening import (
    catalog_option,
    evidence_option,
    examples_folder,
    number_option,
    open_workshop,
)
from configurator.errors import UsageError, shown
from configurator.request.orders import ORDERS, order_named

if TYPE_CHECKING:
    from configurator.request.material import Material
    from configurator.request.process import Process
    from configurator.request.question import Question
    from configurator.workshop.workshop import Workshop

Command = TypeVar("Command", bound=Callable[..., Any])

MOST_WORKERS = 256

OPTIONS: tuple[Callable[[Command], Command], ...] = (
    catalog_option,
    click.option(
        "--in-stock", is_flag=True, help="Only builds of parts of which the catalog states a stock."
    ),
    evidence_option,
    click.option(
        "--pick",
        "picks",
        metavar="SLOT=PART",
        shell_complete=completion.pairs,
        multiple=True,
        help="Only builds with this part; once a slot.",
    ),
    click.option(
        "--without",
        metavar="SLOT=PART",
        shell_complete=completion.pairs,
        multiple=True,
        help="No builds with this part; as often as you like.",
    ),
    click.option(
        "--sort",
        metavar="FIGURE",
        shell_complete=completion.figures,
        default=ORDERS[0],
        show_default=True,
        help="Order within a state, by a figure such as cost_index (docs/reference/answers.md).",
    ),
    click.option(
        "--strict", is_flag=True, help="Only builds that fit over the whole stated range."
    ),
)
"""What every command that puts a question takes, in the order of its help."""


@dataclass(frozen=True)
class QuestionOptions:
    """What the options of a question say, whatever material and process it is about."""

    folder: Path | None
    findings: Path | None
    """Where the catalog and the shop's own findings are."""
    picks: Mapping[str, str]
    without: Mapping[str, frozenset[str]]
    sort: str
    strict: bool
    in_stock: bool = False

    @cached_property
    def workshop(self) -> Workshop:
        """Who answers; read when it is asked for first."""
        return open_workshop(self.folder, self.findings, in_stock=self.in_stock)

    @property
    def as_given(self) -> list[str]:
        """What another command has to be given too, so as to ask the same shop."""
        given = [] if self.folder is None else ["--catalog", str(self.folder)]
        given += ["--in-stock"] if self.in_stock else []
        return given if self.findings is None else [*given, "--evidence", str(self.findings)]

    def question(self, material: Material, process: Process) -> Question:
        """The question about a material and a process."""
        from configurator.request.question import Question

        return Question(material, process, self.picks, self.without, self.sort, self.strict)


def question_options(**refused: str) -> Callable[[Command], Callable[..., Any]]:
    """Add the options of a question, for a command that reads material and process by itself.

    It takes `asked`, a `QuestionOptions`. What has no meaning for it is refused, with the reason.
    """

    def decorate(command: Command) -> Callable[..., Any]:
        @wraps(command)
        def asking(
            *,
            folder: Path | None,
            findings: Path | None,
            picks: Sequence[str],
            without: Sequence[str],
            sort: str,
            strict: bool,
            in_stock: bool,
            **given: Any,
        ) -> Any:
            named = {"pick": picks, "without": without, "strict": strict, "sort": sort != ORDERS[0]}
            for option, why in refused.items():
                if named[option]:
                    raise UsageError(f"--{option}: {why}; leave it out")
            chosen = picks_from(picks)
            excluded = exclusions_from(without, chosen)
            order = order_named(sort)
            asked = QuestionOptions(folder, findings, chosen, excluded, order, strict, in_stock)
            return command(asked=asked, **given)

        made = reduce(lambda made, option: option(made), reversed(OPTIONS), asking)
        params: list[click.Option] = vars(made)["__click_params__"]
        for option in params:
            option.hidden = option.hidden or option.name in refused
        return made

    return decorate


def puts_question(**refused: str) -> Callable[[Command], Callable[..., Any]]:
    """Add MATERIAL, PROCESS and the options of a question, for a command that takes both.

    It takes `workshop` and `question`; what is refused is as for `question_options`.
    """

    def decorate(command: Command) -> Callable[..., Any]:
        @wraps(command)
        def asking(*, material: str, process: str, asked: QuestionOptions, **given: Any) -> Any:
            from configurator.request.load import load_material, load_process

            examples = examples_folder()
            question = asked.question(
                load_material(material, folder=examples), load_process(process, folder=examples)
            )
            return command(workshop=asked.workshop, question=question, **given)

        made = question_options(**refused)(asking)
        made = click.argument(
            "process", metavar="PROCESS", shell_complete=completion.examples("processes")
        )(made)
        return click.argument(
            "material", metavar="MATERIAL", shell_complete=completion.examples("materials")
        )(made)

    return decorate


build_option = click.option(
    "--build",
    metavar="RANK|PARTS",
    default="1",
    show_default=True,
    help='Which build: its number in the list that `builds` shows, or "slot=part, slot=part".',
)


def list_options(command: Command) -> Command:
    """Add LIST, how it is written, and `--process PROCESS`, as often as one likes."""
    for decorate in (
        click.option(
            "--encoding", metavar="NAME", help="Encoding of LIST; else by its mark, or UTF-8."
        ),
        click.option(
            "--list-format",
            "list_form",
            type=click.Choice(["csv", "jsonl"]),
            help="Form of LIST; else by its suffix, or csv.",
        ),
        click.option(
            "--process",
            "processes",
            metavar="PROCESS",
            shell_complete=completion.examples("processes"),
            multiple=True,
            required=True,
            help="File or shipped example; as often as you like.",
        ),
        click.argument("source", metavar="LIST"),
    ):
        command = decorate(command)
    return command


def crew_options(command: Command) -> Command:
    """Add `--workers N` and `--cluster ADDRESS`."""
    cluster = click.option(
        "--cluster", metavar="ADDRESS", help="Judge on a dask cluster, as tcp://10.0.0.7:8786."
    )
    words = "Processes that judge."
    return number_option("--workers", low=1, high=MOST_WORKERS, default=1, words=words)(
        cluster(command)
    )


def crew_of(workers: int, cluster: str | None) -> Callable[..., Any]:
    """Who judges: this process, several of this machine, or a cluster."""
    if cluster is not None and workers > 1:
        raise UsageError("--workers are of this machine and --cluster of others: leave out one")
    if cluster is not None:
        from configurator.screen.cluster import on_cluster

        return partial(on_cluster, address=cluster)
    if workers > 1:
        from configurator.screen.workers import in_processes

        return partial(in_processes, workers=workers)
    from configurator.screen.run import alone

    return alone


def read_processes(names: Sequence[str]) -> tuple[Process, ...]:
    """Read the processes that an option names, each of a name of its own."""
    from configurator.request.load import load_process

    found = tuple(load_process(name, folder=examples_folder()) for name in names)
    seen: set[str] = set()
    for process in found:
        if process.name in seen:
            raise UsageError(
                f"--process: two are called '{shown(process.name)}'; their rows could not be told "
                "apart"
            )
        seen.add(process.name)
    return found


def picks_from(texts: Sequence[str]) -> Mapping[str, str]:
    """Read `slot=part` texts into one part a slot."""
    chosen: dict[str, str] = {}
    for text in texts:
        slot, part = _pair("--pick", text)
        if chosen.get(slot, part) != part:
            raise UsageError(f"--pick: slot {slot} has both '{chosen[slot]}' and '{part}'")
        chosen[slot] = part
    return chosen


def exclusions_from(texts: Sequence[str], picks: Mapping[str, str]) -> Mapping[str, frozenset[str]]:
    """Read `slot=part` texts into the parts to leave out, by slot; a pick is none of them."""
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
