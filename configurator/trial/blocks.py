"""The blocks of a trial: which set points, how often, and what for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from configurator.trial.head import Head, HeadSide
from configurator.trial.plan import Run
from configurator.trial.sample_size import weighing
from configurator.units.interval import Interval

REPLICATES = 3
"""Weighings of each speed of the line and point of the map (common practice, no source)."""

LEAST_TURNS, MOST_TURNS = 10.0, 100.0
"""Turns in one catch of the line and the pressure map: whole turns, so that the place of the
rotor evens out, and more where the balance would not tell (common practice, no source)."""

REFERENCE = 5
"""Catches at the nominal flow: all others are compared with them (common practice)."""

END_SHOTS = 10
SIDE_CATCHES = 3
SIZE_SHOTS = 5
DWELLS_MIN = (1.0, 5.0, 15.0, 60.0)
DRIFT_MINUTES = 240.0
DRIFT_STEP = 15.0
DRIFT_SHOTS = 3
RATIO_STEP = 120.0
BLANK_EVERY = 20
"""Sizes of the other blocks (common practice, no source)."""

RESERVE = 1.2
"""Highest pressure of the map over the highest that the work comes to, a thick batch at the highest
flow: what a gauge and a restriction are off (common practice, no source). [-]"""

LEAST_PRESSURE, PRESSURE_STEP = 0.2e5, 0.05e5
"""Highest pressure of the map, at least, and the step that a bench can set (common practice, no
source). [Pa]"""

LINE, PRESSURE, SHOTS, SIZES = "line", "pressure map", "repeatability", "shot size"
DWELL, DRIFT, TEMPERATURE, BATCH = "dwell", "drift", "temperature", "second batch"
RATIO, BLANK = "ratio", "blank"

PURPOSE = {
    LINE: "displacement a turn and linearity over five speeds",
    PRESSURE: "slip against back pressure, set with a restriction behind the tip's place",
    SHOTS: "spread of single shots at the lowest, nominal and highest flow",
    SIZES: "shots of half, whole or double size: what every start and stop takes or gives",
    DWELL: "first shot after a stop",
    DRIFT: "the same shot over the hours",
    TEMPERATURE: "the same shot at both ends of the room's temperature",
    BATCH: "the same shot with a second batch",
    RATIO: "both components caught apart, over the hours",
    BLANK: "a filled cup weighed again: evaporation and drift of the balance",
}
"""What each block is for, in the order in which a report names them."""


@dataclass(frozen=True)
class Needs:
    """How large a trial is."""

    shots: int
    """At each flow of the repeatability block."""
    grouped: int
    """Shots in one weighing there."""
    least: int
    """Weighings of each stop, end and hour."""
    seed: int
    """Of the order."""
    tolerance: float
    """Either way. [-]"""
    step: float
    """Step of the balance at hand. [kg]"""

    def shots_of(self, mass: float) -> int:
        """Shots of a mass that go into one weighing, so that the balance tells."""
        return weighing(shot_mass=mass, tolerance=self.tolerance, step=self.step).shots


def settable(speed: float) -> float:
    """A speed as somebody sets it: three digits of its rpm. [rev/s]"""
    return float(f"{speed * 60.0:.3g}") / 60.0


def settable_pressure(pressure: float) -> float:
    """A pressure as somebody sets it. [Pa]"""
    return round(pressure / PRESSURE_STEP) * PRESSURE_STEP


def levels(side: HeadSide) -> dict[str, float]:
    """Speeds of the repeatability block by flow; one where the process has one flow. [rev/s]"""
    speeds = side.speeds
    if speeds.high <= speeds.low * 1.05:
        return {"middle": settable(speeds.nominal)}
    found = {"low": speeds.low, "middle": speeds.nominal, "high": speeds.high}
    return {level: settable(speed) for level, speed in found.items()}


def _base(head: Head) -> Run:
    """The middle of everything; each block changes what it is about."""
    duty = head.subject.duty
    side = head.sides[0]
    return Run(
        number=0,
        block="",
        side="",
        batch=1,
        speed=levels(side)["middle"],
        turns=whole_turns(head, side),
        shots=1,
        pressure=settable_pressure(head.pressure_at(duty.flow.nominal)),
        temperature=duty.temperature.nominal,
        dwell=0.0,
        minute=None,
        level="",
    )


def whole_turns(head: Head, side: HeadSide) -> float:
    """Turns of a side in one shot, to four digits. [-]"""
    return float(f"{head.shot * side.share / side.displacement:.4g}")


def _line_speeds(side: HeadSide) -> dict[float, str]:
    """Five speeds with the flow that each stands for; no name beyond those of the process."""
    low, middle, high = side.speeds.low, side.speeds.nominal, side.speeds.high
    if high <= low * 1.5:
        low = max(side.slowest, low * 0.5)
        high = min(side.fastest, high * 1.25)
    five = [low, (low + middle) / 2.0, middle, (middle + high) / 2.0, high]
    named = {speed: level for level, speed in levels(side).items()}
    found = {settable(speed): "" for speed in five}
    return {speed: named.get(speed, "") for speed in sorted({*found, *named})}


def _turns(head: Head, side: HeadSide, needs: Needs) -> float:
    """Whole turns of a catch: ten, as many as a weighing of shots has, or as the balance needs."""
    shots = head.shot * needs.grouped * side.share / side.displacement
    turns = max(LEAST_TURNS, min(shots, 2.0 * LEAST_TURNS))
    mass = turns * side.displacement * side.lightest
    return float(math.ceil(min(turns * needs.shots_of(mass), max(turns, MOST_TURNS))))


def map_pressures(head: Head) -> tuple[float, float, float]:
    """Back pressures of the map: from the nominal to the highest that the work comes to. [Pa]

    A side is caught before mixer and tip, so that where the work itself comes close to the
    rating, the map ends there and begins below.
    """
    duty, rated = head.subject.duty, head.pressure_allowed
    high = min(max(RESERVE * head.thick_pressure_at(duty.flow.high), LEAST_PRESSURE), rated)
    low = min(head.pressure_at(duty.flow.nominal), high / 2.0)
    top = math.floor(high / PRESSURE_STEP + 1e-6) * PRESSURE_STEP
    bottom = settable_pressure(low)
    return bottom, settable_pressure((bottom + top) / 2.0), top


def _apart(head: Head, side: HeadSide, needs: Needs) -> Run:
    """A catch of one side at the nominal flow, before mixer and tip if there are two."""
    base = replace(
        _base(head),
        side=side.name,
        speed=levels(side)["middle"],
        turns=_turns(head, side, needs),
        level="middle",
    )
    return replace(base, pressure=map_pressures(head)[0]) if side.name else base


def line(head: Head, side: HeadSide, needs: Needs) -> Iterator[Run]:
    """Displacement and linearity of a side."""
    base = replace(_apart(head, side, needs), block=LINE)
    for speed, level in _line_speeds(side).items():
        run = replace(base, speed=speed, level=level)
        if not side.name:
            flow = speed * side.displacement
            run = replace(run, pressure=settable_pressure(head.pressure_at(flow)))
        yield from [run] * (REFERENCE if level == "middle" else REPLICATES)


def pressure_map(head: Head, side: HeadSide, needs: Needs) -> Iterator[Run]:
    """Slip of a side: the highest flow of the process is judged, the lowest feeds the map."""
    speeds = _line_speeds(side)
    judged = [speed for speed, level in speeds.items() if level]
    base = replace(_apart(head, side, needs), block=PRESSURE)
    for pressure in map_pressures(head):
        for speed in dict.fromkeys((min(speeds), max(judged))):
            level = speeds[speed] if speed == max(judged) else ""
            yield from [replace(base, pressure=pressure, speed=speed, level=level)] * REPLICATES


def repeatability(head: Head, needs: Needs) -> Iterator[Run]:
    """Single shots at each flow."""
    first = head.sides[0]
    for level, speed in levels(first).items():
        flow = speed * first.displacement / first.share
        run = replace(
            _base(head),
            block=SHOTS,
            speed=speed,
            shots=needs.grouped,
            pressure=settable_pressure(head.pressure_at(flow)),
            level=level,
        )
        yield from [run] * needs.shots


def sizes(head: Head, side: HeadSide, needs: Needs) -> Iterator[Run]:
    """Half, whole and double shots of a side: air sits in one of them."""
    whole = whole_turns(head, side)
    base = replace(_apart(head, side, needs), block=SIZES)
    for factor, level in ((0.5, ""), (1.0, "middle"), (2.0, "")):
        mass = factor * whole * side.displacement * side.lightest
        run = replace(base, turns=whole * factor, shots=needs.shots_of(mass), level=level)
        yield from [run] * SIZE_SHOTS


def stops(head: Head) -> list[float]:
    """Stops to try: up to the longest that the process has, and an hour at most. [s]"""
    longest = head.subject.duty.longest_stop
    # A pot that cures would be a lost mixer: the longest stop is the process's own.
    limit = min(longest if math.isfinite(longest) else 3600.0, 3600.0)
    return sorted({60.0 * stop for stop in DWELLS_MIN if 60.0 * stop <= limit} | {limit})


def dwell(head: Head, needs: Needs, stop: float) -> Iterator[Run]:
    """First shots after a stop."""
    # One shot after a stop is one shot: groups would hide it.
    yield from [replace(_base(head), block=DWELL, dwell=stop)] * needs.least


def dwell_apart(head: Head, needs: Needs, stop: float) -> Iterator[Run]:
    """First shots of each of two sides by itself."""
    for side in head.sides if len(head.sides) > 1 else ():
        run = replace(_apart(head, side, needs), block=DWELL, dwell=stop, level="")
        yield from [replace(run, turns=whole_turns(head, side))] * SIDE_CATCHES


def control(head: Head, needs: Needs, minute: float) -> list[Run]:
    """The same shot again, for the drift."""
    base = replace(_base(head), block=DRIFT, shots=needs.grouped, minute=minute)
    return [base] * DRIFT_SHOTS


def drift(head: Head, needs: Needs) -> Iterator[Run]:
    """The same shot over four hours, and with two sides their ratio."""
    for step in range(int(DRIFT_MINUTES / DRIFT_STEP) + 1):
        minute = step * DRIFT_STEP
        yield from control(head, needs, minute)
        if minute % RATIO_STEP == 0.0:
            yield from sides_apart(head, needs, replace(_base(head), block=RATIO, minute=minute))


def sides_apart(head: Head, needs: Needs, like: Run) -> Iterator[Run]:
    """Catches of each side under a condition of a run; none of a one-part material."""
    for side in head.sides if len(head.sides) > 1 else ():
        run = replace(
            _apart(head, side, needs),
            block=like.block,
            batch=like.batch,
            temperature=like.temperature,
            minute=like.minute,
        )
        yield from [run] * SIDE_CATCHES


def ends(head: Head) -> list[float]:
    """Both ends of the temperature range; none if it is one. [K]"""
    kelvin: Interval = head.subject.duty.temperature
    return [] if kelvin.high - kelvin.low < 1.0 else [kelvin.low, kelvin.high]


def at_end(head: Head, needs: Needs, kelvin: float) -> Iterator[Run]:
    """The usual shot at an end of the temperature range."""
    base = replace(_base(head), block=TEMPERATURE, shots=needs.grouped, temperature=kelvin)
    yield from [base] * max(END_SHOTS, needs.least)


def second_batch(head: Head, needs: Needs) -> Iterator[Run]:
    """The usual shot with another batch."""
    base = replace(_base(head), block=BATCH, shots=needs.grouped, batch=2)
    yield from [base] * max(END_SHOTS, needs.least)


def blank(head: Head) -> Run:
    """A filled cup weighed again."""
    return replace(_base(head), block=BLANK, speed=0.0, turns=0.0, pressure=0.0)
