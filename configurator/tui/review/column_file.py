"""Results as Parquet: read by groups of rows, and of each no more columns than are asked for."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache, partial
from itertools import accumulate
from pathlib import Path
from typing import Any

from configurator.errors import InputError
from configurator.screen.parquet import pyarrow
from configurator.screen.results import COUNTS, check_heads
from configurator.tui.review.result_file import (
    CHECKED_EVERY,
    OWN_NAMES,
    TABLE,
    ResultFile,
    SearchWords,
    searched,
)
from configurator.tui.review.stretch import FIGURES, OddCellError, Stretch, Whole, stretch_of

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
        """Read some rows, each by its place among all."""
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
