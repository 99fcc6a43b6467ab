"""Results as CSV or JSON Lines, found by the byte at which each begins, and as Parquet, by groups."""

from __future__ import annotations

import csv
import json
import weakref
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache, partial
from itertools import accumulate
from operator import itemgetter
from pathlib import Path
from typing import Any, BinaryIO, Literal

from configurator.errors import InputError
from configurator.report.machine import unguarded
from configurator.screen.parquet import pyarrow
from configurator.screen.result_columns import COUNTS, NAMES
from configurator.screen.results import LONGEST_LINE, check_heads, typed_cell, with_counts
from configurator.tui.review.result_file import (
    CHECKED_EVERY,
    FIGURES,
    OWN_NAMES,
    TABLE,
    OddCellError,
    ResultFile,
    SearchWords,
    Stretch,
    Whole,
    searched,
    stretch_of,
)

BLOCK = 1 << 18
"""Bytes that are parsed in one go: long enough to be quick, short enough to let keys through."""


class LineFile(ResultFile):
    """A results file of lines; an InputError if it cannot be read or holds no results."""

    def __init__(self, path: Path, form: Literal["csv", "jsonl"]) -> None:
        super().__init__(path)
        self._is_csv = form == "csv"
        # Open for as long as it is looked at: a file that takes its place changes nothing here.
        self._file = self._opened()
        weakref.finalize(self, self._file.close)
        self._begin = 0
        self.heads = self._read_heads()
        self._kept = itemgetter(*(self.heads.index(name) for name in FIGURES))
        self._searched = searched(self.heads)

    def stretches(self) -> Iterator[Stretch]:
        """Yield all rows in their order, a stretch at a time, up to the first that is no result."""
        with self._opened() as file:
            file.seek(self._begin)
            at, number, rest = self._begin, 2 if self._begin else 1, b""
            while block := self._read(file, BLOCK):
                *lines, rest = (rest + block).split(b"\n")
                if len(rest) >= LONGEST_LINE:
                    raise self._fault(number + len(lines), "a line without end")
                if not lines:
                    continue
                ends = list(accumulate((len(line) + 1 for line in lines), initial=at))
                yield self._stretch(ends[:-1], lines, number)
                at, number = ends[-1], number + len(lines)
            self.torn = bool(rest)

    def rows(self, starts: Sequence[int], *, whole: bool = True) -> list[Mapping[str, Any]]:
        """Read some rows, each by where it begins; a line is never read in part."""
        del whole
        found: list[Mapping[str, Any]] = []
        for start in starts:
            self._file.seek(start)
            line = self._file.readline(LONGEST_LINE)
            try:
                found.append(self._row(line))
            except (ValueError, TypeError, csv.Error, RecursionError):
                raise self.changed() from None
        return found

    def matching(
        self, words: SearchWords, starts: Whole, is_stale: Callable[[], bool]
    ) -> Iterator[bool]:
        """Yield for each row whether its text holds all words; ends early once nobody waits."""
        with self._opened() as file:
            at = -1
            for number, start in enumerate(starts.tolist()):
                if number % CHECKED_EVERY == 0 and is_stale():
                    return
                if start != at:
                    file.seek(start)
                line = file.readline(LONGEST_LINE)
                at = start + len(line)
                yield words.may_be_in(line) and words.are_in(self._text(line))

    # One line and many

    def _text(self, line: bytes) -> Iterable[object]:
        try:
            row = self._row(line)
        except (ValueError, TypeError, csv.Error, RecursionError):
            return ()
        return (row.get(name) for name in self._searched)

    def _row(self, line: bytes) -> dict[str, Any]:
        """One row by column, as `read_results` gives it."""
        text = line.decode("utf-8-sig" if self._begin == 0 else "utf-8")
        if not self._is_csv:
            return with_counts(_object(text))
        cells = next(csv.reader([text], strict=True), [])
        return {head: typed_cell(head, cell) for head, cell in zip(self.heads, cells, strict=True)}

    def _stretch(self, starts: list[int], lines: list[bytes], number: int) -> Stretch:
        try:
            return stretch_of(starts, self._figures(lines, number))
        except OddCellError as odd:
            raise self._fault(number + odd.at, odd.given) from None

    def _figures(self, lines: list[bytes], number: int) -> list[Sequence[Any]]:
        """The kept columns of many lines: in one go, or one by one to find the line at fault."""
        try:
            return self._at_once(lines)
        except (ValueError, TypeError, csv.Error, RecursionError):
            return [self._alone(line, number + place) for place, line in enumerate(lines)]

    def _at_once(self, lines: list[bytes]) -> list[Sequence[Any]]:
        texts = b"\n".join(lines).decode("utf-8").split("\n")
        if not self._is_csv:
            return [_figures_of(_object(text)) for text in texts]
        rows = list(csv.reader(texts, strict=True))
        if len(rows) != len(lines) or {*map(len, rows)} != {len(self.heads)}:
            raise ValueError("a row is not a line")
        return [*map(self._kept, rows)]

    def _alone(self, line: bytes, number: int) -> Sequence[Any]:
        try:
            text = line.decode("utf-8-sig" if number == 1 else "utf-8")
            if not self._is_csv:
                return _figures_of(_object(text))
            cells = next(csv.reader([text], strict=True), [])
        except UnicodeDecodeError:
            given = "bytes that are not UTF-8"
        except csv.Error:
            given = "a broken cell"
        except TypeError:
            given = "no JSON object"
        except (ValueError, RecursionError):
            given = "no JSON"
        else:
            if len(cells) == len(self.heads):
                figures: Sequence[Any] = self._kept(cells)
                return figures
            given = f"{len(cells)} cells, {len(self.heads)} wanted"
        raise self._fault(number, given)

    # The file

    def _opened(self) -> BinaryIO:
        try:
            return self.path.open("rb")
        except OSError as error:
            raise self._unreadable(error) from None

    def _read(self, file: BinaryIO, size: int) -> bytes:
        try:
            return file.read(size)
        except OSError as error:
            raise self._unreadable(error) from None

    def _read_heads(self) -> tuple[str, ...]:
        """Columns: the first line of CSV, the keys of the first row of JSON Lines."""
        try:
            line = self._file.readline(LONGEST_LINE)
        except OSError as error:
            raise self._unreadable(error) from None
        whole = line.endswith(b"\n")
        if not self._is_csv and not whole:
            return NAMES
        if not whole:
            raise self._fault(1, "no whole line" if line else "nothing")
        try:
            text = line.decode("utf-8-sig")
            if self._is_csv:
                heads = [unguarded(cell) for cell in next(csv.reader([text], strict=True), [])]
                self._begin = len(line)
            else:
                heads = list(_object(text))
        except (ValueError, TypeError, csv.Error, RecursionError):
            given = "a broken cell" if self._is_csv else "no JSON object"
            raise self._fault(1, given) from None
        check_heads(self.path, heads)
        return tuple(heads)

    def _unreadable(self, error: OSError) -> InputError:
        return self.fault("file", error.strerror or "unreadable", "a file of results")

    def _fault(self, number: int, given: str) -> InputError:
        return self.fault(f"line {number}", given)


