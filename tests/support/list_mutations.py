"""Lists of materials with something broken in them, and what must hold for any of them."""

from __future__ import annotations

import hashlib
import io
import json
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from flat_rows import EXAMPLES, MATERIAL_FILES, csv_list, flat_row, material_tables

from configurator.errors import InputError
from configurator.screen.header import MAX_CELL
from configurator.screen.lines import ENCODINGS
from configurator.screen.sources import ListForm, MaterialList, read_list

Item = TypeVar("Item")

NAME = "own.csv"
LONGEST_FAULT, MOST_FAULTS = 10_000, 1_000
MOST_ROWS = 4

TOKENS = (
    b'"', b'""', b'",', b'"\n', b",", b";", b"\t", b"\n", b"\r", b"\r\n", b"\0", b"'", b"'=1+1",
    b"sep=;\n", b"sep=|\n", b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff", b"\xff", b"\xc3", b"\xed\xa0\x80",
    b"\x1b[31m", b"\xe2\x80\xae", b"\xe2\x80\xa8", b"\x85", b"\x0b", b"\x0c", b"=1+1", b"@x", b"-5 degC",
    b"3,5 mPa*s", b"1e400 Pa", b"1..0 mm", b"20 degC +/- 5 %", b"9" * 400, b"(", b")", b"((((", b"(measured)",
    b"(note: x)", b"; ", b" 5 %", b"5 %; ", b" 1/s ", b"10:1", b"10:01:00", b"yes", b"estimated", b"two-part",
    b"{", b"}", b"[", b"]", b"[" * 40, b"{" * 3000, b"null", b"NaN", b"1e999", b'"\\ud800"', b'"\\u0000"',
    b'"file": "lid-sealant",', b"file", b"lid-sealant", b"../materials/bay-epoxy.toml", b"/dev/null", b"..",
    b"name", b"a_", b"b_", b"viscosity", b"densty", b"\xc2\xb5m", b"\xe2\x88\x925", b"\xc2\xa0", b" " * 300,
)  # fmt: skip
"""What readers trip over."""

LARGE = (
    b"x" * 70_000,
    b'"' * 70_000,
    b"a;" * 40_000,
    (b'"' + b"x" * 60 + b"\n") * 2500,
    b"1 " * 40_000,
    b"," * 70_000,
)
VERY_LARGE = (b"y" * 1_100_000, b"\n" * 300_000, b'","\n' * 20_000)
ONE_IN_LARGE, ONE_IN_VERY_LARGE = 60, 3000


@dataclass(frozen=True)
class Case:
    """One list as bytes, and how it is opened."""

    data: bytes
    form: ListForm | None
    encoding: str | None


