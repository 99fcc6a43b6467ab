"""`headwright screen`: a list of materials, one result row for each row and process."""

from __future__ import annotations

import json
import time
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from configurator.cli.changes import check_against, tell_changes
from configurator.cli.opening import examples_folder, number_option, path_option
from configurator.cli.question import (
    QuestionOptions,
    crew_of,
    crew_options,
    list_options,
    question_options,
    read_processes,
)
from configurator.cli.terminal import ProgressLine, complain, put
from configurator.errors import UsageError
from configurator.report.written import refuse_existing, write_file

if TYPE_CHECKING:
    from collections.abc import Sequence

    from configurator.screen.chunk import Setup
    from configurator.screen.results import Form
    from configurator.screen.run import Crew, EarlierRows
    from configurator.screen.sources import MaterialList
    from configurator.screen.store import Store
    from configurator.screen.tally import FailOn, Tally

ListForm = Literal["csv", "jsonl"]


@dataclass(frozen=True)
class ScreenOptions:
    """What the command was asked for, beside list and processes."""

    source: str
    out: Path | None
    form: Form | None
    list_form: ListForm | None
    encoding: str | None
    workers: int
    cluster: str | None
    fail_on: FailOn
    summary: Path | None
    against: Path | None
    changes: Path | None
    reuse: Path | None
    purposes: bool
    measure: int | None
    resume: bool
    force: bool


@click.command(
    short_help="Judge a list of materials, a result row a row.",
    epilog="""\b
Examples:
  headwright screen list.csv --process lid-bead --out results.csv
  headwright screen list.csv --process lid-bead --out results.csv --resume
  headwright screen list.csv --process lid-bead --workers 4 --fail-on marginal
  headwright screen list.csv --process p.toml --out new.csv --against old.csv
  headwright screen list.csv --process p.toml --out new.csv --reuse old.csv
  headwright screen - --process lid-bead --format jsonl < list.csv

\b
Exit codes: 0 every row has a build; 1 one has none, was not read, or fails
--fail-on; 2 bad input, the list cannot be read, or the results cannot be
written; 3 bad catalog; 70 the program failed on a row, or lost its workers.""",
)
@list_options
@question_options(sort="a row names the build that `headwright builds` lists first")
@path_option(
    "--out",
    words="Results file, by its suffix .csv, .jsonl or .parquet; else standard output.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["csv", "jsonl", "parquet"]),
    help="Form of the results; else by the suffix of --out, or csv.",
)
@click.option("--resume", is_flag=True, help="Go on with --out where a run was ended; else begin.")
@click.option("--force", is_flag=True, help="Replace files that are there.")
@crew_options
@click.option(
    "--fail-on",
    type=click.Choice(["never", "none", "unproven", "marginal"]),
    default="none",
    show_default=True,
    help="Exit with 1 for a row without a build, or also unproven, or also marginal at best; or "
    "never: 0 says that all rows were gone through.",
)
@path_option("--summary", words="Write counts by state and duration there, as JSON.")
@path_option(
    "--against",
    metavar="EARLIER",
    words="Results of an earlier run: say what has changed since, and why. Wants --out.",
)
@path_option(
    "--changes",
    words="Write every row's change there, .csv or .jsonl; else changed rows are printed.",
)
@path_option(
    "--reuse",
    metavar="EARLIER",
    words="Results of an earlier run: rows that rest on the very same are taken over.",
)
@click.option(
    "--purposes",
    is_flag=True,
    help="A column for each purpose of `headwright shortlist`, with its build; each row takes longer.",
)
@number_option(
    "--measure",
    low=1,
    high=1000,
    words="What to measure first as `headwright measure` ranks it, for rows of at most so many "
    "changed questions.",
)
@click.pass_context
def screen(
    ctx: click.Context, /, *, asked: QuestionOptions, processes: tuple[str, ...], **given: Any
) -> None:
    """Judge every material of LIST for every PROCESS, one result row each, in order.

    LIST is CSV or JSON Lines; `-` reads standard input. A row that cannot be read becomes a row
    that says so. With --out, nothing is lost when a run is ended: --resume goes on. Parts that
    are picked or left out are so for every row; --strict is as --fail-on marginal.
    """
    from configurator.screen.results import form_of
    from configurator.screen.sources import open_list

    options = ScreenOptions(**given)
    if asked.strict:
        options = replace(options, fail_on="marginal")
    crew = crew_of(options.workers, options.cluster)
    _check(options, processes, asked.findings)
    replaced = options.force or options.resume
    check_against(options.against, options.changes, options.out, force=replaced)
    form = form_of(options.out, options.form)
    if form == "parquet":
        from configurator.screen.parquet import pyarrow

        pyarrow()
    read = read_processes(processes)
    workshop = asked.workshop.keeping(asked.picks, asked.without)
    from configurator.screen.chunk import Setup
    from configurator.screen.extras import Extras

    with open_list(
        options.source,
        form=options.list_form,
        encoding=options.encoding,
        folder=examples_folder(),
    ) as entries:
        extras = Extras(options.purposes, options.measure or 0)
        setup = Setup(tuple(entries.columns), form, read, workshop, extras)
        ctx.exit(_run(entries, setup, options, crew))


