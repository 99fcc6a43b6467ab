"""The main screen: what the keys do that work in all panels.

What a start does not need is imported by the key that needs it.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual.binding import BindingType

from configurator.errors import HeadwrightError
from configurator.reading import is_there, typed_path
from configurator.report.written import write_text
from configurator.request.orders import ORDERS
from configurator.tui.build_list import View
from configurator.tui.document import Document
from configurator.tui.kept import bring_back, command_line, earlier, set_aside
from configurator.tui.keys import HELP, bindings_of, word_lines
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import Spans
from configurator.tui.panel_screen import PanelScreen
from configurator.tui.panels.builds import BuildsPanel
from configurator.tui.said import Said
from configurator.tui.screens import Chooser, PageScreen, Prompt, show_command
from configurator.tui.session import MOST_MARKED
from configurator.units.display import spaced
from configurator.units.toml_text import toml_text

FEWEST_COMPARED = 2
BACK = "Esc goes back to all heads"


class MainScreen(PanelScreen):
    """Six panels; all at once where there is room, else one at a time."""

    DEEDS = HELP
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(HELP, "all")

    def took_page(self, value: object) -> None:
        """Take what was worked out for a key."""
        if isinstance(value, PageScreen):
            self.hw.push_screen(value)
        elif isinstance(value, str):
            self.hw.say(value)
        elif (took := getattr(self.hw.screen, "took_front", None)) is not None:
            took(value)  # a map that is still open

    def on_line_panel_acted(self, event: LinePanel.Acted) -> None:
        """Open a head, or show why a build stands as it does."""
        if event.panel is not self.builds:
            return
        view, build = self.hw.listed.view, self.builds.build
        if view.folds and build is not None and not self.builds.old:
            self.hw.listed.go_to(build)
            self.hw.say(f"builds of this head, {BACK}")
        else:
            self.action_why()

    def on_builds_panel_wanted(self, event: BuildsPanel.Wanted) -> None:
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

    def words(self) -> Sequence[Spans]:
        """What the words of the panel at hand mean."""
        return word_lines(self.active)

    # Back and forth

    def action_why(self) -> None:
        """Go to the reasons for what the cursor is on."""
        self.ask_why()
        self.action_panel("3")

    def action_undo(self) -> None:
        """Take the last change back."""
        if self.hw.session.undo():
            self.hw.changed("undone; y does it again")
        else:
            self.hw.say("nothing to undo")

    def action_redo(self) -> None:
        """Do the last undone change again."""
        if self.hw.session.redo():
            self.hw.changed("done again")
        else:
            self.hw.say("nothing to do again")

    def action_earlier(self) -> None:
        """Choose an earlier session."""
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

    # Files

    def action_files(self) -> None:
        """Ask for a folder, and keep both documents there."""
        documents = self.hw.session.draft.documents
        if not documents:
            self.hw.say("nothing to keep yet")
            return
        names = " and ".join(f"{document.name or document.kind}.toml" for document in documents)
        prompt = Prompt(f"Keep {names} in which folder?", str(Path.cwd()))
        self.hw.ask_for(prompt, partial(self._keep_in, documents))

    def _keep_in(self, documents: Sequence[Document], folder: str) -> None:
        place = typed_path(folder)
        paths = [place / f"{document.name or document.kind}.toml" for document in documents]
        self.ask_to_replace(paths, lambda: self._write(documents, paths))

    def ask_to_replace(self, paths: Sequence[Path], then: Callable[[], None]) -> None:
        """Go on at once where there is no such file, else if somebody says so."""
        there = [path for path in paths if is_there(path)]
        if not there:
            then()
            return
        entries = [("keep", "nothing is written"), ("replace", "the old file is gone")]
        title = f"{' and '.join(path.name for path in there)}: there already"

        def chosen(word: str) -> None:
            then() if word == "replace" else self.hw.say(f"{there[0]} is there: nothing written")

        self.hw.ask_for(Chooser(title, entries), chosen)

    def _write(self, documents: Sequence[Document], paths: Sequence[Path]) -> None:
        try:
            paths[0].parent.mkdir(parents=True, exist_ok=True)
            for path, document in zip(paths, documents, strict=True):
                write_text(path, toml_text(document.tables))
        except OSError as error:
            self.hw.say(f"not written: {error.strerror or error}")
            return
        self.hw.session.named_as_files(paths)
        self.hw.changed(f"written: {', '.join(map(str, paths))}")

    # Builds

    def action_mark(self) -> None:
        """Mark or unmark the build under the cursor."""
        build = self.builds.build
        if build is None:
            self.hw.say("no build under the cursor of Builds")
        elif self.builds.old:
            self.hw.say("the list is being renewed; mark in the new one")
        elif self.hw.session.mark(build):
            self.builds.renew()
            self.hw.changed(f"{len(self.hw.session.marked)} marked; c compares")
        else:
            self.hw.say(f"{MOST_MARKED} are marked already; m on one of them frees it")

    def action_compare(self) -> None:
        """Show the marked builds side by side."""
        session = self.hw.session
        answer, keys = session.answer, session.marked
        if answer is None or len(keys) < FEWEST_COMPARED:
            self.hw.say("mark two to four builds with m first")
            return
        width, glyphs = self.hw.size.width, self.hw.glyphs

        def work() -> object:
            from configurator.tui.desk_work import compared

            return compared(answer, keys, width, glyphs)

        self.hw.work_out("page", work)

    def action_best(self) -> None:
        """Show a shortlist of heads."""
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
        """Ask for a file of pairs, and find one head for all of them."""
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
        """List heads, or each build."""
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
        """Choose what orders the heads and builds."""
        from configurator.workshop.figures import FIGURES

        entries = [(figure.name, figure.title) for figure in FIGURES if figure.sorts]
        self.hw.ask_for(Chooser("Sort by", entries), self._sort)

    def _sort(self, name: str) -> None:
        self.hw.session.order(name, strict=self.hw.session.strict)
        self.hw.changed(f"by state, then {name}")

    def action_strict(self) -> None:
        """List builds that fit only, or all."""
        session = self.hw.session
        session.order(session.sort, strict=not session.strict)
        self.hw.changed("builds that fit only" if session.strict else "all builds")

    def action_map(self) -> None:
        """Open the trade-off map."""
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
            self.hw.say("this part is not out; in Builds, r finds how far a build holds")
            return
        self._searching()

    def action_unknowns(self) -> None:
        """Search beside the screen for what would be worth measuring."""
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

    # Out of the screen

    def action_export(self) -> None:
        """Choose a form and a file."""
        if self.hw.session.draft.question()[0] is None:
            self.hw.say("nothing to export yet")
            return
        from configurator.tui.desk_work import FORMS

        chooser = Chooser("Export the builds as", list(FORMS.items()))
        self.hw.ask_for(chooser, self._export_as)

    def _export_as(self, form: str) -> None:
        from configurator.tui.desk_work import ENDINGS

        stem = "-".join(document.name for document in self.hw.session.draft.documents)
        ending = ENDINGS.get(form, form)
        prompt = Prompt("Write to which file?", str(Path.cwd() / f"{stem}.{ending}"))
        self.hw.ask_for(prompt, partial(self._export_to, form))

    def _export_to(self, form: str, name: str) -> None:
        path = typed_path(name)
        self.ask_to_replace([path], lambda: self._export(form, path))

    def _export(self, form: str, path: Path) -> None:
        question, build = self.hw.session.question, self.builds.build
        solve, view = self.hw.solve, self.hw.listed.view
        if question is None:
            return

        def work() -> object:
            from configurator.report.written import write_file
            from configurator.tui.desk_work import MOST_EXPORTED, exported, sheet_for

            answer = solve(question)
            if form != "sheet":
                content: str | bytes = exported(answer, form, view)
            elif build is None:
                return "a sheet is about a build, and there is none"
            else:
                content = sheet_for(answer, build, path.suffix.lower())
            try:
                write_file(path, content, force=True)
            except (HeadwrightError, OSError) as error:
                return f"not written: {error}"
            what = "heads" if view.folds else "builds"
            most = f"; {MOST_EXPORTED} {what} at most, the first of {spaced(answer.listed)} builds"
            return f"written: {path}{most if form != 'sheet' else ''}"

        self.hw.say("~ exporting")
        self.hw.work_out("export", work)

    def action_line(self) -> None:
        """Show the command, and send it to the terminal's clipboard."""
        app = self.hw
        folder = app.folder if app.folder is not None else Path()
        command = command_line(app.session, folder, app.options)
        if not command:
            app.say("no question yet")
            return
        changed = str(folder) in command
        notes = ["What you changed is in the files that it names."] if changed else []
        show_command(app, command, notes)

    def action_review(self) -> None:
        """Go to the results of a screening."""
        self.hw.show_review()
