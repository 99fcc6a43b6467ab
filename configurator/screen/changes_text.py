"""What has changed since an earlier screening: rows for programs, a table, and a summary."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

from configurator.errors import UsageError
from configurator.report.lines import cut, wrapped
from configurator.report.written import write_file
from configurator.screen.changes import CAUSES, KINDS, TOLD, UNEXPLAINED, Change, Kind
from configurator.screen.results import SUFFIXES, Form, Value, head_bytes, rows_bytes
from configurator.units.display import plural, spaced

HEADS = (
    "change",
    "because",
    "differs",
    "process",
    "material_name",
    "row",
    "line",
    "was_row",
    *(head for name in TOLD for head in (f"was_{name}", name)),
)
"""Columns of a file of changes; a table of docs/batch.md says the same."""

BATCH = 1_000
"""Rows that are written at once."""

JOIN = "; "
"""Between several causes in a cell."""


@dataclass
class Summary:
    """What became of all rows, counted."""

    counts: Counter[tuple[Kind, tuple[str, ...]]] = field(default_factory=Counter)
    """Rows by kind and by what is behind it."""

    def counted(self, changes: Iterable[Change]) -> Iterator[Change]:
        """Yield changes on, each counted."""
        for change in changes:
            self.counts[change.kind, change.because] += 1
            yield change

    @property
    def kinds(self) -> dict[Kind, int]:
        """Rows of each kind, all kinds in their order."""
        return {
            kind: sum(number for (other, _), number in self.counts.items() if other == kind)
            for kind in KINDS
        }

    @property
    def causes(self) -> dict[tuple[str, ...], dict[Kind, int]]:
        """Rows of each kind by what is behind them, most rows first; those the same left out."""
        found: dict[tuple[str, ...], dict[Kind, int]] = {}
        for (kind, because), number in self.counts.items():
            if because:
                found.setdefault(because, {})[kind] = number
        ordered = sorted(found.items(), key=lambda each: (-sum(each[1].values()), each[0]))
        return {
            because: {kind: kinds[kind] for kind in KINDS if kind in kinds}
            for because, kinds in ordered
        }

    def lines(self, earlier: str) -> list[str]:
        """Return the summary for a person: one line, and one for each cause."""
        told = ", ".join(
            f"{spaced(number)} {kind}" for kind, number in self.kinds.items() if number
        )
        rows = plural(sum(self.counts.values()), "row")
        lines = [f"against {cut(earlier, 200)}: {rows}: {told or 'nothing to compare'}"]
        for because, kinds in self.causes.items():
            of_kind = ", ".join(f"{spaced(number)} {kind}" for kind, number in kinds.items())
            lines.append(f"  {because_in_words(because)}: {of_kind}")
        return lines

    def data(self, earlier: str) -> dict[str, Any]:
        """Return the summary as plain data, for the JSON of a run."""
        return {
            "earlier": earlier,
            "counts": dict(self.kinds),
            "causes": [
                {"because": list(because), "counts": dict(kinds)}
                for because, kinds in self.causes.items()
            ],
        }


def because_in_words(because: tuple[str, ...]) -> str:
    """Say what differs behind a change.

    Examples
    --------
    >>> because_in_words(("catalog",)), because_in_words(("catalog", "material"))
    ('because of the catalog', 'because of the catalog and the material, one or both')
    """
    if because == (UNEXPLAINED,):
        return f"because of {UNEXPLAINED}: another build of the tool, or a file that was edited"
    if not set(because) <= set(CAUSES.values()):
        return JOIN.join(because)
    named = [f"the {cause}" for cause in because]
    if len(named) == 1:
        return f"because of {named[0]}"
    several = "one or both" if len(named) == 2 else "one or several"  # noqa: PLR2004
    return f"because of {', '.join(named[:-1])} and {named[-1]}, {several}"


def cells_of(change: Change) -> tuple[Value, ...]:
    """Return a change in the columns of `HEADS`."""
    row, was, now = change.row, change.was or {}, change.now or {}
    cells: dict[str, Value] = {
        "change": change.kind,
        "because": JOIN.join(change.because),
        "differs": JOIN.join(change.differs),
        "process": row["process"],
        "material_name": row.get("material_name"),
        "row": now.get("row"),
        "line": now.get("line"),
        "was_row": was.get("row"),
    }
    for name in TOLD:
        cells[f"was_{name}"] = _known(was, name)
        cells[name] = _known(now, name)
    return tuple(cells[head] for head in HEADS)


def _known(row: Mapping[str, Any], name: str) -> Value:
    value: Value = row.get(name)
    return None if value == "" else value


def changes_form(path: Path) -> Form:
    """Return the form of a file of changes, by its suffix.

    Raises
    ------
    UsageError
        If it is none that changes are written in.
    """
    form = SUFFIXES.get(path.suffix.lower())
    if form not in ("csv", "jsonl"):
        raise UsageError(f"--changes {path}: a name that ends in .csv, .jsonl or .ndjson")
    return form


def write_changes(path: Path, changes: Iterable[Change], *, force: bool) -> None:
    """Write every row with what became of it, whole or not at all.

    Raises
    ------
    InputError
        If the file is there, or cannot be written.
    """
    write_file(path, _pieces(changes_form(path), changes), force=force)


def _pieces(form: Form, changes: Iterable[Change]) -> Iterator[bytes]:
    """The file of changes, some rows at a time."""
    yield head_bytes(form, HEADS)
    remaining = iter(changes)
    while batch := [cells_of(change) for change in islice(remaining, BATCH)]:
        yield rows_bytes(form, HEADS, batch)


def change_lines(change: Change, width: int) -> list[str]:
    """Return a change for a person; nothing for a row that is the same."""
    if change.kind == "same":
        return []
    row, was, now = change.row, change.was, change.now
    name = row.get("material_name") or f"row {row['row']}"
    lines = wrapped(
        f"{change.kind}: {name} for {row['process']}, {_states(change)}; "
        f"{because_in_words(change.because)}",
        width,
        rest="    ",
    )
    if was is None or now is None:
        return lines
    for words, before, after in _details(change, was, now):
        said = f"{words}: {before or 'none'} -> {after or 'none'}"
        lines += wrapped(said, width, first="    ", rest="      ")
    return lines


def _details(
    change: Change, was: Mapping[str, Any], now: Mapping[str, Any]
) -> Iterator[tuple[str, str | None, str | None]]:
    """What differs that is worth a line: of the best build the parts that are others."""
    if "best_build" in change.differs:
        then, here = _parts(was), _parts(now)
        if then and here:
            for slot in dict.fromkeys([*then, *here]):
                if then.get(slot) != here.get(slot):
                    yield f"best build, {slot}", then.get(slot), here.get(slot)
        else:
            yield "best build", was.get("best_build"), now.get("best_build")
    for column in ("reason", "fault"):
        if column in change.differs:
            yield column, was.get(column), now.get(column)


def _parts(row: Mapping[str, Any]) -> dict[str, str]:
    """The best build by slot; empty if there is none."""
    pairs = (part.partition("=") for part in (row.get("best_build") or "").split(", "))
    return {slot: name for slot, _, name in pairs if name}


def _states(change: Change) -> str:
    was, now = change.was, change.now
    if was is None or now is None:
        return _told(change.row)
    if was["state"] != now["state"]:
        return f"was {_told(was)}, is {_told(now)}"
    if was.get("builds") == now.get("builds"):
        return f"{_told(now)} as before"
    return f"{now['state']}, was {_builds(was)}, is {_builds(now)}"


def _told(row: Mapping[str, Any]) -> str:
    builds = _builds(row)
    return f"{row['state']}, {builds}" if row.get("builds") else str(row["state"])


def _builds(row: Mapping[str, Any]) -> str:
    return plural(row.get("builds") or 0, "build")
