"""A running head against its record: still in, drifting or out, and by when to weigh again."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from configurator.errors import UsageError
from configurator.trial.distributions import t_quantile
from configurator.trial.form_table import FormTable, text_of
from configurator.trial.sample import LinearFit, fit, outliers
from configurator.units.display import plural
from configurator.units.grouped import grouped
from configurator.units.interval import Interval
from configurator.units.kinds import DENSITY, MASS
from configurator.workshop.head_record import HeadRecord

CONFIDENCE = 0.95
"""Of every interval (common practice, no source). [-]"""

STEPS = 0.99
"""Confidence from which the last date is said to have left the line of those before (common
practice, no source). [-]"""

FEWEST_DATES = 3
"""Dates from which a drift can be told: two make any line straight. [-]"""

LONGEST = 3650
"""Days beyond which nobody looks ahead. [d]"""

IN, DRIFTING, OUT, UNPROVEN = "still in", "drifting", "out", "not proven"

MOST_A_TURN = 0.01
"""More than any metering head gives. [m^3/rev]"""

COLUMNS = ("date", "mass", "turns")
_DATES = ("%Y-%m-%d", "%d.%m.%Y")
"""With slashes nobody knows which number is the month."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """One weighing of a running head."""

    day: date
    volume: float
    """A turn. [m^3/rev]"""


@dataclass(frozen=True, slots=True)
class Day:
    """All weighings of a date."""

    day: date
    count: int
    mean: float
    """Relative to the record. [-]"""
    half: float
    """Half-width of its interval; infinite for a single weighing of a single date. [-]"""


@dataclass(frozen=True)
class Recalibration:
    """What the weighings say."""

    record: HeadRecord
    tolerance: float
    """Either way. [-]"""
    word: str
    """still in, drifting, out, or not proven."""
    days: tuple[Day, ...]
    per_year: tuple[float, float] | None
    """Change a year and its half-width; None below three dates. [-]"""
    again: date | None
    """When the line may have left the tolerance: weigh before. None where it is out or untold."""
    outliers: tuple[Weighed, ...]
    """Weighings that stand out of their date; they count."""
    reasons: tuple[str, ...]
    read_as: str
    """How the file was read."""


class _Running(FormTable):
    def read(self, text: str, density: Interval | None) -> tuple[list[Weighed], str]:
        table = self.rows(text, "date")
        heads, rows = self.table(table, COLUMNS)
        found = []
        for place, row in enumerate(rows, start=1):
            where = f"row {place}"
            day = _day(row["date"])
            if day is None:
                self.fault(f"{where}: date", row["date"], "a date as 2026-03-04 or 04.03.2026")
            mass = self.number(f"{where}: mass", row["mass"], heads["mass"], MASS)
            turns = self.plain(f"{where}: turns", row["turns"])
            shots = self.plain(f"{where}: shots", row.get("shots", "")) or 1.0
            own = self._density(where, row, heads) if row.get("density") else density
            if own is None and not row.get("density"):
                self.fault(
                    f"{where}: density",
                    "nothing",
                    "a column density [g/cm^3], or --density",
                    kind="density",
                )
            if mass is not None and (turns is None or turns <= 0.0 or mass <= 0.0):
                self.fault(
                    f"{where}: mass and turns", f"{row['mass']}, {row['turns']}", "above zero"
                )
            elif day is not None and mass and turns and own is not None:
                volume = mass / own.nominal / turns / shots
                if volume > MOST_A_TURN:
                    given = f"{row['mass']}, {row['turns']}"
                    self.fault(f"{where}: mass and turns", given, "at most 10 L a turn")
                found.append(Weighed(day, volume))
        if not found and not self.faults:
            self.fault("mass", "nothing", "at least one row with date, mass and turns")
        self.stop_at_faults()
        return sorted(found, key=lambda each: each.day), ", ".join(
            (
                plural(len(found), "weighing"),
                f"masses in {heads['mass'] or 'units of their own'}",
                *self.notes,
            )
        )

    def _density(
        self, where: str, row: Mapping[str, str], heads: Mapping[str, str]
    ) -> Interval | None:
        value = self.number(f"{where}: density", row["density"], heads["density"], DENSITY)
        return None if value is None else Interval.exact(value)


def _day(text: str) -> date | None:
    for form in _DATES:
        try:
            return datetime.strptime(text, form).date()  # noqa: DTZ007 - a date has no zone
        except ValueError:
            continue
    return None


def record_of(records: Sequence[HeadRecord], trial: str | None, side: str) -> HeadRecord:
    """Return the record of a trial and side; without a name that of the last trial.

    Raises
    ------
    UsageError
        If there is none.
    """
    known = list(dict.fromkeys(record.trial for record in records))
    if not known:
        raise UsageError("--record: no head record in it", "`trial evaluate --into` writes one")
    wanted = known[-1] if trial is None else trial
    found = [record for record in records if record.trial == wanted]
    if not found:
        raise UsageError(f"--trial: given '{wanted}'; accepted: {', '.join(known[-8:])}")
    sides = {record.side: record for record in found}
    if side not in sides:
        accepted = " or ".join(each or "none" for each in sides)
        raise UsageError(f"--side: given '{side or 'none'}'; accepted: {accepted}")
    return sides[side]


def recalibrate(
    path: Path, record: HeadRecord, *, density: Interval | None, tolerance: float | None
) -> Recalibration:
    """Judge the weighings of a running head.

    Parameters
    ----------
    path : Path
        CSV with columns date, mass and turns, and shots and density where they vary.
    record : HeadRecord
        What its trial left: the volume a turn that it was set by, and the tolerance.
    density : Interval, optional
        Where the file has none. [kg/m^3]
    tolerance : float, optional
        Either way, in place of that of the record. [-]

    Raises
    ------
    InputError
        With a line for each kind of fault.
    UsageError
        If neither the record nor anybody states a tolerance.
    """
    accepted = "a CSV with columns date, mass [g] and turns"
    weighed, read_as = _Running(str(path)).read(text_of(path, accepted), density)
    if tolerance is None and record.tolerance_pct is None:
        raise UsageError("--tolerance: the record of this trial states none", 'write it, as "5 %"')
    limit = (record.tolerance_pct or 0.0) / 100.0 if tolerance is None else tolerance
    wanted = (record.delivered_ml or record.displacement_ml) * 1e-6
    days, stand_out = _days(weighed, wanted)
    line = _line(days)
    word, reasons = _word(days, line, limit)
    return Recalibration(
        record=record,
        tolerance=limit,
        word=word,
        days=tuple(days),
        per_year=None
        if line is None
        else (float(line.values[1]) * 365.0, line.half_width(1, CONFIDENCE) * 365.0),
        again=_again(days, line, limit) if word in (IN, DRIFTING) and _step(days) is None else None,
        outliers=tuple(stand_out),
        reasons=tuple(reasons),
        read_as=read_as,
    )


def _days(weighed: Sequence[Weighed], wanted: float) -> tuple[list[Day], list[Weighed]]:
    by_day = grouped(weighed, lambda each: each.day)
    values = {
        day: np.array([each.volume / wanted - 1.0 for each in members])
        for day, members in by_day.items()
    }
    freedom = sum(len(each) - 1 for each in values.values())
    squares = sum(float(((each - each.mean()) ** 2).sum()) for each in values.values())
    spread = math.sqrt(squares / freedom) if freedom else math.inf
    t = t_quantile((1.0 + CONFIDENCE) / 2.0, freedom) if freedom else math.inf
    days = [
        Day(day, len(each), float(each.mean()), t * spread / math.sqrt(len(each)))
        for day, each in values.items()
    ]
    listed = list(by_day.values())
    told = outliers(list(values.values()))
    return days, [listed[each.group][each.place] for each in told]


def _line(days: Sequence[Day]) -> LinearFit | None:
    """Straight line through the means of the dates, from the last one on.

    The scatter of whole dates about it counts, not that within a date: a room, a batch or a person
    moves all weighings of a day.
    """
    if len(days) < FEWEST_DATES:
        return None
    last = days[-1].day
    since = np.array([float((each.day - last).days) for each in days])
    means = np.array([each.mean for each in days])
    return fit(np.stack([np.ones_like(since), since], axis=1), means)


def _step(days: Sequence[Day]) -> str | None:
    """What the last date says if it left the line through those before: a break, no wear.

    By the prediction interval of one more date about that line.
    """
    line = _line(days[:-1])
    if line is None:
        return None
    last, before = days[-1], days[-2]
    ahead = float((last.day - before.day).days)
    middle, half = line.at(np.array([1.0, ahead]), STEPS)
    t = t_quantile((1.0 + STEPS) / 2.0, line.freedom)
    # Dates scatter by themselves, however many weighings each has.
    reach = math.hypot(half, t * math.sqrt(line.squares / line.freedom))
    if abs(last.mean - middle) <= reach:
        return None
    return (
        f"on {last.day} it gives {last.mean * 100:+.3g} %, where the dates before lead to "
        f"{middle * 100:+.3g} +/- {reach * 100:.2g} % ({STEPS * 100:.0f} %): something changed at "
        "once; weigh again today, and look at stator, feed and batch"
    )


def _word(days: Sequence[Day], line: LinearFit | None, limit: float) -> tuple[str, list[str]]:
    last = days[-1]
    if abs(last.mean) > limit:
        gives = f"on {last.day} the head gives {last.mean * 100:+.3g} %"
        return OUT, [
            f"{gives}: outside +/- {limit * 100:.3g} %; set it anew, and look at stator and feed"
        ]
    if line is None:
        told = f"{len(days)} of {FEWEST_DATES} dates: the last mean is within, and no drift can be told"
        return UNPROVEN, [f"{told}; weigh on another date"]
    level, half = line.at(np.array([1.0, 0.0]), CONFIDENCE)
    slope, wide = float(line.values[1]), line.half_width(1, CONFIDENCE)
    state = (
        f"the line through the dates is at {level * 100:+.3g} +/- {half * 100:.2g} % on {last.day}, "
        f"+/- {limit * 100:.3g} % is allowed"
    )
    moves = f"it moves by {round(slope * 36500.0, 3) + 0.0:+.3g} +/- {wide * 36500.0:.2g} % a year"
    step = _step(days)
    if step is not None:
        return DRIFTING, [step, state]
    if abs(level) + half > limit:
        return UNPROVEN, [state, moves, "weigh more often, or more shots a date"]
    if abs(slope) <= wide:
        return IN, [state, f"{moves}: no drift shows"]
    left = math.copysign(limit, slope) - level
    out = int(min(left / slope, LONGEST)) if left * slope > 0.0 else 0
    when = f"on {last.day + timedelta(days=out)}" if out < LONGEST else "in ten years or later"
    return DRIFTING, [state, f"{moves}; at this pace it is out {when}"]


def _again(days: Sequence[Day], line: LinearFit | None, limit: float) -> date | None:
    """First day on which the band about the line reaches the tolerance."""
    if line is None:
        return None

    def is_out(ahead: int) -> bool:
        middle, half = line.at(np.array([1.0, float(ahead)]), CONFIDENCE)
        return abs(middle) + half > limit

    ahead = LONGEST
    if is_out(ahead):
        ahead = bisect_left(range(LONGEST), True, lo=1, key=is_out)
    return days[-1].day + timedelta(days=ahead)
