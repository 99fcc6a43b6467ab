"""Reading a filled form as people fill it: one line of how it was read, or a line a kind of fault."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from statistics import median

from configurator.errors import InputError, did_you_mean
from configurator.trial.form import (
    BLANK_COLUMNS,
    float_or_none,
    plan_from,
    runs_from,
    with_points,
)
from configurator.trial.form_table import FormTable, text_of
from configurator.trial.plan import (
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

UNIT_SLIP = 3.0
"""A mass this many times off its expectation is a slip of the unit, or has to say why. [-]"""

SCALES = {"mg": 1e-6, "g": 1e-3, "kg": 1.0}
"""Units of mass that people mix up, in kg."""

FEWEST_FELLOWS, COUNT_SLACK = 4, 0.1
"""Like runs from which their middle is trusted, and how near to a whole count a miscount is."""

DAY = 24 * 60
"""Minutes."""

_TIME_OF_DAY = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])(?::([0-5][0-9]))?")

FILLED = ("run", *(column.partition(" [")[0] for column in BLANK_COLUMNS))
"""Columns that a form must have: the plan stands above the table."""


def load_weighings(path: Path) -> Weighings:
    """Read a filled form.

    Raises
    ------
    InputError
        With a line for each kind of fault of the file.
    """
    accepted = "a form that `headwright trial plan --out` made, filled in"
    return read_weighings(text_of(path, accepted), str(path))


def read_weighings(text: str, where: str) -> Weighings:
    """Read the text of a filled form; as `load_weighings` otherwise."""
    return _Reader(where).read(text)


class _Reader(FormTable):
    """Gathers faults on the way through one form, and how it was read."""

    heads: Mapping[str, str]
    """Unit of each column by its name."""
    plan: TrialPlan
    densities: Densities
    _began: float | None = None
    """Minute of the day of the first run with one."""

    def read(self, text: str) -> Weighings:
        facts, table = self.split(text)
        self.plan = self._plan(facts)
        self.heads, listed = self.table(table, FILLED)
        rows = self.by_run(listed, {run.number: run for run in self.plan.runs})
        self.stop_at_faults()
        self._check_units(rows)
        self.densities = self._densities(facts)
        self._check_scale(rows)
        self._balance(facts, rows)
        readings: list[Reading] = []
        missing: list[int] = []
        for run in self.plan.runs:
            row = rows.get(run.number)
            reading = None if row is None else self._reading(run, row)
            if reading is None:
                missing.append(run.number)
            else:
                readings.append(reading)
        self._check_counts(readings)
        self.stop_at_faults()
        weighed = f"{len(readings)} of {plural(len(self.plan.runs), 'run')} weighed"
        masses = f"masses in {self.heads['mass'] or 'units of their own'}"
        return Weighings(
            self.plan,
            tuple(readings),
            tuple(missing),
            self.densities,
            facts.get("date", "").strip(),
            ", ".join((weighed, masses, *self.notes)),
        )

    def _plan(self, facts: Mapping[str, str]) -> TrialPlan:
        plan = None
        with suppress(ValueError, KeyError, TypeError, AttributeError, IndexError):
            plan = plan_from(json.loads(facts["plan"]), facts, runs_from(facts["runs"]))
        if plan is None or plan.fingerprint != facts.get("fingerprint"):
            self.fault(
                "plan",
                facts.get("plan", "")[:40] or "nothing",
                "the lines above the table as they were made",
                "make the plan again with the same options and copy the masses over",
            )
            raise InputError(self.told())
        return plan

    def _check_units(self, rows: Mapping[int, Mapping[str, str]]) -> None:
        """Masses without a unit, or in one that nobody knows, are one fault, not one a row."""
        unit = self.heads["mass"]
        try:
            parse(f"1 {unit or MASS.units[0]}", MASS)
        except UnitFault:
            near = did_you_mean(unit, MASS.units)
            self.fault("columns: mass", f"in {unit}", ", ".join(MASS.units), near)
        for number, row in rows.items() if not unit else ():
            if float_or_none(with_points(row["mass"])) is not None:
                self.fault(
                    f"run {number}: mass",
                    f"{row['mass']} without a unit",
                    "a unit in the column's head, as mass [g], or behind each mass",
                )
        self.stop_at_faults()

    def _check_scale(self, rows: Mapping[int, Mapping[str, str]]) -> None:
        """Masses a thousand times off, all alike, are in another unit than the head says."""
        head = self.heads["mass"]
        if head not in SCALES:
            return
        ratios = []
        for run in self.plan.runs:
            typed = float_or_none(with_points(rows.get(run.number, {}).get("mass", "")))
            expected = expected_mass(run, self.plan, self.densities)
            if run.block != "blank" and typed and expected:
                ratios.append(typed * SCALES[head] / expected)
        for unit, scale in SCALES.items():
            off = SCALES[head] / scale
            slip = ratios and all(off / UNIT_SLIP <= each <= off * UNIT_SLIP for each in ratios)
            if unit != head and slip:
                self.heads = {**self.heads, "mass": unit}
                self.notes.append(
                    f"not {head} as the head says: all are about {off:.4g} times what that would be"
                )

    def _balance(self, facts: Mapping[str, str], rows: Mapping[int, Mapping[str, str]]) -> None:
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
            with_points(rows[run.number]["mass"])
            for run in plan.runs
            if run.block != "blank" and run.number in rows
        ]
        typed = [text for text in typed if float_or_none(text) is not None]
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
        """As measured; else that of the first batch, else that of the data sheet, which is said."""
        found: Densities = {}
        for batch in sorted({run.batch for run in self.plan.runs}):
            for side in self.plan.sides:
                whose = f"{batch}{f' {side.name}' if side.name else ''}"
                key = f"density batch {whose}"
                first = found.get((1, side.name))
                if facts.get(key, ""):
                    density = self.quantity(f"#{key}", facts[key], DENSITY)
                    if density is not None:
                        found[batch, side.name] = (density, True)
                elif first is not None and first[1]:
                    found[batch, side.name] = (first[0], False)
                    self.notes.append(f"density of batch {whose} as of batch 1")
                elif side.density is not None:
                    found[batch, side.name] = (side.density, False)
                    self.notes.append(f"density of batch {whose} as the data sheet has it")
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
        clock = self._clock(f"{where}: clock", row["clock"])
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

    def _clock(self, field: str, text: str) -> float | None:
        """Minutes, or the time of day as minutes since the first one of the form."""
        said = _TIME_OF_DAY.fullmatch(text)
        if said is None:
            return self.plain(field, text)
        minute = int(said[1]) * 60 + int(said[2]) + int(said[3] or 0) / 60
        if self._began is None:
            self._began = minute
            self.notes.append(f"clock as times of day from {text} on")
        return (minute - self._began) % DAY

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
            kind="slip",
        )

    def _check_counts(self, readings: Sequence[Reading]) -> None:
        """A mass of one shot more or fewer than its fellows: a cup was miscounted."""
        told = self.fields
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
                        kind="count",
                    )
