"""The lines and the table of a form, whatever a spreadsheet has made of them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from configurator.errors import Fault, InputError, did_you_mean
from configurator.trial.form import BLANK_COLUMNS, PLANNED, Cells, float_or_none, with_points
from configurator.trial.plan import PLAN_VERSION, Run
from configurator.units.display import plural

LARGEST_FILE = 5_000_000
"""A form beyond this was named by mistake. [bytes]"""

MOST_ROWS = 5000

_HEAD = re.compile(r"^(?P<name>[a-z ]+?)\s*([\[(](?P<unit>[^\])]*)[\])])?$")

_DASHES = ("-", "--", "\N{EN DASH}", "n/a")
"""What people write where nothing was weighed."""

_WIDE = (b"\xff\xfe", b"\xfe\xff")
"""How UTF-16 begins."""


def text_of(path: Path, accepted: str) -> str:
    """Return the text of a file as a spreadsheet saves it.

    Raises
    ------
    InputError
        If it cannot be read; says what would be accepted.
    """
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError([Fault(str(path), "file", "more than 5 MB", accepted)])
        raw = path.read_bytes()
    except OSError as error:
        reason = error.strerror or "unreadable"
        raise InputError([Fault(str(path), "file", reason, accepted)]) from None
    if not raw.strip():
        raise InputError([Fault(str(path), "file", "an empty file", accepted)])
    # What a form needs is ASCII in all of these encodings.
    for encoding in ("utf-16" if raw[:2] in _WIDE else "utf-8-sig", "cp1252"):
        with suppress(UnicodeDecodeError):
            text = raw.decode(encoding)
            if "\0" not in text:
                return text
    raise InputError([Fault(str(path), "file", "bytes that are no text", "CSV saved as UTF-8")])


class FormTable(Cells):
    """Takes a form apart and notes how it was read."""

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.notes: list[str] = []

    def stop_at_faults(self) -> None:
        """End with what was gathered, if anything was."""
        if self.faults:
            raise InputError(self.told())

    def rows(self, text: str, first: str) -> list[list[str]]:
        """Cells of every line that has any; a spreadsheet may have changed the separator.

        The head of the table begins with `first`.
        """
        lines = [line for line in text.split("\n") if not line.startswith("sep=")]
        head = next((line for line in lines if line.lstrip('"').startswith(first)), "")
        separator = max(",;\t", key=(head or "".join(lines[:1])).count)
        try:
            rows = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=separator, strict=True))
        except csv.Error as error:
            self.fault("file", str(error), "CSV with one row a line")
            self.stop_at_faults()
        if separator != ",":
            self.notes.append("semicolons" if separator == ";" else "tabs")
        return [[cell.strip() for cell in row] for row in rows if any(map(str.strip, row))]

    def split(self, text: str) -> tuple[dict[str, str], list[list[str]]]:
        """Facts above the table, and the table."""
        rows = self.rows(text, "run")
        facts = {
            row[0][1:].strip(): row[1] if len(row) > 1 else ""
            for row in rows
            if row[0].startswith("#")
        }
        version = facts.get("headwright trial")
        if version != str(PLAN_VERSION):
            given = "no line '#headwright trial'" if version is None else f"version {version}"
            hint = "" if version is None else "plan again with its options and copy the masses over"
            accepted = (
                f"a form of version {PLAN_VERSION}, as `headwright trial plan --out` makes it"
            )
            self.fault("file", given, accepted, hint)
            self.stop_at_faults()
        return facts, [row for row in rows if not row[0].startswith("#")]

    def table(
        self, table: list[list[str]], wanted: Sequence[str]
    ) -> tuple[dict[str, str], list[dict[str, str]]]:
        """Unit of each column by name, and the rows by column name."""
        heads: dict[str, str] = {}
        names: list[str] = []
        for cell in table[0] if table else []:
            found = _HEAD.match(cell)
            name = found["name"] if found else cell
            names.append(name)
            heads[name] = (found["unit"] or "").strip() if found else ""
        gone = [name for name in wanted if name not in heads]
        if gone:
            given = f"no column '{gone[0]}'" + (f", {len(gone) - 1} more missing" * (len(gone) > 1))
            self.fault("columns", given, ", ".join(wanted), did_you_mean(gone[0], heads))
        if len(table) > MOST_ROWS:
            self.fault("rows", str(len(table)), f"at most {MOST_ROWS}")
        self.stop_at_faults()
        wide = [row for row in table[1:] if any(row[len(names) :])]
        if wide:
            self.fault(
                f"run {wide[0][0]}: row",
                f"{len(wide)} rows with more cells than the head has",
                f"{len(names)} cells",
                "decimal commas between commas? Save with semicolons, or write decimal points",
            )
        self.stop_at_faults()
        return heads, [
            {
                n: row[at] if at < len(row) and row[at] not in _DASHES else ""
                for at, n in enumerate(names)
            }
            for row in table[1:]
        ]

    def by_run(
        self, listed: Sequence[Mapping[str, str]], planned: Mapping[int, Run]
    ) -> dict[int, Mapping[str, str]]:
        """The row of each run; what the plan does not have is told, and counts for nothing."""
        rows: dict[int, Mapping[str, str]] = {}
        added = 0
        for row in listed:
            number = float_or_none(row["run"])
            run = None if number is None else planned.get(int(number))
            if run is None:
                added += bool(row["mass"])
                continue
            self._check_planned(run, row)
            before = rows.get(run.number)
            if before is None or not _counts(before):
                rows[run.number] = row if _counts(row) or before is None else before
            elif _counts(row):
                self.fault(
                    f"run {run.number}: mass",
                    f"{before['mass']} and {row['mass']}",
                    "one mass a run",
                    "write into 'left out because' which one does not count",
                    kind="twice",
                )
        for number, row in () if self.faults else rows.items():
            self._check_set(planned[number], row)
        if added:
            words = "1 row" if added == 1 else f"{added} rows"
            self.notes.append(f"{words} that the plan does not have not counted")
        gone = [str(number) for number in planned if number not in rows]
        if gone:
            listing = ", ".join(gone[:6]) + (" ..." if len(gone) > 6 else "")  # noqa: PLR2004
            self.notes.append(f"{plural(len(gone), 'run')} without a row: {listing}")
        if not any(row["mass"] for row in rows.values()):
            filled = [
                name
                for name in (column.partition(" [")[0] for column in BLANK_COLUMNS)
                if any(row.get(name) for row in rows.values())
            ]
            hint = f"filled is '{filled[0]}': columns swapped?" if filled else ""
            self.fault("mass", "nothing", "at least one mass in the table", hint)
        if any("," in row["mass"] for row in rows.values()):
            self.notes.append("decimal commas")
        return rows

    def _check_planned(self, run: Run, row: Mapping[str, str]) -> None:
        for column, wanted in (("block", run.block), ("side", run.side), ("level", run.level)):
            if row.get(column, wanted) != wanted:
                self.fault(
                    f"run {run.number}: {column}",
                    row[column],
                    f"'{wanted}', as planned",
                    "rows that slipped, or a form of another plan?",
                    kind="planned",
                )

    def _check_set(self, run: Run, row: Mapping[str, str]) -> None:
        for column, wanted in zip(PLANNED, map(str, run.cells), strict=True):
            typed = with_points(row.get(column.partition(" [")[0], ""))
            given, planned = float_or_none(typed), float_or_none(wanted)
            if given is None or planned is None:
                continue
            last = 0.1 ** len(typed.partition(".")[2])  # a spreadsheet may show fewer digits
            if abs(given - planned) > 0.5001 * last + 1e-5 * abs(planned):
                self.fault(
                    f"run {run.number}: {column}",
                    typed,
                    f"{wanted}, as planned",
                    "what was read goes into its own column; a run that was set otherwise is left out",
                    kind="set",
                )


def _counts(row: Mapping[str, str]) -> bool:
    return bool(row["mass"]) and not row["left out because"]
