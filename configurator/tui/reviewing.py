"""The review behind its screen: it reads on, searches, compares, and opens rows."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import cast

from configurator.report.written import write_text
from configurator.screen.verdict import NOT_READ
from configurator.tui.desk import IsStale
from configurator.tui.document import Draft
from configurator.tui.kept import command_line, set_aside
from configurator.tui.review.rebuilt import Bench, Rebuilt, rebuild
from configurator.tui.review.result_row import ResultRow
from configurator.tui.review.review import Found, ReadOn, Review
from configurator.tui.said import Said
from configurator.tui.screens import show_command
from configurator.tui.session import Session
from configurator.tui.session_app import SessionApp
from configurator.units.toml_text import toml_text

KEPT = "review"
"""Folder, in that of the session, for materials of rows that are in no file of their own."""


Place = tuple[Path, int]
"""A row of one file."""


class Reviewing:
    """What can be done with the results that are open.

    `bench` gives what rows are rebuilt and compared with; without it, the session's catalog is.
    """

    def __init__(self, app: SessionApp, bench: Callable[[], Bench] | None = None) -> None:
        self._app = app
        session = app.session
        self._bench = bench() if bench is not None else Bench(session.workshop, session.examples)
        self.review: Review | None = None
        self._finding = False
        self._compared: tuple[Place, tuple[Said, ...]] | None = None
        self._comparing: Place | None = None
        self._set_aside = False

    # Open

    def open(self, path: Path) -> None:
        """Take a results file; an InputError if it is none."""
        folders = tuple(dict.fromkeys((path.parent, *self._bench.folders)))
        self.review = Review(path, replace(self._bench, folders=folders))

    # Beside the screen

    def read_on(self) -> None:
        """Read further rows, a step at a time."""
        review = self.review
        if review is not None and review.reading:
            self._app.look_up("results", lambda _: (review, review.read_on()))

    def find(self) -> None:
        """Search for the words that are typed; a newer search ends this one."""
        review = self.review
        if review is None or not review.searching:
            self._finding = False
            self._app.forget("found")
            return
        self._finding = True
        work = review.search()

        def find(is_stale: IsStale) -> object:
            return review, work(is_stale)

        self._app.look_up("found", find)

    def remarks_on(self, review: Review, row: ResultRow) -> tuple[Said, ...]:
        """How the row somebody stands on compares with now, once that is worked out."""
        assert review.place is not None, "somebody stands on the row"
        place = review.path, review.place
        if self._compared is not None and self._compared[0] == place:
            return self._compared[1]
        if self._comparing != place:
            self._comparing = place
            self._app.look_up("row", lambda _: (place, remarks(row, rebuild(row, review.bench))))
        return (Said("~ comparing with what would be judged now"),)

    def took(self, lane: str, value: object) -> bool:
        """Take what was worked out; True if it changes what is shown of the review."""
        if lane == "row":
            self._compared, self._comparing = cast("tuple[Place, tuple[Said, ...]]", value), None
            return True
        if lane == "results":
            review, step = cast("tuple[Review, ReadOn]", value)
            review.take(step)
            if review is self.review:
                self.read_on()
                if not self._finding:
                    self.find()
        else:
            review, found = cast("tuple[Review, Found | None]", value)
            if found is not None:
                review.took(found)
            self.find()
        return review is self.review

    # The row somebody stands on

    def open_row(self, review: Review, row: ResultRow) -> None:
        """Put the question of a row to the session, or say why that cannot be."""
        rebuilt = rebuild(row, review.bench)
        draft = self._draft(row, rebuilt)
        if draft is None:
            return
        if not self._set_aside and self._app.folder is not None:
            with contextlib.suppress(OSError):  # a folder that cannot be written is told below
                set_aside(self._app.folder)
            self._set_aside = True
        words = "; ".join(
            [f"row {row.number} of {review.path.name}, v goes back", *rebuilt.differs]
        )
        self._app.session.put(draft)
        self._app.pop_screen()
        lost = f"{words}; its best build is not in this list"
        self._app.listed.seek(parts_of(row.text("best_build")), lost)
        self._app.show_panel("4")
        self._app.changed(words)

    def _draft(self, row: ResultRow, rebuilt: Rebuilt) -> Draft | None:
        """The question of a row; None, and a word why, if it cannot be put."""
        if rebuilt.material is None or rebuilt.process is None:
            why = " | ".join(rebuilt.refusals)
            self._app.say(f"row {row.number} cannot be opened: {why}")
            return None
        return Draft().with_document(rebuilt.process).with_document(rebuilt.material)

    def show_line(self, review: Review, row: ResultRow) -> None:
        """Show the command that answers a row, with its material as a file."""
        app = self._app
        draft = self._draft(row, rebuild(row, review.bench))
        if draft is None or draft.material is None:
            return
        notes = []
        if draft.material.edited:
            if app.folder is None:
                self._app.say("there is no folder to keep the row's material in")
                return
            path = app.folder / KEPT / f"{draft.material.name}.toml"
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                write_text(path, toml_text(draft.material.tables))
            except OSError as error:
                self._app.say(f"not written: {error.strerror or error}")
                return
            draft = draft.with_document(replace(draft.material, source=str(path), edited=False))
            notes.append("The material of the row is in the file that it names.")
        asked = Session(app.session.workshop, app.session.examples)
        asked.put(draft)
        command = command_line(asked, app.folder or Path(), app.options)
        show_command(app, command, notes)


def remarks(row: ResultRow, rebuilt: Rebuilt) -> tuple[Said, ...]:
    """How a row compares with what would be judged now, in words."""
    if row.state == NOT_READ and rebuilt.refusals:
        said = [Said("Cannot be opened: it was not read.", "fault")]
    else:
        said = [Said(f"Cannot be opened: {why}", "fault") for why in rebuilt.refusals]
    if rebuilt.differs:
        words = "; ".join(rebuilt.differs)
        said.append(Said(f"! {words}: now it may come out otherwise", "marginal"))
    elif not said:
        words = "Material, process, catalog, findings and rules are those it was judged with."
        said.append(Said(words))
    return tuple(said)


def parts_of(best_build: str) -> dict[str, str]:
    """Take a build apart that a result names.

    Examples
    --------
    >>> parts_of("size=h3, mixing=none")
    {'size': 'h3', 'mixing': 'none'}
    """
    pairs = (entry.partition("=") for entry in best_build.split(", ") if "=" in entry)
    return {slot: part for slot, _, part in pairs}
