"""Heads with named faults, drawn onto the runs of a plan; all figures invented.

A size is told as a share of the tolerance that the fault moves a shot by (of the ratio's tolerance
where it moves the ratio), or that two standard deviations take where it scatters.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.trial.plan import Reading, Run, TrialPlan, Weighings, expected_mass
from configurator.units.interval import Interval

Floats = NDArray[np.float64]

DENSITY = 1250.0
"""Of every batch and side, kg/m^3."""

OFF = 0.01
"""Displacement of every head over the catalog's, less 1: the scale takes it out."""

GOOD_SHARE = 1.0 / 9.0
"""Standard deviation of a good head over the tolerance: three of them take a third of it."""


class Bench:
    """What the runs of a plan are, whatever head is on them."""

    def __init__(self, plan: TrialPlan) -> None:
        self.plan = plan
        self.runs = plan.runs
        self.densities = {
            (batch, side.name): (Interval(DENSITY, DENSITY, DENSITY), True)
            for batch in {run.batch for run in self.runs}
            for side in plan.sides
        }
        masses = [expected_mass(run, plan, self.densities) for run in self.runs]
        self.mass: Floats = np.array([mass or 0.0 for mass in masses])
        self.block = np.array([run.block for run in self.runs])
        self.side = np.array([run.side for run in self.runs])
        self.weighed = self.block != "blank"
        self.whole = np.array([self._whole(run) for run in self.runs])
        """Mass of one whole shot of that side."""
        self.flow = np.array([self._flow(run) for run in self.runs])
        shots = self.flow[self.block == "repeatability"]
        self.slowest, self.fastest = float(shots.min()), float(shots.max())
        self.single = np.isin(
            self.block, ["repeatability", "dwell", "drift", "temperature", "second batch"]
        )
        self.shots = np.array([run.shots for run in self.runs])
        self.minute = np.array([run.minute or 0.0 for run in self.runs])
        self.timed = np.array([run.minute is not None for run in self.runs])

    def _whole(self, run: Run) -> float:
        shot = next(each for each in self.runs if each.block == "repeatability")
        share = next((side.share for side in self.plan.sides if side.name == run.side), 1.0)
        return shot.turns * self.plan.ideal_per_turn * (share if run.side else 1.0) * DENSITY

    def _flow(self, run: Run) -> float:
        """Of the whole deposit."""
        side = next((side for side in self.plan.sides if side.name == run.side), self.plan.sides[0])
        return run.speed * side.displacement / side.share

    def at(self, block: str) -> NDArray[np.bool_]:
        return np.asarray(self.block == block, dtype=np.bool_)

    def where(self, test: Callable[[Run], bool]) -> NDArray[np.bool_]:
        return np.array([test(run) for run in self.runs])

    # Who is what
    def end(self, *, warm: bool) -> NDArray[np.bool_]:
        middle = self.plan.temperature.nominal
        return self.where(
            lambda run: run.temperature > middle + 0.5 if warm else run.temperature < middle - 0.5
        )

    def stopped(self) -> NDArray[np.bool_]:
        return self.where(lambda run: run.dwell > 0.0)


class Drawn(Bench):
    """The weighings of one simulated trial while faults are put in."""

    def __init__(
        self, bench: Bench, size: float, random: np.random.Generator, spread: float = GOOD_SHARE
    ) -> None:
        vars(self).update(vars(bench))
        self.random = random
        self.x = size * self.plan.tolerance
        self.x_ratio = size * (self.plan.ratio_tolerance or 0.0)
        self.usual = spread * self.plan.tolerance
        self.shift: Floats = np.zeros(len(self.runs))
        self.spread: Floats = np.full(len(self.runs), self.usual)
        self.plus: Floats = np.zeros(len(self.runs))

    @property
    def touched(self) -> bool:
        """Whether the fault meets any weighing at all."""
        met = (self.shift != 0.0) | (self.plus != 0.0) | (self.spread != self.usual)
        return bool((met & self.weighed).any())

    def readings(self) -> Weighings:
        """What the balance shows."""
        count = len(self.runs)
        noise = self.random.standard_normal(count) * self.spread / np.sqrt(self.shots)
        mass = self.mass * (1.0 + OFF) * (1.0 + self.shift) * (1.0 + noise) + self.plus
        balance = self.plan.balance_step * 0.02 * self.random.standard_normal(count)
        mass = np.where(self.weighed, mass, 0.0) + balance
        rows = tuple(
            Reading(run, float(each), run.pressure, run.temperature, run.minute, "")
            for run, each in zip(self.runs, mass, strict=True)
        )
        return Weighings(self.plan, rows, (), self.densities, "")

    def onto_b(self, rows: NDArray[np.bool_], x: float) -> None:
        """Side b alone is off: in full where it is caught apart, by its share in a mixed shot."""
        share = self.plan.sides[-1].share
        self.shift -= rows * x * np.where(self.side == "b", 1.0, np.where(self.side, 0.0, share))

    def onto_both(self, rows: NDArray[np.bool_], x: Floats | float) -> None:
        """The ratio is off by x and the whole shot is right: a gives more, b gives less."""
        a, b = (side.share for side in self.plan.sides)
        each = np.where(self.side == "a", b, np.where(self.side == "b", -a, 0.0)) / (a + b)
        self.shift += rows * x * each


