"""Duty: what is asked, field by field, with faults where they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.binding import Binding, BindingType

from configurator.report.lines import cells, cut
from configurator.request.intake import Gap
from configurator.tui.document import Kind
from configurator.tui.form import Field, faults_at, fields_of
from configurator.tui.line_panel import LinePanel
from configurator.tui.spans import Spans, column, paragraph
from configurator.units.display import show_quantity
from configurator.units.interval import Basis
from configurator.units.quantity import Quantity

LABEL = 16
BASES = tuple(basis.value for basis in Basis)


@dataclass(frozen=True)
class DutyRow:
    """One line: a document's name, a field, or a fault below its field."""

    kind: Kind
    """material or process."""
    field: Field | None = None
    """None for the name of the document."""
    fault: str = ""
    """A line of what is wrong."""


class DutyPanel(LinePanel):
    """The material and the process as fields."""

    NAME = "Duty"
    DIGIT = "1"
    HINTS = "Enter edit/choose  Del empty  a all fields  b basis  k keep as files"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "all_fields", "all fields or those set", id="duty.all"),
        Binding("b", "basis", "next basis of the field", id="duty.basis"),
        Binding("delete,backspace", "empty", "empty the field", id="duty.empty"),
    ]

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - textual's names
        super().__init__(id=id, classes=classes)
        self.everything = False
        self.rows: list[DutyRow] = []
        self._gaps: dict[str, Gap] = {}

    def renew(self) -> None:
        """Lay out the fields anew."""
        session = self.hw.session
        self._gaps = {}
        if session.answer is not None and not session.stale:
            self._gaps = {gap.field: gap for gap in session.answer.subject.filled.notes}
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
            wanted = field.text or wrong or self.everything
            if field.heading:
                wanted = wanted or inside or document.at(field.path) is not None
            if wanted:
                rows.append(DutyRow(kind, field))
            rows += self._faulty(kind, field, [self._said(fault) for fault in wrong])
        lost = [f for f in faults if f.field not in paths]
        for fault in lost:
            rows += self._faulty(kind, None, [f"{fault.field}: {self._said(fault)}"])
        return rows

    @staticmethod
    def _said(fault: object) -> str:
        accepted = getattr(fault, "accepted", "")
        hint = getattr(fault, "hint", "")
        return f"accepted: {accepted}" + (f"; {hint}" if hint else "")

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
        """All rows."""
        return len(self.rows)

    def stops_at(self, index: int) -> bool:
        """Everything but headings and faults."""
        row = self.rows[index]
        return not row.fault and (row.field is None or not row.field.heading)

    def last_of(self, index: int) -> int:
        """The last fault below a field."""
        while index + 1 < len(self.rows) and self.rows[index + 1].fault:
            index += 1
        return index

    def line(self, index: int, width: int) -> Spans:
        """A field as label and value."""
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
            return [(f" {field.path.replace('.', ' / ').replace('_', ' ')}", "strong")]
        wrong = index + 1 < len(self.rows) and bool(self.rows[index + 1].fault)
        label = column(field.label, min(LABEL, max(width // 2 - 2, 8)))
        if not field.text and field.path in self._gaps:
            return [(f"{mark} {label} ", ""), (f"~ {self._gaps[field.path].used}", "unproven")]
        text = cut(field.text or "-", max(width - cells(label) - 3, 4))
        return [(f"{mark}{'!' if wrong else ' '}{label} ", ""), (text, "fault" if wrong else "")]

    def foot(self, width: int) -> Sequence[Spans]:
        """What the field under the cursor accepts, and how it was read."""
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
        question, _ = self.hw.session.checked
        if question is None or row.field is None:
            return ""
        if row.field.path in self._gaps and not row.field.text:
            gap = self._gaps[row.field.path]
            return f"{gap.used}; to settle it: {gap.settle_with}"
        value: object = question.material if row.kind == "material" else question.process
        for step in row.field.path.replace("[", ".").replace("]", "").split("."):
            if isinstance(value, tuple) and step.isdigit() and int(step) < len(value):
                value = value[int(step)]
            else:
                value = getattr(value, step, None)
        return show_quantity(value) if isinstance(value, Quantity) else ""

    def act(self) -> None:
        """Choose a document, or edit the field."""
        row = self.current
        if row is None:
            return
        if row.field is None:
            self.hw.main.deeds.choose_document(row.kind)
        elif not row.field.fixed:
            self.hw.main.edit_field(row.kind, row.field)

    def action_all_fields(self) -> None:
        """Show every field, or those that are set."""
        self.everything = not self.everything
        self.renew()

    def action_basis(self) -> None:
        """Say the next thing that the quantity rests on."""
        row = self.current
        if row is None or row.field is None or row.field.kind is None:
            return
        question, _ = self.hw.session.checked
        now = row.field.basis or (
            (question.material if row.kind == "material" else question.process).basis.value
            if question is not None
            else BASES[0]
        )
        following = BASES[(BASES.index(now) + 1) % len(BASES)] if now in BASES else BASES[0]
        if self.hw.session.rest_on(row.kind, row.field, following):
            self.hw.changed(f"{row.field.label} rests on: {following}")

    def action_empty(self) -> None:
        """Empty the field."""
        row = self.current
        if row is None or row.field is None or row.field.fixed:
            return
        if self.hw.session.type(row.kind, row.field, ""):
            self.hw.changed(f"{row.field.label} emptied")
