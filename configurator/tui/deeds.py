"""What the longer keys do: choosing, marking, comparing, exporting, keeping files.

What a start does not need is imported by the key that needs it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from configurator.errors import HeadwrightError
from configurator.report.lines import wrapped
from configurator.request.load import material_files, process_files
from configurator.tui.choosing import Chooser, Entry, PageScreen, Prompt
from configurator.tui.command_line import command_line
from configurator.tui.document import Document, Kind, open_document
from configurator.tui.files import write
from configurator.tui.key_page import key_lines
from configurator.tui.keys import HELP
from configurator.tui.said import Said
from configurator.tui.session import MOST_MARKED
from configurator.tui.spans import Spans
from configurator.tui.themes import THEMES
from configurator.tui.toml_text import toml_text

if TYPE_CHECKING:
    from configurator.tui.app import HeadwrightApp
    from configurator.tui.main_screen import MainScreen

BY_HAND = "(by hand)"
FEWEST_COMPARED = 2


class Deeds:
    """Deeds of the main screen that need another one, or the disk."""

    def __init__(self, screen: MainScreen) -> None:
        self.screen = screen

    @property
    def hw(self) -> HeadwrightApp:
        """The application."""
        return self.screen.hw

    def took(self, value: object) -> None:
        """Take what was worked out for one of the deeds."""
        if isinstance(value, PageScreen):
            self.hw.push_screen(value)
        elif isinstance(value, str):
            self.hw.say(value)
        elif self.hw.screen is not self.screen:  # a map that is still open
            took = getattr(self.hw.screen, "took", None)
            if took is not None:
                took(value)

    # Back and forth

    def why(self) -> None:
        """Go to the reasons for what the cursor is on."""
        self.screen.ask_why()
        self.screen.action_panel("3")

    def undo(self) -> None:
        """Take the last change back."""
        if self.hw.session.undo():
            self.hw.changed("undone; y does it again")
        else:
            self.hw.say("nothing to undo")

    def redo(self) -> None:
        """Do the last undone change again."""
        if self.hw.session.redo():
            self.hw.changed("done again")
        else:
            self.hw.say("nothing to do again")

    def leave(self) -> None:
        """End; the session is kept."""
        self.hw.leave()

    # Duty

    def choose_document(self, kind: Kind) -> None:
        """Choose an example, a file, or a blank one."""
        session = self.hw.session
        names = material_files if kind == "material" else process_files
        entries: list[Entry] = [
            (name, open_document(kind, name, session.examples).title)
            for name in names(session.examples)
        ]
        entries.append((BY_HAND, f"a blank {kind} to fill in"))
        self.hw.push_screen(
            Chooser(f"Choose a {kind}", entries, free=True), partial(self._chose, kind)
        )

    def _chose(self, kind: Kind, name: str | None) -> None:
        if name is None:
            return
        if name == BY_HAND:
            self.hw.session.start_blank(kind)
            self.hw.changed(f"fill the {kind} in: faults say what is missing")
            return
        try:
            self.hw.session.open(kind, name)
        except HeadwrightError as error:
            self.hw.say(str(error))
            return
        self.hw.changed(f"{kind} {name}")

    def files(self) -> None:
        """Ask for a folder, and keep both documents there."""
        draft = self.hw.session.draft
        documents = [entry for entry in (draft.material, draft.process) if entry is not None]
        if not documents:
            self.hw.say("nothing to keep yet")
            return
        names = " and ".join(f"{document.name or document.kind}.toml" for document in documents)
        prompt = Prompt(f"Keep {names} in which folder?", str(Path.cwd()))
        self.hw.push_screen(prompt, partial(self._keep_in, documents))

    def _keep_in(self, documents: Sequence[Document], folder: str | None) -> None:
        if folder is None:
            return
        place = Path(folder).expanduser()
        paths = [place / f"{document.name or document.kind}.toml" for document in documents]
        there = [path for path in paths if path.exists()]
        if there:
            words = (
                f"{there[0]} is there: nothing written; rename it in Duty or take another folder"
            )
            self.hw.say(words)
            return
        try:
            place.mkdir(parents=True, exist_ok=True)
            for path, document in zip(paths, documents, strict=True):
                write(path, toml_text(document.tables))
        except OSError as error:
            self.hw.say(f"not written: {error.strerror or error}")
            return
        self.hw.session.named_as_files(paths)
        self.hw.changed(f"written: {', '.join(map(str, paths))}")

    # Builds

    def mark(self) -> None:
        """Mark or unmark the build under the cursor."""
        build = self.screen.builds.build
        if build is None:
            self.hw.say("no build under the cursor of Builds")
        elif self.screen.builds.old:
            self.hw.say("the list is being renewed; mark in the new one")
        elif self.hw.session.mark(build):
            self.screen.builds.renew()
            self.hw.changed(f"{len(self.hw.session.marked)} marked; c compares")
        else:
            self.hw.say(f"{MOST_MARKED} are marked already; m on one of them frees it")

    def compare(self) -> None:
        """Show the marked builds side by side."""
        session = self.hw.session
        answer, keys = session.answer, session.marked
        if answer is None or len(keys) < FEWEST_COMPARED:
            self.hw.say("mark two to four builds with m first")
            return
        width = self.hw.size.width

        def work() -> object:
            from configurator.tui.compare_page import compared

            return compared(answer, keys, width)

        self.hw.work_out("page", work)

    def sort(self) -> None:
        """Choose what orders the builds."""
        from configurator.workshop.figures import FIGURES

        entries = [(figure.name, figure.title) for figure in FIGURES if figure.sorts]

        def then(name: str) -> None:
            self.hw.session.sort = name
            self.hw.changed(f"by state, then {name}")

        self.screen.find("Sort builds by", entries, then)

    def strict(self) -> None:
        """List builds that fit only, or all."""
        session = self.hw.session
        session.strict = not session.strict
        self.hw.changed("builds that fit only" if session.strict else "all builds")

    def map(self) -> None:
        """Open the trade-off map."""
        if self.hw.session.answer is None or not self.hw.session.answer.count:
            self.hw.say("no builds to map")
            return
        from configurator.tui.map_screen import MapScreen

        self.hw.push_screen(MapScreen())

    def further(self) -> None:
        """Search beside the screen: remedies for what is out, break points for a build."""
        session, screen = self.hw.session, self.screen
        answer, draft = session.answer, session.draft
        if answer is None or session.stale:
            self.hw.say("nothing is answered yet")
            return
        from configurator.tui.further import break_points_said, remedies_said

        slot, option, build = screen.parts.slot, screen.parts.option, screen.builds.build
        of_build = screen.asked_by == "4" and build is not None
        if answer.count and of_build and build is not None:
            about = f"how far build {build.rank} holds"
            self.hw.search(lambda stale: (about, break_points_said(answer, draft, build, stale)))
        elif not answer.count and (screen.asked_by == "4" or option is None or slot is None):
            self.hw.search(lambda stale: ("remedies", remedies_said(answer, draft, {}, stale)))
        elif slot is not None and option is not None and not option.left:
            given = {slot.name: option.name}
            about = f"remedies for {option.name}"
            self.hw.search(lambda stale: (about, remedies_said(answer, draft, given, stale)))
        else:
            self.hw.say("this part is not out; in Builds, r finds how far a build holds")
            return
        self._searching()

    def unknowns(self) -> None:
        """Search beside the screen for what would be worth measuring."""
        session = self.hw.session
        answer = session.answer
        if answer is None or session.stale:
            self.hw.say("nothing is answered yet")
            return
        from configurator.tui.further import measures_said

        self.hw.search(
            lambda stale: ("what to measure", measures_said(answer, session.draft, stale))
        )
        self._searching()

    def _searching(self) -> None:
        words = "~ searching; this may take some seconds, and ends when you change anything"
        self.screen.why.show("searching", [Said(words)])
        self.screen.action_panel("3")

    # Out of the screen

    def export(self) -> None:
        """Choose a form and a file."""
        if self.hw.session.draft.question()[0] is None:
            self.hw.say("nothing to export yet")
            return
        from configurator.tui.exporting import FORMS

        entries = [(form, words) for form, words in FORMS.items()]
        self.screen.find("Export the builds as", entries, self._export_as)

    def _export_as(self, form: str) -> None:
        from configurator.tui.exporting import ENDINGS

        draft = self.hw.session.draft
        stem = (
            f"{draft.material.name}-{draft.process.name}"
            if draft.material and draft.process
            else ""
        )
        ending = ENDINGS.get(form, form)
        prompt = Prompt("Write to which file?", str(Path.cwd() / f"{stem or 'builds'}.{ending}"))
        self.hw.push_screen(prompt, partial(self._export_to, form))

    def _export_to(self, form: str, name: str | None) -> None:
        question = self.hw.session.question
        if name is None or question is None:
            return
        path = Path(name).expanduser()
        if path.exists():
            self.hw.say(f"{path} is there: nothing written")
            return
        solve = self.hw.solve
        build = self.screen.builds.build
        rank = 1 if build is None else build.rank

        def work() -> object:
            from configurator.tui.exporting import exported

            try:
                write(path, exported(solve(question), form, rank=rank))
            except OSError as error:
                return f"not written: {error.strerror or error}"
            return f"written: {path}"

        self.hw.say("~ exporting")
        self.hw.work_out("export", work)

    def line(self) -> None:
        """Show the command, and send it to the terminal's clipboard."""
        app = self.hw
        folder = app.folder if app.folder is not None else Path()
        command = command_line(app.session, folder, app.options)
        if not command:
            app.say("no question yet")
            return
        changed = str(folder) in command
        self.show_command(
            command, ["What you changed is in the files that it names."] if changed else []
        )

    def show_command(self, command: str, notes: Sequence[str]) -> None:
        """Show a command with what there is to say of it."""
        app = self.hw
        app.copy_to_clipboard(command)
        lines: list[Spans] = [[(line, "strong")] for line in wrapped(command, app.size.width - 6)]
        lines += [
            [("", "")],
            [("Sent to the terminal's clipboard; not all terminals take it.", "")],
            *([(note, "")] for note in notes),
        ]
        app.push_screen(PageScreen("The same on the command line", lines))

    # Around it

    def theme(self) -> None:
        """Go to the next theme."""
        names = [theme.name for theme in THEMES.values()]
        if self.hw.no_color:
            self.hw.say("NO_COLOR is set: mono it is")
            return
        self.hw.theme = names[(names.index(self.hw.theme) + 1) % len(names)]
        self.hw.say(f"theme {list(THEMES)[names.index(self.hw.theme)]}")

    def commands(self) -> None:
        """Choose a command by its name."""
        entries = [(deed, words) for _, deed, words in HELP if deed != "commands"]
        self.screen.find("Commands", entries, self.screen.action_deed)

    def help(self) -> None:
        """Show all keys and marks."""
        self.hw.push_screen(PageScreen("Keys and marks", key_lines()))

    def review(self) -> None:
        """Go to the results of a screening."""
        self.hw.reviewing.show()
