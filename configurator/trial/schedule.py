"""The order of a trial, how long it takes, and what of it fits into some hours."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from configurator.trial import blocks
from configurator.trial.blocks import BLANK_EVERY, DRIFT, PRESSURE, RATIO, SHOTS, Needs
from configurator.trial.conditions import key_of
from configurator.trial.head import Head
from configurator.trial.plan import Run, shuffled

HANDLING = 60.0
"""One weighing beside the catch itself: tare, place, weigh, write (common practice). [s]"""

RESTRICTION, OUTLET, ROOM, NEW_BATCH = 300.0, 600.0, 3600.0, 1800.0
"""To set another restriction; to take the tip off or put it on, or change the side; to bring
material, head and balance to another temperature; to change the batch and prime (common practice,
no source). [s]"""


TIME_WORDS = (
    f"{HANDLING / 60.0:.0f} min a weighing beside the catch, {RESTRICTION / 60.0:.0f} min another "
    f"restriction, {OUTLET / 60.0:.0f} min a tip or side, {ROOM / 60.0:.0f} min a temperature, "
    f"{NEW_BATCH / 60.0:.0f} min a batch (common practice, no source); each is set as seldom as can be"
)

LONG_STOP = 1800.0
"""Stop from which the usual shot follows each first one (common practice, no source). [s]"""

FEWEST_APART = 2
"""Catches of each side after a stop where time is short: its spread is that of like catches (common
practice, no source). [-]"""

RATIO_ADDS = "the ratio after the longest stop"

SHARED = 1.3
"""Times of pieces by themselves, added, over what they take together, at most: they share changes."""


def duration(runs: Iterable[Run]) -> float:
    """Time that runs take in their order, with everything that changes between them. [s]"""
    return _elapsed(list(runs))[-1]


def _elapsed(runs: Sequence[Run]) -> list[float]:
    """Time at the end of each run. [s]"""
    clock, started, times = 0.0, 0.0, [0.0]
    last: Run | None = None
    for run in runs:
        clock += _change(last, run)
        if run.minute is not None:
            if last is None or last.minute is None:
                started = clock - run.minute * 60.0
            clock = max(clock, started + run.minute * 60.0)
        caught = run.shots * run.turns / run.speed if run.speed else 0.0
        clock += run.dwell + HANDLING + caught
        times.append(clock)
        # A blank is weighed with everything as it stands.
        last = run if run.speed or last is None else last
    return times


@dataclass(frozen=True, slots=True)
class RunStretch:
    """Weighings in a row with everything set alike."""

    start: float
    """From the start of the trial. [s]"""
    blocks: tuple[str, ...]
    runs: tuple[Run, ...]


def stretches(runs: Sequence[Run]) -> list[RunStretch]:
    """Return the order of a trial: what is weighed in a row, and when it starts.

    A new one starts where something has to be set, where a stop begins and where the block of a
    shot with a time of its own begins or ends.
    """

    def setting(run: Run) -> tuple[object, ...]:
        behind = run.pressure if _outlet(run)[1] else 0.0
        at = (_outlet(run), behind, round(run.temperature), run.batch, run.dwell)
        return *at, run.block in (DRIFT, RATIO)

    times = _elapsed(runs)
    found: list[RunStretch] = []
    last: tuple[object, ...] | None = None
    for run, start in zip(runs, times, strict=False):
        # A blank is weighed with everything as it stands.
        now = setting(run) if run.speed or last is None else last
        if now == last or (last is not None and now[-1] and last[-1]):
            kept = found[-1]
            names = tuple(dict.fromkeys((*kept.blocks, run.block)))
            found[-1] = RunStretch(kept.start, names, (*kept.runs, run))
        else:
            found.append(RunStretch(start, (run.block,), (run,)))
        last = now
    return found


def _change(last: Run | None, run: Run) -> float:
    if last is None or not run.speed:
        return 0.0
    changed = ROOM if abs(run.temperature - last.temperature) > 0.5 else 0.0  # noqa: PLR2004 - [K]
    changed += NEW_BATCH if run.batch != last.batch else 0.0
    if _outlet(run) != _outlet(last):
        return changed + OUTLET
    return changed + (RESTRICTION if run.pressure != last.pressure and _outlet(run)[1] else 0.0)


def _outlet(run: Run) -> tuple[str, bool]:
    """Which side is caught, and whether a restriction stands in place of mixer and tip."""
    return run.side, bool(run.side) or run.block == PRESSURE


@dataclass(frozen=True)
class Piece:
    """Runs that stand together."""

    name: str
    worth: int
    """How many of the faults that people meet show in it alone (judgement, no source). [-]"""
    runs: tuple[Run, ...]
    adds: str
    """What it proves, as a list of what is left out says it."""


def pieces_of(head: Head, needs: Needs, *, apart: bool = True) -> list[Piece]:
    """Everything that a trial may hold beside the flows, in the order in which it is done.

    What is quick to change is mixed within a piece; what takes long to set, a restriction, an
    outlet, a temperature, a batch, is set once. With `apart`, two sides are also caught by
    themselves after stops, at the ends and with the second batch; without, after the longest stop
    as a piece of its own.
    """
    two = len(head.sides) > 1
    found = []
    stops = blocks.stops(head)
    for stop in stops:
        runs = list(blocks.dwell(head, needs, stop))
        if apart and stop == stops[-1]:
            runs += blocks.dwell_apart(head, needs, stop)
        worth = 5 if stop == stops[-1] else 1
        adds = f"first shots after a stop of {stop / 60.0:.3g} min"
        found.append(Piece(f"stop {stop:.0f}", worth, tuple(runs), adds))
    for side in head.sides:
        name, whose = side.name, side.whose
        line = _mixed(blocks.line(head, side, needs), needs.seed)
        found.append(Piece(f"line{name}", 1 + two, line, f"{whose}linearity over the speeds"))
        sized = _mixed(blocks.sizes(head, side, needs), needs.seed)
        found.append(Piece(f"sizes{name}", 1, sized, f"{whose}air: what every start takes"))
        mapped = _restricted(list(blocks.pressure_map(head, side, needs)), needs.seed)
        adds = f"{whose}displacement, leak, and slip up to the highest back pressure of the work"
        found.append(Piece(f"map{name}", 3, mapped, adds))
    if two and not apart:
        found.append(Piece("ratio", 8, _each_after_stop(head, needs, stops[-1]), RATIO_ADDS))
    hours = tuple(blocks.drift(head, needs))
    found.append(Piece(DRIFT, 4, hours, "drift over four hours" + ", and of the ratio" * two))
    for kelvin in _shuffle(blocks.ends(head), needs.seed):
        runs = list(blocks.at_end(head, needs, kelvin))
        runs += blocks.sides_apart(head, needs, runs[0]) if apart else ()
        found.append(
            Piece(f"end {kelvin:.0f}", 2, tuple(runs), f"shots at {kelvin - 273.15:.3g} degC")
        )
    runs = list(blocks.second_batch(head, needs))
    runs += blocks.sides_apart(head, needs, runs[0]) if apart else ()
    found.append(Piece("batch", 3, tuple(runs), "a second batch"))
    return found


def _each_after_stop(head: Head, needs: Needs, stop: float) -> tuple[Run, ...]:
    """Shots of each side without and with a stop, one side after the other."""
    after = list(blocks.dwell_apart(head, needs, stop))
    found: list[Run] = []
    for side in head.sides:
        found += [run for run in blocks.sizes(head, side, needs) if run.level]
        found += [run for run in after if run.side == side.name][:FEWEST_APART]
    return tuple(found)


def full(head: Head, needs: Needs) -> tuple[Run, ...]:
    """All runs of a first look, in their order."""
    pieces = pieces_of(head, needs)
    # With the tip in its place flows, line and shot sizes are one random order.
    tip = [piece for piece in pieces if piece.name in ("line", "sizes")]
    mixed = [*blocks.repeatability(head, needs), *(run for piece in tip for run in piece.runs)]
    core = with_blanks(_mixed(mixed, needs.seed), head)
    rest = [run for piece in pieces if piece not in tip for run in piece.runs]
    return numbered([*core, *rest])


def within(head: Head, needs: Needs, seconds: float) -> tuple[tuple[Run, ...], tuple[str, ...]]:
    """Return the most informative runs that fit into some time, and what they leave out.

    Sets of pieces are tried by what they are worth, of equals the shorter first, until one fits in
    its order, with every change in it. The drift has no hours of its own here: the usual shot is
    weighed again between the pieces. Empty where not even the flows fit.
    """
    base = with_blanks(_mixed(blocks.repeatability(head, needs), needs.seed), head)
    pieces = pieces_of(head, needs, apart=False)
    took = duration(base)
    if took > seconds:
        return (), ()
    costs = [_cost(head, needs, base, piece) for piece in pieces]
    tried: list[tuple[int, float, tuple[int, ...]]] = []
    for size in range(len(pieces) + 1):
        for chosen in combinations(range(len(pieces)), size):
            cost = took + sum(costs[place] for place in chosen)
            if cost <= SHARED * seconds:
                tried.append((sum(pieces[place].worth for place in chosen), -cost, chosen))
    taken = next(
        chosen
        for _, _, chosen in sorted(tried, reverse=True)
        if duration(_laid_out(head, needs, base, [pieces[at] for at in chosen])) <= seconds
    )
    runs = numbered(_laid_out(head, needs, base, [pieces[at] for at in taken]))
    left = [piece.adds for at, piece in enumerate(pieces) if at not in taken]
    timed = [run.minute for run in runs if run.minute is not None]
    if timed:
        gap = max(b - a for a, b in pairwise(sorted(set(timed))))
        left.append(
            f"drift beyond {max(timed) / 60.0:.2g} h, or what comes and goes within {gap:.0f} min"
        )
    if len(head.sides) > 1:
        left.append("the ratio over hours, at other temperatures and with another batch")
    return runs, tuple(left)


def _cost(head: Head, needs: Needs, base: Sequence[Run], piece: Piece) -> float:
    """Time that a piece takes by itself, with what changes before it. [s]"""
    return duration(_laid_out(head, needs, base, [piece])) - duration(base)


def _laid_out(head: Head, needs: Needs, base: Sequence[Run], chosen: Sequence[Piece]) -> list[Run]:
    """The flows and what was chosen, with the usual shot between if the drift was."""
    controlled = any(piece.name == DRIFT for piece in chosen)
    runs: list[Run] = []

    def control() -> None:
        if controlled:
            minute = math.ceil(duration(runs) / 60.0)
            runs.extend(blocks.control(head, needs, float(minute)))

    control()
    runs.extend(base)
    control()
    for piece in chosen:
        if piece.name == DRIFT:
            continue
        for run in piece.runs:
            runs.append(run)
            if run.dwell >= LONG_STOP and run is not piece.runs[-1]:
                control()
        last = piece.runs[-1]
        if _outlet(last) == ("", False) and last.batch == 1 and not _away(head, last):
            control()
    if _outlet(runs[-1]) != ("", False):
        # Catches of a side are compared with one another: what gave way meanwhile shows here.
        control()
    return runs


def _away(head: Head, run: Run) -> bool:
    return abs(run.temperature - head.subject.duty.temperature.nominal) > 0.5  # noqa: PLR2004 - [K]


def again(head: Head, needs: Needs, names: Sequence[str], count: int) -> tuple[Run, ...]:
    """Runs of a further look: so many of every condition of some blocks, and blanks."""
    every = [*blocks.repeatability(head, needs)]
    every += [run for piece in pieces_of(head, needs) for run in piece.runs]
    found = {key_of(run): run for run in reversed(every)}
    runs = [run for run in reversed(found.values()) if run.block in names for _ in range(count)]
    flows = [run for run in runs if run.block == SHOTS]
    later = [run for run in runs if run.block != SHOTS]
    return numbered([*with_blanks(_mixed(flows, needs.seed), head), *later])


def numbered(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Runs with their numbers, from 1."""
    return tuple(replace(run, number=number) for number, run in enumerate(runs, start=1))


