"""What leaves the screen: files of what is asked, exports of what is listed, the command line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from configurator.errors import HeadwrightError
from configurator.reading import is_there, typed_path
from configurator.report.written import write_text
from configurator.tui.document import Document
from configurator.tui.kept import command_line
from configurator.tui.panel_screen import PanelScreen
from configurator.tui.screens import Chooser, Prompt, show_command
from configurator.units.display import spaced
from configurator.units.toml_text import toml_text


class FileScreen(PanelScreen):
    """Panels whose work can be written to files."""

    def action_files(self) -> None:
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

    def action_export(self) -> None:
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
        app = self.hw
        folder = app.folder if app.folder is not None else Path()
        command = command_line(app.session, folder, app.options)
        if not command:
            app.say("no question yet")
            return
        changed = str(folder) in command
        notes = ["What you changed is in the files that it names."] if changed else []
        show_command(app, command, notes)
