"""A condition of a trial: which runs belong to it, and what they show against the tolerance."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass, field

from configurator.trial import blocks
from configurator.trial.plan import Run, TrialPlan
from configurator.trial.sample import Capability, capability

Key = tuple[str, str, float | str]
"""Block, side, and what the block varies."""


@dataclass(frozen=True, slots=True)
class Condition:
    """What the weighings of one condition show against the tolerance."""

    block: str
    side: str
    """a, b, a:b for their ratio, or empty."""
    level: str
    words: str
    """As a sentence names it."""
    count: int
    """Weighings. [-]"""
    grouped: int
    """Shots in each. [-]"""
    mean: float
    """Relative error after the head is set, or what of the ratio is off. [-]"""
    deviation: float
    """Relative standard deviation of single shots or catches. [-]"""
    factor: float
    """Half-width of the interval in that deviation. [-]"""
    limit: float
    """Either way. [-]"""
    inside: int
    """Weighings inside of the limit. [-]"""
    wider: Callable[[int], float] = field(repr=False, compare=False)
    """The factor with so many weighings."""
    most: int
    """Weighings over all looks."""
    against: str
    """Block that it is compared with, which a further look weighs again as well."""

    @property
    def low(self) -> float:
        """Lower end of the interval. [-]"""
        return self.mean - self.factor * self.deviation

    @property
    def high(self) -> float:
        """Upper end of the interval. [-]"""
        return self.mean + self.factor * self.deviation

    @property
    def farthest(self) -> float:
        """End of the interval that is farther from what is wanted. [-]"""
        return max(abs(self.low), abs(self.high))

    @property
    def capability(self) -> Capability:
        """Of single shots against the limit."""
        return capability(
            mean=self.mean,
            deviation=self.deviation,
            count=self.count,
            lower=-self.limit,
            upper=self.limit,
        )

    def holds(self, systematic: float = 0.0) -> bool:
        """Whether the interval, widened, lies within the limit."""
        return self.farthest + systematic <= self.limit

    def needed(self, systematic: float = 0.0) -> int | None:
        """Weighings in all that would do with spread and mean as seen; None if no number would."""
        room = self.limit - systematic - abs(self.mean)

        def enough(count: int) -> bool:
            return self.wider(count) * self.deviation <= room

        if room <= 0.0 or self.most < self.count or not enough(self.most):
            return None
        counts = range(self.count, self.most)
        return self.count + bisect_left(counts, True, key=enough)


@dataclass(frozen=True, slots=True)
class Outlier:
    """A weighing that stands out from its fellows."""

    run: Run
    words: str
    off: float
    """From what is wanted, or from its fellows where those are not judged. [-]"""
    fails: bool
    """True if it is off by more than the tolerance."""


@dataclass(frozen=True)
class Judged:
    """All conditions of a trial."""

    conditions: tuple[Condition, ...]
    outliers: tuple[Outlier, ...]
    thin: tuple[str, ...]
    """Conditions of which so few weighings count that they were not tested."""
    each: float
    """Confidence of every condition beside the flows. [-]"""

    @property
    def levels(self) -> tuple[Condition, ...]:
        """Single shots at each flow."""
        return tuple(each for each in self.conditions if each.block == blocks.SHOTS)


def key_of(run: Run) -> Key:
    """Return which condition a run belongs to."""
    varied: float | str = ""
    match run.block:
        case blocks.SHOTS:
            varied = run.level
        case blocks.DWELL:
            varied = run.dwell
        case blocks.TEMPERATURE:
            varied = round(run.temperature, 2)
        case blocks.DRIFT | blocks.RATIO:
            varied = float((run.minute or 0.0) // 60.0)
        case blocks.LINE:
            varied = run.speed
        case blocks.PRESSURE:
            varied = f"{run.speed:.6g} {run.pressure:.6g}"
        case blocks.SIZES:
            varied = run.turns
    return run.block, run.side, varied


def words_of(run: Run) -> str:
    """Return a condition in words."""
    side = f"side {run.side}, " if run.side else ""
    hour = int((run.minute or 0.0) // 60.0) + 1
    says = {
        blocks.SHOTS: f"{run.level} flow",
        blocks.DWELL: f"first shots after a stop of {run.dwell / 60.0:.3g} min",
        blocks.TEMPERATURE: f"at {run.temperature - 273.15:.3g} degC",
        blocks.BATCH: "second batch",
        blocks.DRIFT: f"hour {hour} of the drift",
        blocks.RATIO: f"hour {hour} of the drift",
        blocks.LINE: f"catches at {run.speed * 60.0:.3g} rpm",
        blocks.PRESSURE: f"{run.pressure / 1e5:.3g} bar at {run.speed * 60.0:.3g} rpm",
        blocks.SIZES: f"shots of {run.turns:.4g} turns",
    }
    return side + says.get(run.block, run.block)


def limit_of(side: str, plan: TrialPlan) -> float:
    """What a side may be off by itself: it moves the ratio by as much. [-]"""
    ratio = plan.ratio_tolerance
    return min(plan.tolerance, ratio) if side and ratio is not None else plan.tolerance
