"""The duty panel and, below it while a field is edited, the line in which one types."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Input

from configurator.tui.document import Kind
from configurator.tui.form import Field
from configurator.tui.panels.duty import DutyPanel


class DutyBox(Vertical):
    """Fields, and one input for the field at hand."""

    DEFAULT_CSS = "DutyBox #field { display: none; } DutyBox.-editing #field { display: block; }"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - textual's names
        super().__init__(id=id, classes=classes)
        self._editing: tuple[Kind, Field] | None = None

    def compose(self) -> ComposeResult:
        """Panel above, input below."""
        yield DutyPanel(id="duty-fields")
        yield Input(id="field", compact=True, select_on_focus=False)

    @property
    def panel(self) -> DutyPanel:
        """The fields."""
        return self.query_one(DutyPanel)

    def edit(self, kind: Kind, field: Field) -> None:
        """Type at a field."""
        self._editing = (kind, field)
        self.add_class("-editing")
        line = self.query_one(Input)
        line.value = field.text
        line.cursor_position = len(field.text)
        line.placeholder = "" if field.kind is None else field.kind.example
        line.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take what was typed."""
        event.stop()
        editing = self._editing
        self._close()
        if editing is None:
            return
        kind, field = editing
        app = self.panel.hw
        if app.session.type(kind, field, event.value):
            wrong = [fault for fault in app.session.faults if fault.field == field.path]
            app.changed(
                f"{field.label}: not accepted as it is" if wrong else f"{field.label} taken"
            )

    def on_key(self, event: events.Key) -> None:
        """Leave the field as it was on Escape."""
        if event.key == "escape" and self._editing is not None:
            event.stop()
            self._close()

    def _close(self) -> None:
        self._editing = None
        self.remove_class("-editing")
        self.panel.focus()
