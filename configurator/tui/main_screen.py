"""The main screen: what the keys do that work in all panels.

What a start does not need is imported by the key that needs it.
"""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from textual.binding import BindingType

from configurator.reading import typed_path
from configurator.request.orders import ORDERS
from configurator.tui.build_list import View
from configurator.tui.file_screen import FileScreen
from configurator.tui.kept import bring_back, earlier, set_aside
from configurator.tui.keys import HELP, bindings_of, field_lines, word_lines
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import Spans
from configurator.tui.panels.builds import BuildsPanel
from configurator.tui.said import Said
from configurator.tui.screens import Chooser, PageScreen, Prompt
from configurator.tui.session import MOST_MARKED, key_of

FEWEST_COMPARED = 2
BACK = "Esc goes back to all heads"


class MainScreen(FileScreen):
    """Six panels; all at once where there is room, else one at a time."""

    DEEDS = HELP
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(HELP, "all")

    def took_page(self, value: object) -> None:
        if isinstance(value, PageScreen):
            self.hw.push_screen(value)
        elif isinstance(value, str):
            self.hw.say(value)
        elif (took := getattr(self.hw.screen, "took_front", None)) is not None:
            took(value)  # a map that is still open

    def on_line_panel_acted(self, event: LinePanel.Acted) -> None:
        if event.panel is not self.builds:
            return
        view, build = self.hw.listed.view, self.builds.build
        if view.folds and build is not None and not self.builds.old:
            self.hw.listed.go_to(build)
            self.hw.say(f"builds of this head, {BACK}")
        else:
            self.action_why()

    def on_builds_panel_column_asked(self, event: BuildsPanel.ColumnAsked) -> None:
        """Go to a slot, sort as the head of a column asks, or list all heads again."""
        if event.slot:
            self.parts.show_slot(event.slot)
            self.action_panel("2")
            self.hw.say(f"the parts of {event.slot}: Enter picks one")
        elif event.order:
            again = event.order == self.hw.session.sort
            self._sort(ORDERS[0] if again else event.order)
        elif self.hw.listed.view != View():
            self.hw.listed.show_only(View())
        else:
            self.hw.say("no list goes by this column; s names those that do")

    def words(self, width: int) -> Sequence[Spans]:
        words, row = word_lines(self.active, width), self.duty.current
        if self.active != "1" or row is None or row.field is None:
            return words
        field = row.field
        return [*field_lines(field.path, field.label, field.accepts, width), *words]

    # Back and forth

    def action_why(self) -> None:
        self.ask_why()
        self.action_panel("3")

    def action_undo(self) -> None:
        if self.hw.session.undo():
            self.hw.changed("undone; y does it again")
        else:
            self.hw.say("nothing to undo")

    def action_redo(self) -> None:
        if self.hw.session.redo():
            self.hw.changed("done again")
        else:
            self.hw.say("nothing to do again")

    def action_earlier(self) -> None:
        folder = self.hw.folder
        found = {} if folder is None else earlier(folder)
        if folder is None or not found:
            self.hw.say("no earlier session is kept")
            return
        names = {str(path): path for path in found}

        def then(name: str) -> None:
            if not bring_back(self.hw.session, names[name]):
                self.hw.say(f"{name} cannot be read any more")
                return
            with contextlib.suppress(OSError):  # told by the change below
                set_aside(folder)
            self.hw.changed("an earlier session; the one before it is kept")

        entries = [(name, found[path]) for name, path in names.items()]
        self.hw.ask_for(Chooser("Open which session?", entries), then)

    # Builds

    def action_mark(self) -> None:
        build = self.builds.build
        if build is None:
            self.hw.say("no build under the cursor of Heads")
        elif self.builds.old:
            self.hw.say("the list is being renewed; mark in the new one")
        elif self.hw.session.mark(build):
            self.builds.renew()
            self.hw.changed(f"{len(self.hw.session.marked)} marked; c compares")
        else:
            self.hw.say(f"{MOST_MARKED} are marked already; m on one of them frees it")

    def action_compare(self) -> None:
        session = self.hw.session
        answer, keys = session.answer, session.marked
        if answer is None or len(keys) < FEWEST_COMPARED:
            self.hw.say("mark two to four builds with m first")
            return
        width, glyphs = self.hw.size.width, self.hw.glyphs
        listed = self.hw.listed.newest
        here = listed.fetched() if listed is not None and listed.answer is answer else ()
        ranks = {key_of(build): build.rank for build in here}

        def work() -> object:
            from configurator.tui.desk_work import compared

            return compared(answer, keys, width, glyphs, ranks)

        self.hw.work_out("page", work)

    def action_best(self) -> None:
        answer = self.hw.session.answer
        if answer is None or not answer.count:
            self.hw.say("no builds to choose among")
            return
        width = self.hw.size.width

        def work() -> object:
            from configurator.tui.desk_work import best_heads

            return best_heads(answer, width)

        self.hw.say("~ choosing heads")
        self.hw.work_out("page", work)

    def action_common(self) -> None:
        prompt = Prompt("One head for all pairs of which CSV file?", str(Path.cwd()))
        self.hw.ask_for(prompt, self._common)

    def _common(self, name: str) -> None:
        session, width = self.hw.session, self.hw.size.width

        def work() -> object:
            from configurator.tui.desk_work import common_heads_page

            return common_heads_page(session.workshop, typed_path(name), session.examples, width)

        self.hw.say("~ looking for heads that serve all")
        self.hw.work_out("export", work)

    def action_heads(self) -> None:
        folds = not self.hw.listed.view.folds
        self.hw.listed.show_only(View(folds=folds))
        self.hw.say("heads, tips and feeds folded" if folds else "each build")

    def action_adopt(self) -> None:
        """Pick the parts of the head under the cursor; of a single build, all of its parts."""
        build = self.builds.build
        if build is None or self.builds.old:
            self.hw.say("no head under the cursor of Heads")
            return
        from configurator.tui.build_list import kept_parts

        folds = self.hw.listed.view.folds
        every = {slot: part.name for slot, part in build.parts.items()}
        parts = kept_parts(build) if folds else every
        if self.hw.session.adopt(parts):
            self.hw.changed(f"{len(parts)} parts picked (z undoes it)")

    def action_filter(self) -> None:
        """List what holds words in the names of its parts, or all again."""
        view = self.hw.listed.view
        if view.words:
            self.hw.listed.show_only(replace(view, words=""))
            self.hw.say("all of them again")
            return
        prompt = Prompt("List what holds which parts? Words of their names", "")
        self.hw.ask_for(prompt, lambda words: self.hw.listed.show_only(replace(view, words=words)))

    def action_sort(self) -> None:
        from configurator.workshop.figures import FIGURES

        entries = [(figure.name, figure.title) for figure in FIGURES if figure.sorts]
        self.hw.ask_for(Chooser("Sort by", entries), self._sort)

    def _sort(self, name: str) -> None:
        self.hw.session.order(name, strict=self.hw.session.strict)
        self.hw.changed(f"by state, then {name}")

    def action_strict(self) -> None:
        session = self.hw.session
        session.order(session.sort, strict=not session.strict)
        self.hw.changed("builds that fit only" if session.strict else "all builds")

    def action_map(self) -> None:
        if self.hw.session.answer is None or not self.hw.session.answer.count:
            self.hw.say("no builds to map")
            return
        from configurator.tui.tradeoff_map import MapScreen

        self.hw.push_screen(MapScreen(self.hw))

    def action_further(self) -> None:
        """Search beside the screen: remedies for what is out, break points for a build."""
        session = self.hw.session
        answer, draft = session.answer, session.draft
        if answer is None or session.stale:
            self.hw.say("nothing is answered yet")
            return
        from configurator.tui.desk_work import break_points_said, remedies_said

        slot, option, build = self.parts.slot, self.parts.option, self.builds.build
        of_build = self.asked_by == "4" and build is not None
        if answer.count and of_build and build is not None:
            about = f"how far build {build.rank} holds"
            self.hw.search(lambda stale: (about, break_points_said(answer, draft, build, stale)))
        elif not answer.count and (self.asked_by == "4" or option is None or slot is None):
            self.hw.search(lambda stale: ("remedies", remedies_said(answer, draft, {}, stale)))
        elif slot is not None and option is not None and not option.left:
            given = {slot.name: option.name}
            about = f"remedies for {option.name}"
            self.hw.search(lambda stale: (about, remedies_said(answer, draft, given, stale)))
        else:
            self.hw.say("this part is not out; in Heads, r finds how far a build holds")
            return
        self._searching()

    def action_unknowns(self) -> None:
        session = self.hw.session
        answer = session.answer
        if answer is None or session.stale:
            self.hw.say("nothing is answered yet")
            return
        from configurator.tui.desk_work import measures_said

        self.hw.search(
            lambda stale: ("what to measure", measures_said(answer, session.draft, stale))
        )
        self._searching()

    def action_cautions(self) -> None:
        """Say what people have to mind, and what was put where the data sheet is silent."""
        answer = self.hw.session.answer
        if answer is None:
            self.hw.say("nothing is answered yet")
            return
        from configurator.tui.desk_work import cautions_said

        self.why.show("cautions and gaps", cautions_said(answer))
        self.action_panel("3")

    def _searching(self) -> None:
        words = "~ searching; this may take some seconds, and ends when you change anything"
        self.why.show("searching", [Said(words)])
        self.action_panel("3")

    def action_review(self) -> None:
        self.hw.show_review()
