"""Reading a filled form: every fault in one go, each in a line that says what to do."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median

from configurator.errors import Fault, InputError, did_you_mean
from configurator.trial.form import (
    BLANK_COLUMNS,
    PLANNED,
    Cells,
    float_or_none,
    plan_from,
    run_from,
)
from configurator.trial.plan import (
    PLAN_VERSION,
    Densities,
    Reading,
    Run,
    TrialPlan,
    Weighings,
    expected_mass,
)
from configurator.units.dimension import Kind
from configurator.units.display import plural
from configurator.units.kinds import DENSITY, MASS, PRESSURE, TEMPERATURE
from configurator.units.quantity import UnitFault, parse

LARGEST_FILE = 5_000_000
"""A form beyond this was named by mistake. [bytes]"""

MOST_ROWS = 5000

UNIT_SLIP = 3.0
"""A mass this many times off its expectation is a slip of the unit, or has to say why. [-]"""

FEWEST_FELLOWS, COUNT_SLACK = 4, 0.1
"""Like runs from which their middle is trusted, and how near to a whole count a miscount is."""

_HEAD = re.compile(r"^(?P<name>[a-z ]+?)\s*(\[(?P<unit>[^\]]*)\])?$")


def load_weighings(path: Path) -> Weighings:
    """Read a filled form.

    Raises
    ------
    InputError
        With every fault of the file.
    """
    accepted = "a form that `headwright trial plan --out` made, filled in"
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError([Fault(str(path), "file", "more than 5 MB", accepted)])
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        reason = error.strerror or "unreadable"
        raise InputError([Fault(str(path), "file", reason, accepted)]) from None
    except UnicodeDecodeError:
        given = "bytes that are not UTF-8"
        raise InputError([Fault(str(path), "file", given, "CSV saved as UTF-8")]) from None
    return read_weighings(text, str(path))


def read_weighings(text: str, where: str) -> Weighings:
    """Read the text of a filled form; as `load_weighings` otherwise."""
    return _Reader(where).read(text)


class _Reader(Cells):
    """Gathers faults on the way through one form."""

    heads: Mapping[str, str]
    """Unit of each column by its name."""
    plan: TrialPlan
    densities: Densities

    def read(self, text: str) -> Weighings:
        facts, table = self._split(text)
        self.heads, rows = self._table(table)
        self._check_units(rows)
        self.plan = plan = self._plan(facts, rows)
        if not any(row["mass"] for row in rows):
            self.fault("mass", "nothing", "at least one mass in the table")
        self._balance(facts, rows)
        self.densities = self._densities(facts)
        readings: list[Reading] = []
        missing: list[int] = []
        self._check_runs(rows, facts)
        for run, row in zip(plan.runs, rows, strict=True):
            reading = self._reading(run, row)
            if reading is None:
                missing.append(run.number)
            else:
                readings.append(reading)
        self._check_counts(readings)
        self._stop_at_faults()
        return Weighings(
            plan, tuple(readings), tuple(missing), self.densities, facts.get("date", "").strip()
        )

    def _stop_at_faults(self) -> None:
        if self.faults:
            raise InputError(self.faults)

    def _split(self, text: str) -> tuple[dict[str, str], list[list[str]]]:
        """Facts above the table, and the table; a spreadsheet may have changed the separator."""
        first = text.split("\n", 1)[0]
        separator = max(",;\t", key=first.count) if first else ","
        try:
            rows = list(csv.reader(io.StringIO(text), delimiter=separator, strict=True))
        except csv.Error as error:
            self.fault("file", str(error), "CSV with one row a line")
            self._stop_at_faults()
        rows = [[cell.strip() for cell in row] for row in rows if any(map(str.strip, row))]
        facts = {
            row[0][1:].strip(): row[1] if len(row) > 1 else ""
            for row in rows
            if row[0].startswith("#")
        }
        if facts.get("headwright trial") != str(PLAN_VERSION):
            given = facts.get("headwright trial", "no line '#headwright trial'")
            self.fault("file", given, "a form that `headwright trial plan --out` made")
            self._stop_at_faults()
        return facts, [row for row in rows if not row[0].startswith("#")]

    def _table(self, table: list[list[str]]) -> tuple[dict[str, str], list[dict[str, str]]]:
        """Unit of each column by name, and the rows by column name."""
        heads: dict[str, str] = {}
        names: list[str] = []
        for cell in table[0] if table else []:
            found = _HEAD.match(cell)
            name = found["name"] if found else cell
            names.append(name)
            heads[name] = (found["unit"] or "").strip() if found else ""
        wanted = [_name(column) for column in (*PLANNED, *BLANK_COLUMNS)]
        for name in wanted:
            if name not in heads:
                near = did_you_mean(name, heads)
                self.fault("columns", f"no column '{name}'", ", ".join(wanted), near)
        if len(table) > MOST_ROWS:
            self.fault("rows", str(len(table)), f"at most {MOST_ROWS}")
        self._stop_at_faults()
        return heads, [
            {name: row[at] if at < len(row) else "" for at, name in enumerate(names)}
            for row in table[1:]
        ]

    def _check_units(self, rows: Sequence[Mapping[str, str]]) -> None:
        """Masses without a unit are one fault, not one a row."""
        if self.heads["mass"]:
            return
        bare = [row for row in rows if float_or_none(row["mass"]) is not None]
        if bare:
            self.fault(
                f"run {bare[0]['run']}: mass",
                f"{bare[0]['mass']} without a unit, and {len(bare) - 1} more",
                "a unit in the column's head, as mass [g], or behind each mass",
            )
            self._stop_at_faults()

    def _plan(self, facts: Mapping[str, str], rows: Sequence[Mapping[str, str]]) -> TrialPlan:
        runs: list[Run] = []
        for place, row in enumerate(rows, start=1):
            try:
                runs.append(run_from(row))
            except ValueError as error:
                self.fault(f"row {place}", str(error), "planned columns as they were made")
        self._stop_at_faults()
        try:
            return plan_from(json.loads(facts.get("plan", "")), facts, tuple(runs))
        except (ValueError, KeyError, TypeError, AttributeError):
            self.fault("plan", facts.get("plan", "")[:60] or "nothing", "the line as it was made")
            raise InputError(self.faults) from None

    def _check_runs(self, rows: Sequence[Mapping[str, str]], facts: Mapping[str, str]) -> None:
        plan = self.plan
        counted = Counter(run.number for run in plan.runs)
        for number, times in sorted(counted.items()):
            if times > 1:
                self.fault(f"run {number}", f"{times} rows", "each run once")
        last = max(counted, default=0)
        gone = [number for number in range(1, last + 1) if number not in counted]
        if gone:
            listed = ", ".join(map(str, gone[:12])) + (" ..." if len(gone) > 12 else "")  # noqa: PLR2004
            self.fault(
                "runs",
                f"{len(rows)} rows, without run {listed}",
                f"{last} rows, as planned",
                "a weighing that failed keeps its row, with a word in 'left out because'",
            )
        if not self.faults and plan.fingerprint != facts.get("fingerprint"):
            self.fault(
                "plan",
                "planned columns that differ from the plan",
                "the rows as they were made; only the columns to the right are filled in",
                "make the plan again and copy the masses over",
            )
        self._stop_at_faults()

    def _balance(self, facts: Mapping[str, str], rows: Sequence[Mapping[str, str]]) -> None:
        plan = self.plan
        most = f"at most {plan.balance_step * 1e6:.3g} mg"
        coarsest = f"{most}, a tenth of the tolerance of the lightest weighing"
        written = facts.get("balance step", "")
        if not written:
            self.fault(
                "#balance step", "nothing", f'the step of the balance, as "0.1 mg", {coarsest}'
            )
            return
        step = self.quantity("#balance step", written, MASS)
        if step is not None and step.nominal > plan.balance_step * (1 + 1e-6):
            self.fault(
                "#balance step",
                facts["balance step"],
                coarsest,
                "take a finer balance, or plan again with --balance-step so that shots are grouped",
            )
        unit = self.heads["mass"]
        typed = [
            row["mass"]
            for row in rows
            if row["block"] != "blank" and float_or_none(row["mass"]) is not None
        ]
        if step is None or not unit or len(typed) < 3:  # noqa: PLR2004 - two may be round by luck
            return
        if all("e" not in text.lower() for text in typed):
            decimals = max(len(text.partition(".")[2]) for text in typed)
            try:
                seen = parse(f"1 {unit}", MASS).nominal * 10.0**-decimals
            except UnitFault:
                return
            if seen > plan.balance_step * (1 + 1e-6):
                self.fault("mass", f"masses written to {10.0**-decimals:g} {unit}", coarsest)

    def _densities(self, facts: Mapping[str, str]) -> Densities:
        found: Densities = {}
        weighed = sorted({run.batch for run in self.plan.runs})
        for batch in weighed:
            for side in self.plan.sides:
                key = f"density batch {batch}{f' {side.name}' if side.name else ''}"
                if facts.get(key, ""):
                    density = self.quantity(f"#{key}", facts[key], DENSITY)
                    if density is not None:
                        found[batch, side.name] = (density, True)
                elif side.density is not None:
                    found[batch, side.name] = (side.density, False)
                else:
                    self.fault(
                        f"#{key}", "nothing", f"{DENSITY.accepted}: the data sheet states none"
                    )
        return found

    def _reading(self, run: Run, row: Mapping[str, str]) -> Reading | None:
        where = f"run {run.number}"
        left_out = row["left out because"]
        if not row["mass"]:
            return None
        mass = self._read(where, "mass", row, MASS)
        pressure = self._read(where, "read pressure", row, PRESSURE)
        temperature = self._read(where, "read temperature", row, TEMPERATURE)
        clock = self.plain(f"{where}: clock", row["clock"])
        if mass is None:
            return None
        if run.block != "blank" and not left_out:
            self._check_mass(run, mass, row["mass"])
        return Reading(
            run=run,
            mass=mass,
            pressure=run.pressure if pressure is None else pressure,
            temperature=run.temperature if temperature is None else temperature,
            clock=clock,
            left_out=left_out,
        )

    def _read(self, where: str, column: str, row: Mapping[str, str], kind: Kind) -> float | None:
        return self.number(f"{where}: {column}", row[column], self.heads[column], kind)

    def _check_mass(self, run: Run, mass: float, typed: str) -> None:
        expected = expected_mass(run, self.plan, self.densities)
        if expected is None or expected / UNIT_SLIP <= mass <= expected * UNIT_SLIP:
            return
        self.fault(
            f"run {run.number}: mass",
            typed,
            f"about {expected * 1e3:.4g} g for {plural(run.shots, 'shot')} "
            f"of {run.turns:.4g} turns",
            "a slip of the unit or of the row? If it was weighed so, say why in 'left out because'",
        )

    def _check_counts(self, readings: Sequence[Reading]) -> None:
        """A mass of one shot more or fewer than its fellows: a cup was miscounted."""
        told = {fault.field for fault in self.faults}
        fellows: dict[tuple[object, ...], list[Reading]] = {}
        for reading in readings:
            run = reading.run
            if run.block != "blank" and not reading.left_out:
                at = (run.batch, run.speed, run.turns, run.shots, run.pressure, run.temperature)
                key = (run.block, run.side, run.level, run.dwell, *at)
                fellows.setdefault(key, []).append(reading)
        for group in fellows.values():
            middle = median(reading.mass for reading in group)
            for reading in group if len(group) >= FEWEST_FELLOWS and middle > 0.0 else ():
                shots = reading.run.shots
                counted = reading.mass / middle * shots
                near = round(counted)
                apart = abs(counted - shots) > 4.0 * self.plan.tolerance * shots
                where = f"run {reading.run.number}: mass"
                miscounted = near not in (0, shots) and abs(counted - near) < COUNT_SLACK
                if miscounted and apart and where not in told:
                    self.fault(
                        where,
                        f"{reading.mass * 1e3:.4g} g",
                        f"about {middle * 1e3:.4g} g, the middle of its {len(group)} like runs",
                        f"as much as {plural(near, 'shot')}, and the plan has "
                        f"{plural(shots, 'shot')}; if it was weighed so, say why in 'left out because'",
                    )


def _name(column: str) -> str:
    return column.partition(" [")[0]
