"""Duty: what is asked, field by field, with faults where they are, and how a field is edited."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input

from configurator.errors import Fault, HeadwrightError
from configurator.report.lines import cells, cut
from configurator.request.intake import Gap
from configurator.request.load import material_files, process_files
from configurator.tui.document import Kind, open_document, steps
from configurator.tui.form import LEVELS, MATTERS, Field, faults_at, fields_of
from configurator.tui.line_panel import LinePanel
from configurator.tui.looks import Spans, column, paragraph
from configurator.tui.screens import Chooser, Entry
from configurator.units.display import show_quantity
from configurator.units.interval import Basis
from configurator.units.quantity import Quantity

LABEL = 16
HEADED = ("a", "b", "flow", "filler", "constituents", "mix", "deposit", "production")
"""Tables that are named where only what matters is shown."""

BY_HAND = "(by hand)"
BASES = tuple(basis.value for basis in Basis)


@dataclass(frozen=True)
class DutyRow:
    """One line: a document's name, a field, or a fault below its field."""

    kind: Kind
    field: Field | None = None
    """None for the name of the document."""
    fault: str = ""


class DutyPanel(LinePanel):
    """The material and the process as fields."""

    NAME = "Duty"
    DIGIT = "1"
    HINTS = "Enter edit  a more  / find  j next fault  Del empty  b basis"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "all_fields", "what matters, the fields set, or all", id="duty.all"),
        Binding("slash", "find", "find a field", id="duty.find"),
        Binding("j", "fault", "next fault", id="duty.fault"),
        Binding("b", "basis", "next basis of the field", id="duty.basis"),
        Binding("delete,backspace", "empty", "empty the field", id="duty.empty"),
    ]

    def __init__(self, **names: str) -> None:
        super().__init__(**names)
        self.level = LEVELS[0]
        self.rows: list[DutyRow] = []
        self._gaps: dict[str, Gap] = {}

    def renew(self) -> None:
        session = self.hw.session
        self._gaps = {}
        if session.answer is not None and not session.stale:
            notes = session.answer.subject.filled.notes
            self._gaps = {gap.field.removeprefix("process."): gap for gap in notes}
        here = self.current
        self.rows = [row for kind in ("material", "process") for row in self._rows(kind)]
        if here is not None:
            same = (here.kind, here.field.path if here.field else "")
            for index, row in enumerate(self.rows):
                if not row.fault and (row.kind, row.field.path if row.field else "") == same:
                    self.cursor = index
                    break
        super().renew()

    def _rows(self, kind: Kind) -> list[DutyRow]:
        session = self.hw.session
        document = session.document(kind)
        rows = [DutyRow(kind)]
        if document is None:
            return rows
        faults = tuple(fault for fault in session.faults if fault.where == kind)
        fields = fields_of(document)
        paths = {field.path for field in fields}
        for field in fields:
            wrong = faults_at(field.path, faults)
            inside = any(fault.field.startswith(f"{field.path}.") for fault in faults)
            below = field.path.removeprefix("component.").removeprefix("a.").removeprefix("b.")
            set_here = bool(field.text) or (field.heading and document.at(field.path) is not None)
            wanted = {
                LEVELS[0]: (set_here and below.startswith(MATTERS)) or field.path in self._gaps,
                LEVELS[1]: set_here,
                LEVELS[2]: True,
            }
            if field.heading and self.level == LEVELS[0]:
                wanted[LEVELS[0]] = set_here and below in HEADED
            if wanted[self.level] or wrong or (field.heading and inside):
                rows.append(DutyRow(kind, field))
            rows += self._faulty(kind, field, [_said(fault) for fault in wrong])
        lost = [f"{fault.field}: {_said(fault)}" for fault in faults if fault.field not in paths]
        return rows + self._faulty(kind, None, lost)

    def _faulty(self, kind: Kind, field: Field | None, texts: Sequence[str]) -> list[DutyRow]:
        width = max(self.size.width, 20)
        return [
            DutyRow(kind, field, "".join(text for text, _ in line))
            for words in texts
            for line in paragraph(words, width, indent="  ")
        ]

    @property
    def current(self) -> DutyRow | None:
        """The row under the cursor."""
        return self.rows[self.cursor] if self.cursor < len(self.rows) else None

    def count(self) -> int:
        return len(self.rows)

    def stops_at(self, index: int) -> bool:
        row = self.rows[index]
        return not row.fault and (row.field is None or not row.field.heading)

    def last_of(self, index: int) -> int:
        while index + 1 < len(self.rows) and self.rows[index + 1].fault:
            index += 1
        return index

    def line(self, index: int, width: int) -> Spans:
        row = self.rows[index]
        mark = ">" if index == self.cursor else " "
        if row.fault:
            return [(row.fault, "fault")]
        if row.field is None:
            document = self.hw.session.document(row.kind)
            name = "(none: Enter chooses)" if document is None else document.name or "(no name)"
            edited = " (changed)" if document is not None and document.edited else ""
            return [
                (f"{mark}{row.kind.upper():<9}", "strong"),
                (f"{name}{edited}", "accent"),
            ]
        field = row.field
        if field.heading:
            return [
                (
                    f" {field.path.removeprefix('component.').replace('.', ' / ').replace('_', ' ')}",
                    "strong",
                )
            ]
        wrong = index + 1 < len(self.rows) and bool(self.rows[index + 1].fault)
        label = column(field.label, min(max(LABEL, 3 * width // 10), 24, max(width // 2 - 2, 8)))
        room = max(width - cells(label) - 3, 4)
        if not field.text and field.path in self._gaps:
            return [
                (f"{mark} {label} ", ""),
                (cut(f"~ {self._gaps[field.path].used}", room), "unproven"),
            ]
        text = cut(field.text or "-", room)
        return [(f"{mark}{'!' if wrong else ' '}{label} ", ""), (text, "fault" if wrong else "")]

    def foot(self, width: int) -> Sequence[Spans]:
        row = self.current
        if row is None:
            return ()
        if row.field is None:
            document = self.hw.session.document(row.kind)
            words = "Enter chooses by name, or starts one by hand"
            if document is not None and document.title:
                words = document.title
            return paragraph(words, width)[:3]
        if self.last_of(self.cursor) > self.cursor:
            return ()  # what is accepted stands below the field already
        lines = list(paragraph(f"accepts {row.field.accepts}", width)[:3])
        read = self._read(row)
        if read:
            lines += paragraph(f"read as {read}", width, "accent")[:2]
        return lines

    def _read(self, row: DutyRow) -> str:
        """How a quantity was understood, with its basis; where it is missing, what stands in."""
        if row.field is None:
            return ""
        if row.field.path in self._gaps and not row.field.text:
            gap = self._gaps[row.field.path]
            return f"{gap.used}; to settle it: {gap.settle_with}"
        value: object = self.hw.session.model(row.kind)
        for step in steps(row.field.path):
            if isinstance(step, str):
                value = getattr(value, step, None)
            elif isinstance(value, tuple):
                value = value[step] if step < len(value) else None
        return show_quantity(value) if isinstance(value, Quantity) else ""

    def title_words(self) -> str:
        return f"{self.NAME}: {self.level}"

    def action_all_fields(self) -> None:
        self.level = LEVELS[(LEVELS.index(self.level) + 1) % len(LEVELS)]
        self.renew()

    def action_find(self) -> None:
        documents = self.hw.session.draft.documents
        found = {
            f"{document.kind} {field.path}": (document.kind, field.path, field.text)
            for document in documents
            for field in fields_of(document)
            if not field.heading
        }

        def then(name: str) -> None:
            where = found[name][:2]
            self.level = LEVELS[2]
            self.renew()
            self._go_to(lambda row: (row.kind, row.field.path if row.field else "") == where)

        entries = [(name, text or "-") for name, (_, _, text) in found.items()]
        self.hw.ask_for(Chooser("Find a field", entries), then)

    def action_fault(self) -> None:
        if not any(row.fault for row in self.rows):
            self.hw.say("no fault in Duty")
            return
        faulty = {id(row.field) for row in self.rows if row.fault and row.field is not None}
        after = self.rows[self.cursor + 1 :]
        wanted = next((row for row in after if id(row.field) in faulty and not row.fault), None)
        self._go_to(lambda row: row is wanted if wanted else id(row.field) in faulty)

    def _go_to(self, wanted: Callable[[DutyRow], bool]) -> None:
        self.go(next((at for at, row in enumerate(self.rows) if wanted(row)), self.cursor))

    def action_basis(self) -> None:
        row = self.current
        if row is None or row.field is None or row.field.kind is None:
            return
        model = self.hw.session.model(row.kind)
        now = row.field.basis or (BASES[0] if model is None else model.basis.value)
        following = BASES[(BASES.index(now) + 1) % len(BASES)] if now in BASES else BASES[0]
        if self.hw.session.rest_on(row.kind, row.field, following):
            self.hw.changed(f"{row.field.label} rests on: {following}")

    def action_empty(self) -> None:
        row = self.current
        if row is None or row.field is None or row.field.fixed:
            return
        if self.hw.session.type(row.kind, row.field, ""):
            self.hw.changed(f"{row.field.label} emptied")


def _said(fault: Fault) -> str:
    return "; ".join(filter(None, (f"accepted: {fault.accepted}", fault.hint)))


class DutyBox(Vertical):
    """Fields, and below them while one is edited, the line in which one types."""

    DEFAULT_CSS = "DutyBox #field { display: none; } DutyBox.-editing #field { display: block; }"

    def __init__(self) -> None:
        super().__init__(id="duty", classes="main")
        self.panel = DutyPanel(id="duty-fields")
        self._editing: tuple[Kind, Field] | None = None

    def compose(self) -> ComposeResult:
        yield self.panel
        yield Input(id="field", compact=True, select_on_focus=False)

    def on_line_panel_acted(self) -> None:
        """Choose a document, or edit the field: from its few values, or as a line."""
        row = self.panel.current
        if row is None:
            return
        field = row.field
        if field is None:
            self._choose_document(row.kind)
        elif field.choices and not field.many:
            entries: list[Entry] = [(choice, "") for choice in field.choices]
            self.panel.hw.ask_for(
                Chooser(field.label, entries), partial(self._took, row.kind, field)
            )
        elif not field.fixed:
            self._edit(row.kind, field)

    def _choose_document(self, kind: Kind) -> None:
        """Choose an example, a file, or a blank one."""
        examples = self.panel.hw.session.examples
        names = material_files if kind == "material" else process_files
        entries = [(name, open_document(kind, name, examples).title) for name in names(examples)]
        entries.append((BY_HAND, f"a blank {kind} to fill in"))
        chooser = Chooser(f"Choose a {kind}", entries, free=True)
        self.panel.hw.ask_for(chooser, partial(self._open, kind))

    def _open(self, kind: Kind, name: str) -> None:
        app = self.panel.hw
        if name == BY_HAND:
            app.session.start_blank(kind)
            app.changed(f"fill the {kind} in: faults say what is missing")
            return
        try:
            app.session.open(kind, name)
        except HeadwrightError as error:
            app.say(str(error))
            return
        app.changed(f"{kind} {name}")

    def _took(self, kind: Kind, field: Field, choice: str) -> None:
        if self.panel.hw.session.type(kind, field, choice):
            self.panel.hw.changed(f"{field.label}: {choice}")

    def _edit(self, kind: Kind, field: Field) -> None:
        self._editing = (kind, field)
        self.add_class("-editing")
        line = self.query_one(Input)
        line.value = field.text
        line.cursor_position = len(field.text)
        line.placeholder = "" if field.kind is None else field.kind.example
        line.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
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
        if event.key == "escape" and self._editing is not None:
            event.stop()
            self._close()

    def _close(self) -> None:
        self._editing = None
        self.remove_class("-editing")
        self.panel.focus()