class Mutator:
    """An endless supply of broken lists; the same for the same seed.

    Parameters
    ----------
    seed : int
        Where the row of lists begins.
    """

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)
        self._tables = [material_tables(path.stem) for path in MATERIAL_FILES]
        self._rows = [flat_row(tables) for tables in self._tables]
        self._changes: tuple[Callable[[bytes], bytes], ...] = (
            self._token, self._token, self._token, self._cut, self._twice, self._flip,
            self._cells, self._cells, self._lines, self._separator, self._truncate,
        )  # fmt: skip

    def case(self) -> Case:
        """The next list: good, then changed in one to four places."""
        choose = self._random
        data = self.changed(self._good())
        if choose.randrange(12) == 0:
            data = data.decode("utf-8", "replace").encode(
                choose.choice(("utf-16", "utf-16-le", "latin-1", "utf-8-sig")), "replace"
            )
        stated = choose.choice(ENCODINGS) if choose.randrange(16) == 0 else None
        form: ListForm | None = None
        if choose.randrange(16) == 0:
            form = choose.choice(("csv", "jsonl"))
        return Case(data, form, stated)

    def changed(self, data: bytes) -> bytes:
        """Any file, changed in one to four places."""
        choose = self._random
        for _ in range(choose.randint(1, 4)):
            # A list is refused whole for its head, so that most changes are made below it.
            end = data.find(b"\n") + 1 if choose.randrange(4) else 0
            data = data[:end] + choose.choice(self._changes)(data[end:])
        return data

    def one_of(self, values: Sequence[Item]) -> Item:
        """Any of some values."""
        return self._random.choice(values)

    def _good(self) -> bytes:
        choose = self._random
        chosen = choose.sample(range(len(self._rows)), choose.randint(1, MOST_ROWS))
        if choose.randrange(3) == 0:
            source = choose.choice((self._tables, self._rows))
            return "".join(json.dumps(source[at]) + "\n" for at in chosen).encode()
        rows = [dict(self._rows[at]) for at in chosen]
        if choose.randrange(4) == 0:
            rows.append(
                {"file": choose.choice(("lid-sealant", "no-such", "materials/cap-gel.toml"))}
            )
        return csv_list(
            rows,
            separator=choose.choice(",;\t"),
            end=choose.choice(("\n", "\r\n", "\r")),
        )

    def _span(self, data: bytes, longest: int) -> tuple[int, int]:
        start = self._random.randint(0, len(data))
        return start, min(len(data), start + self._random.randint(0, longest))

    def _token(self, data: bytes) -> bytes:
        token = self._random.choice(TOKENS)
        if self._random.randrange(ONE_IN_LARGE) == 0:
            token = self._random.choice(LARGE)
        if self._random.randrange(ONE_IN_VERY_LARGE) == 0:
            token = self._random.choice(VERY_LARGE)
        start, end = self._span(data, self._random.choice((0, 0, 4)))
        return data[:start] + token + data[end:]

    def _cut(self, data: bytes) -> bytes:
        start, end = self._span(data, 60)
        return data[:start] + data[end:]

    def _twice(self, data: bytes) -> bytes:
        start, end = self._span(data, 200)
        return data[:end] + data[start:]

    def _flip(self, data: bytes) -> bytes:
        changed = bytearray(data)
        # A byte beyond ASCII is hardly ever UTF-8, and ends the list.
        top = 256 if self._random.randrange(4) == 0 else 128
        for _ in range(min(len(changed), self._random.randint(1, 6))):
            changed[self._random.randrange(len(changed))] = self._random.randrange(top)
        return bytes(changed)

    def _cells(self, data: bytes) -> bytes:
        """Two cells change places, or one is doubled or emptied."""
        sign = self._random.choice((b",", b";", b"\t", b'"'))
        cells = data.split(sign)
        one, other = (self._random.randrange(len(cells)) for _ in range(2))
        cells[one] = self._random.choice((cells[other], b"", cells[one] * 2))
        return sign.join(cells)

    def _lines(self, data: bytes) -> bytes:
        lines = data.splitlines(keepends=True)
        match self._random.randrange(4):
            case 0:
                self._random.shuffle(lines)
            case 1:
                lines = lines[1:]
            case 2:
                lines += lines[:2]
            case _:
                lines = [part for line in lines for part in (line, b"\n")]
        return b"".join(lines)

    def _separator(self, data: bytes) -> bytes:
        one, other = self._random.sample((b",", b";", b"\t", b"\n", b'"'), 2)
        return data.replace(one, other, self._random.choice((-1, 1, 5)))

    def _truncate(self, data: bytes) -> bytes:
        return data[: self._random.randint(0, len(data))]


def outcome(case: Case) -> str:
    """Read a list to its end; say what came of it in a few words.

    Raises
    ------
    AssertionError
        If anything does not hold that must hold for every list.
    """
    try:
        materials = read_list(
            io.BytesIO(case.data),
            NAME,
            form=case.form,
            encoding=case.encoding,
            base=EXAMPLES,
            folder=EXAMPLES,
        )
    except InputError as error:
        check_error(error)
        return "list refused at its head"
    good, bad = 0, 0
    try:
        good, bad = _read(materials)
    except InputError as error:
        check_error(error)
        return "list refused on the way"
    assert materials.sha256 == hashlib.sha256(case.data).hexdigest()
    for warning in materials.warnings:
        assert warning.isprintable()
    if not good and not bad:
        return "no rows"
    return "rows good and bad" if good and bad else "all rows good" if good else "all rows bad"


def _read(materials: MaterialList) -> tuple[int, int]:
    assert len(set(materials.columns)) == len(materials.columns)
    good = bad = last = 0
    for number, entry in enumerate(materials, start=1):
        assert entry.number == number
        assert entry.line > last
        last = entry.line
        assert tuple(entry.cells) == materials.columns
        for cell in entry.cells.values():
            assert len(cell) <= MAX_CELL
            cell.encode("utf-8")
        assert (entry.material is None) == bool(entry.fault)
        if entry.fault:
            bad += 1
            assert entry.fault.isprintable()
            assert len(entry.fault) <= LONGEST_FAULT
            assert not entry.fault.startswith(NAME)  # row and line stand in columns of their own
        else:
            good += 1
    return good, bad


def check_error(error: Exception) -> None:
    """Hold a refusal to lines that a terminal can show."""
    if isinstance(error, InputError):
        assert len(error.faults) < MOST_FAULTS
    for line in str(error).split("\n"):
        assert line.isprintable()
        assert len(line) <= LONGEST_FAULT