def _object(text: str) -> dict[str, Any]:
    """A line of JSON Lines; a TypeError if it is JSON and no object."""
    row = json.loads(text)
    if not isinstance(row, dict):
        raise TypeError(text)
    return row


def _figures_of(row: Mapping[str, Any]) -> Sequence[Any]:
    return [row.get(name) for name in FIGURES]


GROUPS_KEPT, PARTS_KEPT = 4, 128
"""Groups of rows that stay in memory, whole, and with what a table shows of them alone."""


class ColumnFile(ResultFile):
    """A Parquet file of results; a UsageError if pyarrow is not installed."""

    def __init__(self, path: Path) -> None:
        super().__init__(path)
        self._arrow = pyarrow()
        file = self._opened()
        self.heads: tuple[str, ...] = tuple(file.schema_arrow.names)
        check_heads(path, self.heads)
        sizes = [file.metadata.row_group(at).num_rows for at in range(file.num_row_groups)]
        self._firsts = [*accumulate(sizes, initial=0)]
        self._searched = searched(self.heads)
        in_table = [name for name in (*OWN_NAMES, *TABLE) if name in self.heads]
        read = partial(self._read, file)
        self._whole = lru_cache(maxsize=GROUPS_KEPT)(partial(read, names=None))
        self._part = lru_cache(maxsize=PARTS_KEPT)(partial(read, names=in_table))

    def stretches(self) -> Iterator[Stretch]:
        """Yield all rows in their order, a stretch at a time, up to the first that is no result."""
        file = self._opened()
        for group, first in enumerate(self._firsts[:-1]):
            table = self._read(file, group, FIGURES)
            columns = [table.column(name).to_pylist() for name in FIGURES]
            rows = list(zip(*columns, strict=True))
            try:
                yield stretch_of(range(first, first + len(rows)), rows)
            except OddCellError as odd:
                raise self.fault(f"row {first + odd.at + 1}", odd.given) from None

    def rows(self, starts: Sequence[int], *, whole: bool = True) -> list[Mapping[str, Any]]:
        read = self._whole if whole else self._part
        found = []
        for start in starts:
            group = bisect_right(self._firsts, start) - 1
            at = start - self._firsts[group]
            (row,) = read(group).slice(at, 1).to_pylist()
            for name in COUNTS:
                if row.get(name) is not None:
                    row[name] = int(row[name])
            found.append(row)
        return found

    def matching(
        self, words: SearchWords, starts: Whole, is_stale: Callable[[], bool]
    ) -> Iterator[bool]:
        """Yield for each row whether its text holds all words; ends early once nobody waits."""
        file = self._opened()
        group = -1
        columns: Sequence[Sequence[Any]] = ()
        for number, start in enumerate(starts.tolist()):
            if number % CHECKED_EVERY == 0 and is_stale():
                return
            here = bisect_right(self._firsts, start) - 1
            if here != group:
                group, table = here, self._read(file, here, self._searched)
                columns = tuple(zip(*(column.to_pylist() for column in table.columns), strict=True))
            yield words.are_in(columns[start - self._firsts[group]])

    def _read(self, file: Any, group: int, names: Sequence[str] | None) -> Any:
        try:
            return file.read_row_group(group, columns=None if names is None else list(names))
        except (OSError, self._arrow.ArrowException) as error:
            raise self._unreadable(error) from None

    def _opened(self) -> Any:
        try:
            return self._arrow.parquet.ParquetFile(self.path)
        except (OSError, self._arrow.ArrowException) as error:
            raise self._unreadable(error) from None

    def _unreadable(self, error: Exception) -> InputError:
        first = (str(error).splitlines() or ["unreadable"])[0]
        return self.fault("file", first, "a Parquet file of results")
