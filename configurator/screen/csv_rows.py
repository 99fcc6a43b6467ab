"""Rows of a CSV file as spreadsheets write them, each with the line where it begins.

The separator is a comma, a semicolon or a tab: what a first line `sep=;` says, else the one that
stands most often outside quotes in the header's first line; of equals a tab before a semicolon
before a comma. A cell in double quotes may hold separators and line breaks; a quote in it is
doubled. A row that breaks these rules is a fault of its own. Reading goes on behind it, and
where a quote was opened and never closed properly, with the line after that quote.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from configurator.errors import Fault, InputError, shown
from configurator.report.machine import unguarded
from configurator.screen.header import (
    MAX_CELL,
    MAX_COLUMNS,
    MAX_LINE,
    Header,
    MadeHeader,
    Row,
    place,
    read_header,
)
from configurator.screen.lines import Lines, ListLine
from configurator.units.display import plural

SEPARATORS = ("\t", ";", ",")
"""The likelier first: a comma also stands inside text."""

_SAID = re.compile(r'"?sep=(.*?)"?', re.IGNORECASE)
_QUOTED = re.compile(r'"[^"]*"?')


@dataclass(slots=True)
class _Cells:
    """The cells of one row, gathered within bounds.

    A row that goes on without end keeps what came first and counts the rest.
    """

    line: int
    kept: list[str] = field(default_factory=list)
    count: int = 0
    last_filled: int = 0
    size: int = 0
    wrong: tuple[str, str, str] | None = None

    def add(self, cell: str) -> None:
        self.count += 1
        self.size += len(cell)
        if cell.strip():
            self.last_filled = self.count
        if self.size > MAX_LINE:
            self.refuse("a row of more than 1 MiB", f"rows of at most {MAX_LINE} characters")
        elif len(cell) > MAX_CELL:
            given = f"a cell of {len(cell)} characters"
            self.refuse(given, f"cells of at most {MAX_CELL} characters")
            self.kept.append("")
        elif self.count <= MAX_COLUMNS + 1:
            self.kept.append(cell)

    def refuse(self, given: str, accepted: str, hint: str = "") -> None:
        """Note what is wrong with the row; the first thing counts."""
        self.wrong = self.wrong or (given, accepted, hint)


class CsvRows(Iterator[Row]):
    """The rows of a CSV file below its header.

    Raises
    ------
    InputError
        If there is no header.
    """

    def __init__(self, lines: Lines, name: str, made: MadeHeader | None = None) -> None:
        self._lines, self._made = lines, made
        self._name = name
        self._number = 0
        self._separator = ","
        self.header = self._read_header()

    def __next__(self) -> Row:
        while True:
            cells = self._record()
            if cells.last_filled or cells.wrong:
                break
        self._number += 1
        columns = self.header.columns
        if cells.last_filled > len(columns) or cells.count < len(columns):
            given = plural(max(cells.last_filled, min(cells.count, len(columns))), "cell")
            hint = "a cell that holds the separator or a line break stands in double quotes"
            cells.refuse(given, f"{plural(len(columns), 'cell')}, as in the header", hint)
        kept = [unguarded(cell) for cell in cells.kept[: len(columns)]]
        kept += [""] * (len(columns) - len(kept))
        values = dict(zip(columns, kept, strict=True))
        fault = None
        if cells.wrong:
            fault = Fault(place(self._name, cells.line), "row", *cells.wrong)
        return Row(self._number, cells.line, values, values, fault)

    def _read_header(self) -> Header:
        line = next(self._lines, None)
        if line is not None and (said := _SAID.fullmatch(line.text.strip())):
            separator = said[1] or "\t"  # a tab at the end was taken for a blank
            if separator not in SEPARATORS:
                accepted = "sep=, or sep=; or a tab"
                self._refuse_header(line.number, f"sep={separator}", accepted)
            self._separator = separator
            line = next(self._lines, None)
        else:
            separator = ""
        while line is not None and not line.too_long and not line.text.strip(" \t,;"):
            line = next(self._lines, None)
        if line is None:
            raise InputError([Fault(self._name, "file", "nothing in it", "a header, then rows")])
        self._separator = separator or likeliest_separator(line.text)
        self._lines.put_back([line])
        cells = self._record()
        if cells.wrong:
            self._refuse_header(cells.line, *cells.wrong)
        kept = [unguarded(cell) for cell in cells.kept]
        return read_header(kept, self._name, cells.line, self._made)

    def _refuse_header(self, line: int, given: str, accepted: str, hint: str = "") -> None:
        raise InputError([Fault(place(self._name, line), "header", given, accepted, hint)])

    def _record(self) -> _Cells:
        line = next(self._lines)
        cells = _Cells(line.number)
        if line.too_long:
            cells.refuse("a line of more than 1 MiB", f"lines of at most {MAX_LINE} characters")
        elif '"' in line.text:
            self._quoted(line, cells)
        else:
            self._check(line, cells)
            for cell in line.text.split(self._separator):
                cells.add(cell)
        return cells

    def _check(self, line: ListLine, cells: _Cells) -> None:
        if "\0" in line.text:
            hint = "text without NUL characters; UTF-16 without a mark has them"
            cells.refuse("a NUL character", hint)

    def _quoted(self, line: ListLine, cells: _Cells) -> None:
        """Gather the cells of a row that has quotes."""
        at = 0
        self._check(line, cells)
        while True:
            text = line.text
            if text.startswith('"', at):
                closed = self._closed(line, at + 1, cells)
                if closed is None:
                    return
                line, at = closed
                text = line.text
                if at == len(text):
                    return
            else:
                end = text.find(self._separator, at)
                cells.add(text[at:] if end < 0 else text[at:end])
                if end < 0:
                    return
                at = end
            at += 1

    def _closed(self, line: ListLine, at: int, cells: _Cells) -> tuple[ListLine, int] | None:
        """Gather one quoted cell; return the line where it ends, and where what follows begins.

        None if it does not end properly: the lines behind its beginning are then put back.
        """
        taken: list[ListLine] = []
        pieces: list[str] = []
        size = 0
        while (end := _closing(line.text, at)) < 0:
            pieces.append(line.text[at:] + line.end)
            size += len(pieces[-1])
            following = next(self._lines, None) if size <= MAX_CELL else None
            if following is None:
                cells.refuse(
                    f"a quote without its closing quote within {MAX_CELL} characters"
                    if size > MAX_CELL
                    else "a quote without its closing quote",
                    "a closing quote behind each cell in quotes",
                )
                self._lines.put_back(taken)
                return None
            taken.append(following)
            if following.too_long:
                size = MAX_CELL
            self._check(following, cells)
            line, at = following, 0
        behind = line.text[end + 1 : end + 2]
        if behind and behind != self._separator:
            given = f"'{shown(line.text[end + 1 :], 20)}' behind a closing quote"
            cells.refuse(given, "a separator there; a quote inside a cell in quotes is doubled")
            self._lines.put_back(taken)
            return None
        pieces.append(line.text[at:end])
        cells.add("".join(pieces).replace('""', '"'))
        return line, end + 1


def _closing(text: str, at: int) -> int:
    """Place of the quote that closes a cell; below zero if it goes on in the next line."""
    while (end := text.find('"', at)) >= 0 and text.startswith('""', end):
        at = end + 2
    return end


def likeliest_separator(text: str) -> str:
    r"""Return the separator of a header's first line.

    Examples
    --------
    >>> likeliest_separator('name;"viscosity, as stated";at')
    ';'
    """
    outside = _QUOTED.sub("", text)
    best = max(SEPARATORS, key=outside.count)
    return best if best in outside else ","