def _check(options: ScreenOptions, processes: Sequence[str], findings: Path | None) -> None:
    """Refuse what has no meaning, and files that would be lost."""
    if options.resume and options.out is None:
        raise UsageError("--resume: only a file can be gone on with, name it with --out")
    if options.resume and options.force:
        raise UsageError("--resume goes on with a file and --force begins anew: leave out one")
    _check_files(options, processes, findings)
    if options.summary is not None:
        resumed = options.resume and _is_summary(options.summary)
        refuse_existing(options.summary, force=options.force or resumed)


def _is_summary(path: Path) -> bool:
    """Whether a file is what an earlier sitting of a run wrote there."""
    try:
        return "results_per_second" in json.loads(path.read_bytes())
    except (OSError, ValueError, TypeError, RecursionError):
        return False


def _check_files(options: ScreenOptions, processes: Sequence[str], findings: Path | None) -> None:
    """Refuse a file to write that is one of those to read, or another that is written."""
    from configurator.screen.results_file import journal_path

    read = {"the list": None if options.source == "-" else Path(options.source)}
    read |= {f"--process {each}": Path(each) for each in processes}
    read |= {"--evidence": findings, "--against": options.against}
    if options.reuse != options.against:  # one file may serve for both
        read["--reuse"] = options.reuse
    written = {"--out": options.out, "--summary": options.summary, "--changes": options.changes}
    if options.out is not None:
        written["the journal of --out"] = journal_path(options.out)
    seen = [(name, path) for name, path in read.items() if path is not None]
    for name, path in written.items():
        if path is None:
            continue
        for other, taken in seen:
            if _same(path, taken):
                raise UsageError(f"{name} {path}: that is {other}")
        seen.append((name, path))


def _same(one: Path, other: Path) -> bool:
    try:
        return one.resolve() == other.resolve() or one.samefile(other)
    except OSError:
        return False


def _run(entries: MaterialList, setup: Setup, options: ScreenOptions, crew: Crew) -> int:
    from configurator.screen.run import Pace, screen
    from configurator.screen.store import Kept
    from configurator.screen.tally import summary_json, summary_line
    from configurator.units.display import plural

    told = entries.warnings
    complain(*told)
    with ExitStack() as stack:
        store = _store(entries, setup, options, stack)
        before = store.journal.tally.rows
        earlier = _earlier(options, stack)
        try:
            with ProgressLine() as line:
                pace = Pace(workers=options.workers, about=entries.about)
                told_of = _Rate(line)
                tally = screen(
                    entries, setup, store, crew, tell=told_of, pace=pace, earlier=earlier
                )
        except KeyboardInterrupt:
            if isinstance(store, Kept):
                rows = plural(store.rows_kept, "row")
                complain(f"{options.out}: {rows} of the list are kept, --resume goes on")
            raise
    complain(*(line for line in entries.warnings if line not in told))
    if tally.detours:
        rows = plural(tally.detours, "result row")
        complain(f"{rows} judged the long way, as the quick one failed: {tally.detour}")
    code = tally.exit_code(options.fail_on)
    seconds = store.journal.seconds
    names = [process.name for process in setup.processes]
    complain(summary_line(tally, names, seconds))
    against = None
    if options.against is not None and options.out is not None:
        against = tell_changes(options.against, options.out, setup.form, names, options.changes)
    if options.summary is not None:
        text = summary_json(
            tally,
            setup,
            seconds=seconds,
            resumed_rows=before,
            exit_code=code,
            against=against,
        )
        write_file(options.summary, text, force=True)
    return code


def _store(entries: MaterialList, setup: Setup, options: ScreenOptions, stack: ExitStack) -> Store:
    """Where the results go: the file that is named, or standard output."""
    from configurator.screen.results import head_bytes
    from configurator.screen.run import fingerprint_of
    from configurator.screen.store import Kept, Stream

    head = head_bytes(setup.form, setup.heads)
    if options.out is None:
        return Stream(put, head)
    moving = {
        "--format": setup.form,
        "--list-format": options.list_form or "",
        "--encoding": options.encoding or "",
    }
    whole = options.source != "-" and Path(options.source).is_file()
    listed = entries.sha256 if whole else ""
    return stack.enter_context(
        Kept(
            options.out,
            form=setup.form,
            heads=setup.heads,
            head=head,
            fingerprint=fingerprint_of(setup, listed, moving),
            resume=options.resume,
            force=options.force,
        )
    )


def _earlier(options: ScreenOptions, stack: ExitStack) -> EarlierRows | None:
    if options.reuse is None:
        return None
    from configurator.screen.run import EarlierRows

    return stack.enter_context(EarlierRows(options.reuse))


class _Rate:
    """Counts results along on the line of progress, with those of this run a second."""

    def __init__(self, line: ProgressLine) -> None:
        self._line = line
        self._start = time.perf_counter()
        self._before: int | None = None

    def __call__(self, tally: Tally) -> None:
        """Show how far the run is."""
        if self._before is None:
            self._before, self._start = tally.results, time.perf_counter()
        passed = time.perf_counter() - self._start
        rate = f", {(tally.results - self._before) / passed:.3g} results a second" if passed else ""
        self._line(f"{tally.rows} rows{rate}")
