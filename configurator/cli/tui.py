"""`headwright tui`: the same questions on one screen."""

from __future__ import annotations

import contextlib
import gc
import sys
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from configurator.cli.opening import examples_folder, path_option
from configurator.cli.question import QuestionOptions, question_options
from configurator.errors import UsageError
from configurator.reading import see_file
from configurator.request.orders import ORDERS

if TYPE_CHECKING:
    from configurator.tui.review.rebuilt import Bench
    from configurator.workshop.workshop import Workshop

TURN = 0.001
"""Longest time that work beside the screen keeps the screen from its turn. [s]"""


class ScreenFailedError(Exception):
    """The screen ended by a fault of the program, which it has told itself."""


@dataclass(frozen=True)
class TuiOptions:
    """What the command was asked for, beside the question."""

    results: Path | None
    listed: Path | None
    processes: tuple[str, ...]
    theme: str
    ascii_only: bool
    no_mouse: bool
    fresh: bool


def _bench(workshop: Workshop, options: TuiOptions) -> Bench:
    """What rows of results are rebuilt and compared with."""
    from configurator.tui.document import open_document
    from configurator.tui.review.rebuilt import Bench

    examples = examples_folder()
    return Bench(
        workshop,
        examples,
        () if options.listed is None else (options.listed.parent,),
        tuple(open_document("process", each, examples) for each in options.processes),
    )


@click.command(
    short_help="Narrow, explore and understand the builds on one screen.",
    epilog="""\b
Examples:
  headwright tui
  headwright tui lid-sealant lid-bead --theme light
  headwright tui my-paste.toml my-bead.toml --pick stator=fkm-l --ascii
  headwright tui --open results.csv
  headwright tui --open results.csv --list lists/materials.csv --process my-bead.toml

\b
Exit codes: 0; 2 bad input, also if the results are broken anywhere; 3 bad catalog.""",
)
@click.argument("material", metavar="[MATERIAL]", required=False)
@click.argument("process", metavar="[PROCESS]", required=False)
@path_option(
    "--open",
    "results",
    metavar="RESULTS",
    words="Review results of `headwright screen`: CSV, JSON Lines or Parquet.",
)
@path_option(
    "--list",
    "listed",
    metavar="LIST",
    words="With --open: the list that was screened, if its rows name files beside it.",
)
@click.option(
    "--process",
    "processes",
    metavar="PROCESS",
    multiple=True,
    help="With --open: a process of the results that is neither beside them nor shipped.",
)
@question_options()
@click.option(
    "--theme",
    type=click.Choice(["dark", "light", "mono"]),
    default="dark",
    show_default=True,
    help="Colours; with NO_COLOR set it is mono.",
)
@click.option("--ascii", "ascii_only", is_flag=True, help="Draw with plain ASCII alone.")
@click.option("--no-mouse", is_flag=True, help="Leave the mouse to the terminal.")
@click.option("--fresh", is_flag=True, help="Start empty; the last session stays on disk.")
def tui(*, asked: QuestionOptions, material: str | None, process: str | None, **given: Any) -> None:
    """Open the screen, with MATERIAL and PROCESS or with what was on it last.

    MATERIAL and PROCESS are files, or names of shipped examples. Every change is kept on disk
    at once; nothing is lost by leaving. Each result can be had from `headwright builds` too,
    in plain lines: the key l shows the command. With --open, the rows of a screening come
    first, and Enter opens one of them.
    """
    options = TuiOptions(**given)
    _check(material, process, options)
    # A start makes much and drops little: looking for what to drop would take a tenth of it.
    gc.disable()
    try:
        _open(material, process, asked, options)
    finally:
        gc.enable()


def _open(
    material: str | None, process: str | None, asked: QuestionOptions, options: TuiOptions
) -> None:
    if (asked.picks or asked.without) and material is None:
        raise UsageError("--pick and --without come with a MATERIAL and a PROCESS")

    from configurator.tui.app import HeadwrightApp
    from configurator.tui.desk import share_memory
    from configurator.tui.kept import NEWEST, bring_back, session_folder, set_aside
    from configurator.tui.looks import needs_ascii
    from configurator.tui.session import Session

    session = Session(asked.workshop, examples_folder())
    kept = session_folder()
    if material is not None and process is not None:
        session.open("material", material)
        session.open("process", process)
        session.start_with(asked.picks, asked.without)
        session.begin_with(session.draft)
    begun = False
    if material is None and not options.fresh:
        begun = bring_back(session, kept / NEWEST)
    if not begun:
        with contextlib.suppress(OSError):  # told on the screen, at the first change
            set_aside(kept)
    sort = asked.sort if asked.sort != ORDERS[0] else session.sort
    session.order(sort, strict=session.strict or asked.strict)
    app = HeadwrightApp(
        session,
        folder=kept,
        theme=options.theme,
        ascii_only=options.ascii_only or needs_ascii(),
        options=asked.as_given,
        bench=partial(_bench, asked.workshop, options),
        results=options.results,
        painted=_started,
    )
    sys.setswitchinterval(TURN)
    share_memory()
    app.run(mouse=not options.no_mouse)
    if app.fault is not None:
        raise app.fault  # what the screen said is said once more, where it stays
    if app.return_code:
        raise ScreenFailedError("the screen failed; the session is kept")


def _started() -> None:
    """Drop what is not needed any more from now on; what a start made stays."""
    gc.freeze()
    gc.enable()


def _check(material: str | None, process: str | None, options: TuiOptions) -> None:
    if material is not None and process is None:
        raise UsageError("a MATERIAL comes with a PROCESS", "headwright tui lid-sealant lid-bead")
    if options.results is not None and material is not None:
        raise UsageError("--open comes without a question: Enter on a row opens that of the row")
    if options.results is None and (options.listed is not None or options.processes):
        raise UsageError("--list and --process come with --open RESULTS")
    if options.listed is not None:
        see_file(options.listed, "the list that was screened")