def _mixed(runs: Iterable[Run], seed: int) -> tuple[Run, ...]:
    """In a random order that the seed gives."""
    listed = list(runs)
    keys = [
        f"{place}:{run.block}:{run.side}:{run.speed:.9g}:{run.turns:.9g}:{run.pressure:.9g}"
        for place, run in enumerate(listed)
    ]
    return tuple(listed[place] for place in shuffled(keys, seed))


def _shuffle(values: Sequence[float], seed: int) -> list[float]:
    return [values[place] for place in shuffled([str(place) for place in range(len(values))], seed)]


def _restricted(runs: Sequence[Run], seed: int) -> tuple[Run, ...]:
    """Each restriction set once, in a random order; what is caught behind it in another."""
    found: list[Run] = []
    for pressure in _shuffle(sorted({run.pressure for run in runs}), seed):
        found += _mixed([run for run in runs if run.pressure == pressure], seed)
    return tuple(found)


def with_blanks(runs: Sequence[Run], head: Head) -> list[Run]:
    """Blanks at the start, at the end, and every so often between."""
    blank = blocks.blank(head)
    found = [blank]
    for place, run in enumerate(runs, start=1):
        found.append(run)
        if place % BLANK_EVERY == 0:
            found.append(blank)
    return [*found, blank, blank] if len(runs) % BLANK_EVERY else [*found, blank]
