"""The blocks of a trial: which set points, how often, and what for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from configurator.trial.head import Head, HeadSide
from configurator.trial.plan import Run, shuffled
from configurator.trial.sample_size import weighing
from configurator.units.interval import Interval

SPEEDS = 5
REPLICATES = 3
"""Speeds of the line, and weighings of each (common practice, no source)."""

LEAST_TURNS, MOST_TURNS = 10.0, 100.0
"""Turns in one catch of the line and the pressure map: whole turns, so that the place of the
rotor evens out, and more where the balance would not tell (common practice, no source)."""

TEMPERATURE_SHOTS = 5
BATCH_SHOTS = 10
DWELL_SHOTS = 2
RATIO_PAIRS = 4
SIZE_SHOTS = 5
DWELLS_MIN = (1.0, 5.0, 15.0, 60.0)
DRIFT_MINUTES = 240.0
DRIFT_STEP = 15.0
DRIFT_SHOTS = 3
BLANK_EVERY = 20
"""Sizes of the other blocks (common practice, no source)."""

MAP_SHARE = 0.8
"""Highest pressure of the map over the smallest rating, unless the work itself needs more: a
reserve for what the gauge and the restriction are off (common practice, no source). [-]"""

LINE, PRESSURE, SHOTS, SIZES = "line", "pressure map", "repeatability", "shot size"
DWELL, DRIFT, TEMPERATURE, BATCH = "dwell", "drift", "temperature", "second batch"
RATIO, BLANK = "ratio", "blank"

PURPOSE = {
    LINE: "displacement a turn and linearity over five speeds",
    PRESSURE: "slip against back pressure, set with a restriction behind the tip's place",
    SHOTS: "spread of single shots at the lowest, nominal and highest flow",
    SIZES: "half and double shots: what every start and stop takes or gives",
    DWELL: "first shot after a stop",
    DRIFT: "the same shot over four hours",
    TEMPERATURE: "the same shot at both ends of the room's temperature",
    BATCH: "the same shot with a second batch",
    RATIO: "both components caught apart, over the whole trial",
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
    seed: int
    """Of the order."""
    tolerance: float
    """Either way. [-]"""
    step: float
    """Step of the balance at hand. [kg]"""

    def shots_of(self, mass: float) -> int:
        """Shots of a mass that go into one weighing, so that the balance tells."""
        return weighing(shot_mass=mass, tolerance=self.tolerance, step=self.step).shots


def runs_of(head: Head, needs: Needs) -> tuple[Run, ...]:
    """All runs of a first look, in their order.

    What can be mixed is mixed: line, pressure map, repeatability and shot sizes in one random
    order, blanks spread among them. Blocks that change the room, the batch or the time stand
    by themselves, for a room does not change between two shots.
    """
    mixed = [
        *_line(head, needs),
        *_pressure_map(head, needs),
        *_repeatability(head, needs),
        *_sizes(head, needs),
    ]
    core = _with_blanks(_in_random_order(mixed, needs.seed), head)
    later = [
        _in_random_order(_dwell(head, needs), needs.seed + 1),
        _drift(head, needs),
        *(_at_end(head, needs, kelvin) for kelvin in _ends(head, needs.seed)),
        _in_random_order(list(_second_batch(head, needs)), needs.seed + 2),
    ]
    return _numbered([*core, *(run for block in later for run in block)])


def further_runs(head: Head, needs: Needs) -> tuple[Run, ...]:
    """Runs of a further look: repeatability and blanks alone."""
    shots = _in_random_order(list(_repeatability(head, needs)), needs.seed)
    return _numbered(_with_blanks(shots, head))


def _numbered(runs: list[Run]) -> tuple[Run, ...]:
    return tuple(replace(run, number=number) for number, run in enumerate(runs, start=1))


def _in_random_order(runs: list[Run], seed: int) -> list[Run]:
    keys = [
        f"{place}:{run.block}:{run.side}:{run.speed:.9g}:{run.turns:.9g}:{run.pressure:.9g}"
        for place, run in enumerate(runs)
    ]
    return [runs[place] for place in shuffled(keys, seed)]


def levels(side: HeadSide) -> dict[str, float]:
    """Speeds of the repeatability block by flow; one where the process has one flow. [rev/s]"""
    speeds = side.speeds
    if speeds.high <= speeds.low * 1.05:
        return {"middle": speeds.nominal}
    return {"low": speeds.low, "middle": speeds.nominal, "high": speeds.high}


def _base(head: Head) -> Run:
    """The middle of everything; each block changes what it is about."""
    duty = head.subject.duty
    side = head.sides[0]
    return Run(
        number=0,
        block="",
        side="",
        batch=1,
        speed=side.speeds.nominal,
        turns=head.shot * side.share / side.displacement,
        shots=1,
        pressure=head.pressure_at(duty.flow.nominal),
        temperature=duty.temperature.nominal,
        dwell=0.0,
        minute=None,
        level="",
    )


def _line_speeds(side: HeadSide) -> list[float]:
    low, high = side.speeds.low, side.speeds.high
    if high <= low * 1.5:
        low = max(side.slowest, low * 0.5)
        high = min(side.fastest, high * 1.25)
    return [low + (high - low) * step / (SPEEDS - 1) for step in range(SPEEDS)]


def _turns(head: Head, side: HeadSide, needs: Needs) -> float:
    """Whole turns of a catch: ten, as many as a weighing of shots has, or as the balance needs."""
    shots = head.shot * needs.grouped * side.share / side.displacement
    turns = max(LEAST_TURNS, min(shots, 2.0 * LEAST_TURNS))
    mass = turns * side.displacement * side.lightest
    return float(math.ceil(min(turns * needs.shots_of(mass), max(turns, MOST_TURNS))))


def map_pressures(head: Head) -> tuple[float, float, float]:
    """Back pressures of the map: up to most of the smallest rating, and never beyond it. [Pa]

    A side is caught before mixer and tip, so that where the work itself comes close to the
    rating, the map begins below it.
    """
    rated = head.pressure_allowed
    low = head.pressure_at(head.subject.duty.flow.nominal)
    high = min(max(MAP_SHARE * rated, 1.2 * low), rated)
    low = min(low, high / 3.0)
    return low, (low + high) / 2.0, high


def _set_apart(head: Head, side: HeadSide, pressure: float) -> float:
    """Pressure to set for a side that is caught by itself: that at work, within the rating."""
    return min(pressure, map_pressures(head)[2]) if side.name else pressure


def _line(head: Head, needs: Needs) -> Iterator[Run]:
    for side in head.sides:
        for speed in _line_speeds(side):
            flow = speed * side.displacement / side.share
            run = replace(
                _base(head),
                block=LINE,
                side=side.name,
                speed=speed,
                turns=_turns(head, side, needs),
                pressure=_set_apart(head, side, head.pressure_at(flow)),
            )
            yield from [run] * REPLICATES


def _pressure_map(head: Head, needs: Needs) -> Iterator[Run]:
    for side in head.sides:
        slow, fast = _line_speeds(side)[0], _line_speeds(side)[-1]
        for speed in (slow, fast):
            for pressure in map_pressures(head):
                run = replace(
                    _base(head),
                    block=PRESSURE,
                    side=side.name,
                    speed=speed,
                    turns=_turns(head, side, needs),
                    pressure=pressure,
                )
                yield from [run] * REPLICATES


def _repeatability(head: Head, needs: Needs) -> Iterator[Run]:
    first = head.sides[0]
    for level, speed in levels(first).items():
        flow = speed * first.displacement / first.share
        run = replace(
            _base(head),
            block=SHOTS,
            speed=speed,
            shots=needs.grouped,
            pressure=head.pressure_at(flow),
            level=level,
        )
        yield from [run] * needs.shots


def _sizes(head: Head, needs: Needs) -> Iterator[Run]:
    """Half, whole and double shots, each side by itself: air sits in one of them."""
    base = replace(_base(head), block=SIZES)
    for side in head.sides:
        whole = head.shot * side.share / side.displacement
        for factor in (0.5, 1.0, 2.0):
            mass = factor * whole * side.displacement * side.lightest
            run = replace(
                base,
                side=side.name,
                speed=side.speeds.nominal,
                turns=whole * factor,
                pressure=_set_apart(head, side, base.pressure),
                shots=needs.shots_of(mass),
            )
            yield from [run] * SIZE_SHOTS


def _dwell(head: Head, needs: Needs) -> list[Run]:
    """First shots after stops up to the longest that the process has, and an hour otherwise."""
    longest = head.subject.duty.longest_stop
    # A pot that cures would be a lost mixer: the longest stop is the process's own.
    limit = longest if math.isfinite(longest) else 3600.0
    stops = sorted({60.0 * stop for stop in DWELLS_MIN if 60.0 * stop <= limit} | {limit})
    stops = [stop for stop in stops if stop <= max(3600.0, stops[0])] or [limit]
    base = replace(_base(head), block=DWELL, shots=needs.grouped)
    # One shot after a stop is one shot: groups would hide it.
    return [replace(base, dwell=stop, shots=1) for stop in stops for _ in range(DWELL_SHOTS)]


def _drift(head: Head, needs: Needs) -> list[Run]:
    base = replace(_base(head), block=DRIFT, shots=needs.grouped)
    runs = []
    steps = int(DRIFT_MINUTES / DRIFT_STEP)
    for step in range(steps + 1):
        minute = step * DRIFT_STEP
        runs += [replace(base, minute=minute)] * DRIFT_SHOTS
        if len(head.sides) > 1 and step % (steps // RATIO_PAIRS) == 0:
            runs += [
                replace(
                    base,
                    block=RATIO,
                    side=side.name,
                    minute=minute,
                    speed=side.speeds.nominal,
                    turns=_turns(head, side, needs),
                    pressure=_set_apart(head, side, base.pressure),
                    shots=1,
                )
                for side in head.sides
                for _ in range(2)
            ]
    return runs


def _ends(head: Head, seed: int) -> list[float]:
    """Both ends of the temperature range, in an order that the seed gives; none if it is one."""
    kelvin: Interval = head.subject.duty.temperature
    if kelvin.high - kelvin.low < 1.0:
        return []
    ends = [kelvin.low, kelvin.high]
    return [ends[place] for place in shuffled(["low", "high"], seed)]


def _at_end(head: Head, needs: Needs, kelvin: float) -> list[Run]:
    base = replace(_base(head), block=TEMPERATURE, shots=needs.grouped, temperature=kelvin)
    return [base] * TEMPERATURE_SHOTS


def _second_batch(head: Head, needs: Needs) -> Iterator[Run]:
    base = replace(_base(head), block=BATCH, shots=needs.grouped, batch=2)
    yield from [base] * BATCH_SHOTS


def _with_blanks(runs: list[Run], head: Head) -> list[Run]:
    """Blanks at the start, at the end, and every so often between."""
    blank = replace(_base(head), block=BLANK, speed=0.0, turns=0.0, shots=1, pressure=0.0)
    mixed = [blank]
    for place, run in enumerate(runs, start=1):
        mixed.append(run)
        if place % BLANK_EVERY == 0:
            mixed.append(blank)
    return [*mixed, blank, blank] if len(runs) % BLANK_EVERY else [*mixed, blank]