def after_stops_short(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * drawn.stopped()


def after_stops_over(drawn: Drawn) -> None:
    drawn.shift += drawn.x * drawn.stopped()


def after_longest_stop_short(drawn: Drawn) -> None:
    longest = max(run.dwell for run in drawn.runs)
    drawn.shift -= drawn.x * drawn.where(lambda run: run.dwell == longest > 0.0)


def warm_end_off(drawn: Drawn) -> None:
    drawn.shift += drawn.x * drawn.end(warm=True)


def cold_end_off(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * drawn.end(warm=False)


def both_ends_short(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * (drawn.end(warm=True) | drawn.end(warm=False))


def warm_end_scatters(drawn: Drawn) -> None:
    drawn.spread += drawn.x / 2.0 * drawn.end(warm=True)


def _share_of_time(drawn: Drawn) -> Floats:
    return drawn.minute / max(float(drawn.minute.max()), 1.0)


def slow_drift(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * drawn.timed * _share_of_time(drawn)


def off_in_the_middle_hours(drawn: Drawn) -> None:
    share = _share_of_time(drawn)
    drawn.shift -= drawn.x * (drawn.timed & (share > 0.33) & (share < 0.67))


def warms_up(drawn: Drawn) -> None:
    drawn.shift += drawn.x * (drawn.timed & (drawn.minute <= 30.0))


def stator_swells(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * drawn.timed * (1.0 - np.exp(-4.0 * _share_of_time(drawn)))


def second_batch_off(drawn: Drawn) -> None:
    drawn.shift += drawn.x * drawn.where(lambda run: run.batch > 1)


def second_batch_scatters(drawn: Drawn) -> None:
    drawn.spread += drawn.x / 2.0 * drawn.where(lambda run: run.batch > 1)


def air(drawn: Drawn) -> None:
    """Each start lacks half of x of a whole shot, after a stop x more; shots scatter by as much."""
    starts = 0.5 + drawn.stopped()
    missing = np.where(drawn.weighed, drawn.whole, 0.0) * drawn.x * starts
    drawn.plus -= missing * drawn.shots
    drawn.spread += drawn.x / 4.0 * drawn.single


def leak(drawn: Drawn) -> None:
    """x of the lowest flow that is weighed anywhere is lost at any speed."""
    slowest = min(flow for flow in drawn.flow if flow > 0.0)
    drawn.shift -= drawn.x * slowest / np.maximum(drawn.flow, slowest)


def sticks_when_slow(drawn: Drawn) -> None:
    drawn.spread += drawn.x / 2.0 * (drawn.weighed & (drawn.flow <= drawn.slowest * 1.01))


def slow_flow_short(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * (drawn.weighed & (drawn.flow <= drawn.slowest * 1.01))


def fast_flow_short(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * (drawn.flow >= drawn.fastest * 0.99)


def two_cups_mixed_up(drawn: Drawn) -> None:
    """Two cups of like catches: what one tare is too light, the other is too heavy."""
    first = drawn.random.choice(np.flatnonzero(drawn.weighed & (drawn.block != "shot size")))
    run = drawn.runs[first]
    like = drawn.where(lambda each: (each.block, each.side) == (run.block, run.side))
    like[first] = False
    second = drawn.random.choice(np.flatnonzero(like))
    drawn.plus[[first, second]] += np.array([1.0, -1.0]) * drawn.x * drawn.mass[first]


def rows_swapped(drawn: Drawn) -> None:
    """The warm end is off, and its rows stand where those of the second batch belong."""
    drawn.shift += drawn.x * drawn.end(warm=True)
    warm = np.flatnonzero(drawn.end(warm=True) & (drawn.side == ""))
    batch = np.flatnonzero(drawn.at("second batch") & (drawn.side == ""))
    both = min(len(warm), len(batch))
    warm, batch = warm[:both], batch[:both]
    drawn.shift[warm], drawn.shift[batch] = drawn.shift[batch].copy(), drawn.shift[warm].copy()


def one_operator_off(drawn: Drawn) -> None:
    """Every third weighing is somebody else's."""
    turn = np.arange(len(drawn.runs)) % 3 == 0
    drawn.shift += drawn.x * (turn & drawn.weighed)


def balance_drifts(drawn: Drawn) -> None:
    drawn.shift += drawn.x * np.linspace(0.0, 1.0, len(drawn.runs))


def _at_highest_pressure(drawn: Drawn) -> NDArray[np.bool_]:
    rows = drawn.at("pressure map")
    highest = {
        side: max(run.pressure for run in drawn.plan.of("pressure map", side=side))
        for side in set(drawn.side[rows])
    }
    return drawn.where(
        lambda run: run.block == "pressure map" and run.pressure == highest[run.side]
    )


def highest_pressure_short(drawn: Drawn) -> None:
    drawn.shift -= drawn.x * _at_highest_pressure(drawn)


def wrong_tare_in_a_block(drawn: Drawn) -> None:
    block = drawn.random.choice(sorted(set(drawn.block) - {"blank"}))
    rows = drawn.at(block)
    drawn.plus += rows * drawn.x * np.median(drawn.mass[rows])


def one_outlier(drawn: Drawn) -> None:
    drawn.shift[drawn.random.choice(np.flatnonzero(drawn.weighed))] -= drawn.x


def several_outliers(drawn: Drawn) -> None:
    rows = np.flatnonzero(drawn.weighed)
    hit = drawn.random.choice(rows, max(len(rows) * 3 // 100, 2), replace=False)
    drawn.shift[hit] += drawn.x * drawn.random.choice([-1.0, 1.0], len(hit))


def first_of_each_block_short(drawn: Drawn) -> None:
    first = np.ones(len(drawn.runs), dtype=bool)
    first[1:] = drawn.block[1:] != drawn.block[:-1]
    seen = np.array(
        [list(drawn.block[:place]).count(name) for place, name in enumerate(drawn.block)]
    )
    drawn.shift -= drawn.x * (first & (seen == 0) & drawn.weighed)


def ratio_drifts(drawn: Drawn) -> None:
    rows = drawn.timed
    drawn.onto_b(rows, 1.0)
    share = _share_of_time(drawn)
    drawn.shift *= np.where(rows, drawn.x_ratio * share, 1.0)


def b_short_after_stops(drawn: Drawn) -> None:
    drawn.onto_b(drawn.stopped(), drawn.x_ratio)


def b_short_when_warm(drawn: Drawn) -> None:
    drawn.onto_b(drawn.end(warm=True), drawn.x_ratio)


def a_over_b_short_when_warm(drawn: Drawn) -> None:
    drawn.onto_both(drawn.end(warm=True), drawn.x_ratio)


def a_over_b_short_after_stops(drawn: Drawn) -> None:
    drawn.onto_both(drawn.stopped(), drawn.x_ratio)


def a_over_b_short_over_time(drawn: Drawn) -> None:
    drawn.onto_both(drawn.timed, drawn.x_ratio * _share_of_time(drawn))


def a_over_b_short_at_highest_pressure(drawn: Drawn) -> None:
    drawn.onto_both(_at_highest_pressure(drawn), drawn.x_ratio)


def second_shift_off(drawn: Drawn) -> None:
    """Whoever weighs the second half of each block reads x more."""
    for block in set(drawn.block) - {"blank"}:
        rows = np.flatnonzero(drawn.at(block))
        drawn.shift[rows[len(rows) // 2 :]] += drawn.x


def one_cup_wrong(drawn: Drawn) -> None:
    """One of ten cups in turn has the wrong tare."""
    drawn.plus += drawn.x * drawn.mass * (np.arange(len(drawn.runs)) % 10 == 3)


def loosens(drawn: Drawn) -> None:
    """Something gives way at a random moment, and it stays so."""
    moment = drawn.random.integers(5, len(drawn.runs) - 5)
    drawn.shift -= drawn.x * (np.arange(len(drawn.runs)) >= moment) * drawn.weighed


def quarter_of_an_hour_off(drawn: Drawn) -> None:
    """One visit of the drift hours."""
    drift = drawn.at("drift")
    if drift.any():
        visit = drawn.random.choice(np.unique(drawn.minute[drift]))
        drawn.shift -= drawn.x * (drift & (drawn.minute == visit))


def _two_part(plan: TrialPlan) -> bool:
    return plan.two_part


def _flows(plan: TrialPlan) -> bool:
    return len({run.level for run in plan.of("repeatability")}) > 1


def _swappable(plan: TrialPlan) -> bool:
    return bool(plan.of("temperature")) and bool(plan.of("second batch"))


@dataclass(frozen=True)
class Fault:
    name: str
    put: Callable[[Drawn], None]
    applies: Callable[[TrialPlan], bool] = bool


FAULTS = (
    Fault("first shots after every stop short", after_stops_short),
    Fault("first shots after every stop over", after_stops_over),
    Fault("first shot after the longest stop short", after_longest_stop_short),
    Fault("warm end over", warm_end_off),
    Fault("cold end short", cold_end_off),
    Fault("both ends of temperature short", both_ends_short),
    Fault("scatter at the warm end", warm_end_scatters),
    Fault("slow drift", slow_drift),
    Fault("off in the middle of the drift hours", off_in_the_middle_hours),
    Fault("off in the first half hour", warms_up),
    Fault("stator swells and settles", stator_swells),
    Fault("second batch off", second_batch_off),
    Fault("second batch scatters", second_batch_scatters),
    Fault("air", air),
    Fault("leak", leak),
    Fault("sticks at the lowest flow", sticks_when_slow),
    Fault("lowest flow short", slow_flow_short, _flows),
    Fault("highest flow short", fast_flow_short, _flows),
    Fault("two cups mixed up", two_cups_mixed_up),
    Fault("rows of two blocks swapped", rows_swapped, _swappable),
    Fault("one operator off", one_operator_off),
    Fault("balance drifts", balance_drifts),
    Fault("highest back pressure short", highest_pressure_short),
    Fault("wrong tare in one block", wrong_tare_in_a_block),
    Fault("one outlier", one_outlier),
    Fault("outliers, 3 in 100", several_outliers),
    Fault("first weighing of each block short", first_of_each_block_short),
    Fault("ratio drifts", ratio_drifts, _two_part),
    Fault("side b short after stops", b_short_after_stops, _two_part),
    Fault("side b short at the warm end", b_short_when_warm, _two_part),
    Fault("a over, b short at the warm end", a_over_b_short_when_warm, _two_part),
    Fault("a over, b short after stops", a_over_b_short_after_stops, _two_part),
    Fault("a over, b short over the hours", a_over_b_short_over_time, _two_part),
    Fault("a over, b short at the highest pressure", a_over_b_short_at_highest_pressure, _two_part),
    Fault("second half of each block off", second_shift_off),
    Fault("one of ten cups with a wrong tare", one_cup_wrong),
    Fault("gives way at a random moment", loosens),
    Fault("a quarter of an hour off", quarter_of_an_hour_off),
)


def drawn(
    bench: Bench, fault: Fault | None, size: float, seed: int, spread: float = GOOD_SHARE
) -> Drawn:
    """A head, good but for its fault, on the runs of a plan."""
    head = Drawn(bench, size, np.random.default_rng([seed, round(size * 10)]), spread)
    if fault is not None:
        fault.put(head)
    return head


def weighed(plan: TrialPlan, fault: Fault | None, size: float, seed: int) -> Weighings:
    """The filled form of a head, good but for its fault."""
    return drawn(Bench(plan), fault, size, seed).readings()
