"""A list of materials, read row by row with flat memory: CSV or JSON Lines, a file or a pipe."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Self, cast

from configurator.errors import Fault, InputError, shown
from configurator.request.material import Material
from configurator.screen.csv_rows import CsvRows
from configurator.screen.header import Row, warnings_on
from configurator.screen.json_rows import JsonRows
from configurator.screen.lines import LIST_WANTED, Lines, Source, checked_encoding
from configurator.screen.row_material import RowReader, as_line

ListForm = Literal["csv", "jsonl"]

STANDARD_INPUT = "-"

_ENDINGS: Mapping[str, ListForm] = {
    ".csv": "csv",
    ".tsv": "csv",
    ".txt": "csv",
    ".jsonl": "jsonl",
    ".ndjson": "jsonl",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of a list with what came of it."""

    number: int
    """1 for the first row below the header; empty rows do not count, rows with faults do."""
    line: int
    """Of the file, where the row begins; the first is 1."""
    cells: Mapping[str, str]
    """Text of every column of the list, in its order."""
    material: Material | None
    """None if the row has a fault."""
    fault: str = ""
    """One printable line that says why there is no material; else empty."""


class MaterialList(Iterator[Entry]):
    """The entries of an open list, once.

    `row` and `reader` are the two halves of an entry: a process that only hands rows on can leave
    the materials to others. `whole` has read the list once through if it is a file.

    Raises
    ------
    InputError
        If the list has no header; while reading, if the bytes are not text, or if the file has
        changed since it was opened.
    """

    def __init__(
        self,
        source: Source,
        name: str,
        form: ListForm | None,
        reader: RowReader,
        whole: Source | None = None,
    ) -> None:
        self.name = name
        self.reader = reader
        self._source = source
        self._expected = "" if whole is None else whole.sha256
        self.about = 0 if whole is None else whole.lines
        """Rows that the list has at most, by its lines; 0 of a stream."""
        lines = Lines(source)
        if form is None:
            form = _form_of(lines)
        self._rows: CsvRows | JsonRows = (
            JsonRows(lines, name) if form == "jsonl" else CsvRows(lines, name)
        )
        self._warnings = list(warnings_on(self.columns, name))
        self._any = False
        self._ended = False

    @property
    def columns(self) -> tuple[str, ...]:
        """Every column in order; for JSON Lines the last is `...`, what the first row lacks."""
        return self._rows.header.columns

    @property
    def warnings(self) -> tuple[str, ...]:
        """What is odd about the list, a line each; complete only when every row was read."""
        late = self._rows.late_warnings if isinstance(self._rows, JsonRows) else ()
        return (*self._warnings, *late)

    @property
    def sha256(self) -> str:
        """Of the whole list if it is a file; of the bytes read so far if it is a stream."""
        return self._expected or self._source.sha256

    def row(self) -> Row:
        """Return the next row without asking what its cells mean.

        Raises
        ------
        StopIteration
            If there is none.
        """
        if self._ended:
            raise StopIteration
        try:
            row = next(self._rows)
        except StopIteration:
            self._finish()
            raise
        self._any = True
        return row

    def __next__(self) -> Entry:
        return entry_of(self.row(), self.reader)

    def close(self) -> None:
        """Close the file; a stream stays open, as it belongs to others."""
        self._source.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _finish(self) -> None:
        self._ended = True
        self.close()
        if not self._any:
            self._warnings.append(f"{shown(self.name, 200)}: no row below the header")
        if self._expected and self._source.sha256 != self._expected:
            accepted = "the same bytes from the first line to the last"
            given = "a list that changed while it was read"
            raise InputError([Fault(self.name, "file", given, accepted)])


def entry_of(row: Row, reader: RowReader) -> Entry:
    """Make an entry of a row: a material, or the one line that says why not."""
    try:
        material = reader.material(row)
    except InputError as error:
        return Entry(row.number, row.line, row.cells, None, as_line(error.faults))
    return Entry(row.number, row.line, row.cells, material)


def open_list(
    path_or_dash: str | Path,
    *,
    form: ListForm | None = None,
    encoding: str | None = None,
    folder: Path,
) -> MaterialList:
    """Open a list of materials.

    A file is read through once beforehand: its hash is known before the first row, and bytes
    that are no text are refused before any work is done. A pipe is read once, as it comes.

    Parameters
    ----------
    path_or_dash : str or Path
        The file, or `-` for standard input, where paths in the column `file` start from the
        current folder.
    form : "csv", "jsonl" or None
        None decides by the ending of the file's name, else by the first sign: `{` begins JSON.
    encoding : str or None
        One of `decoding.ENCODINGS`; None is UTF-8, or what a mark at the beginning says.
    folder : Path
        Folder of the shipped examples, with `materials` in it.

    Raises
    ------
    InputError
        If the list cannot be read, is not text in that encoding, or has no header.
    """
    stated = checked_encoding(encoding)
    if str(path_or_dash) == STANDARD_INPUT:
        if sys.stdin is None:
            raise InputError([Fault("standard input", "LIST", "closed", LIST_WANTED)])
        stream = cast("io.BufferedIOBase", sys.stdin.buffer)
        return read_list(
            stream, "standard input", form=form, encoding=stated, base=Path(), folder=folder
        )
    path = Path(path_or_dash)
    name = str(path_or_dash)
    form = form or _ENDINGS.get(path.suffix.lower())
    seen: Source | None = None
    try:
        if path.is_dir() or not path.exists():
            given = "a folder" if path.is_dir() else "no such file"
            raise InputError([Fault(name, "file", given, f"{LIST_WANTED}, or - for a pipe")])
        if path.is_file():
            with path.open("rb") as whole:
                seen = Source(whole, name, stated)
                seen.drain()
        opened = path.open("rb")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no name of a file"
        raise InputError([Fault(name, "file", reason, LIST_WANTED)]) from None
    reader = RowReader(name, path.parent, folder)
    try:
        return MaterialList(Source(opened, name, stated, owned=True), name, form, reader, seen)
    except BaseException:
        opened.close()
        raise


def read_list(
    stream: io.BufferedIOBase,
    name: str,
    *,
    form: ListForm | None = None,
    encoding: str | None = None,
    base: Path,
    folder: Path,
) -> MaterialList:
    """Read a list from a stream of bytes, which stays open; as `open_list` otherwise.

    Parameters
    ----------
    base : Path
        Folder that paths in the column `file` start from.

    Raises
    ------
    InputError
        If the list is not text in that encoding, or has no header.
    """
    source = Source(stream, name, checked_encoding(encoding))
    return MaterialList(source, name, form, RowReader(name, base, folder))


def _form_of(lines: Lines) -> ListForm:
    """Look at the first line that holds anything and put it back."""
    for line in lines:
        if line.text.strip() or line.too_long:
            lines.put_back([line])
            return "jsonl" if line.text.lstrip().startswith("{") else "csv"
    return "csv"
