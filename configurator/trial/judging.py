"""Every condition of a trial judged by itself: each flow, stop, end, batch, hour and pressure.

Whole shots are judged by a two-sided tolerance interval of single shots, catches of many turns and
single sides by a t interval of their mean. All conditions beside the flows hold at once: they share
the risk of a look (Bonferroni).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.trial.blocks import (
    BATCH,
    BLANK,
    DWELL,
    LINE,
    PRESSURE,
    RATIO,
    SHOTS,
    SIZES,
    TEMPERATURE,
)
from configurator.trial.conditions import (
    Condition,
    Judged,
    Key,
    Outlier,
    key_of,
    limit_of,
    words_of,
)
from configurator.trial.distributions import f_above, t_quantile
from configurator.trial.groups import AGAINST, CATCH, PART, WHOLE, Gathered, Shot, among, groups_of
from configurator.trial.plan import Run, TrialPlan
from configurator.trial.sample import outliers, slope
from configurator.trial.sample_size import two_sided_factor
from configurator.units.grouped import grouped

WIDER = 0.001
"""Chance that a sound trial has any condition taken for one that scatters more. [-]"""

STANDS_OUT = 0.01
"""Chance that a sound trial has a weighing taken for an outlier. [-]"""

MOST_LEFT_OUT = 0.1
"""Share of the weighings of a condition that people may leave out: an interval is that of a random
sample, and what is left out was picked (common practice, no source). [-]"""

MOST_AGAIN = 20
"""Catches of one condition, over all looks (common practice, no source). [-]"""


def judge(shots: Sequence[Shot], plan: TrialPlan, planned: Iterable[Run]) -> Judged:
    """Judge every condition of the weighings of all looks, by the plan of the first."""
    groups = groups_of(shots)
    ratios = _pairs(groups) if plan.ratio_tolerance is not None else []
    sides = dict.fromkeys(sorted(group.side for group in groups if group.block == SIZES))
    beside = [group for group in groups if group.judged and group.block != SHOTS]
    shared = max(len(beside) + len(ratios) + len(sides), 1)
    each = 1.0 - (1.0 - plan.look_confidence) / shared
    spreads = {kind: _pooled(groups, kind) for kind in (WHOLE, CATCH, PART)}
    found = [_flow(group, plan) for group in groups if group.block == SHOTS and len(group.runs) > 1]
    found += [_condition(group, plan, each, spreads[group.kind]) for group in beside]
    found += [_ratio(first, second, plan, each, spreads) for first, second in ratios]
    found += [start for side in sides if (start := _start(shots, side, plan, each)) is not None]
    return Judged(tuple(found), tuple(_outliers(groups, plan)), tuple(_thin(groups, planned)), each)


@dataclass(frozen=True, slots=True)
class _Spread:
    value: float
    """Relative standard deviation of single shots or catches."""
    freedom: int
    wide: frozenset[Key]
    """Conditions that scatter more than the others of their kind."""


def _pooled(groups: Iterable[Gathered], kind: str) -> _Spread:
    """Spread within conditions of a kind, without those that scatter more."""
    alike = [group for group in groups if group.kind == kind and len(group.runs) > 1]
    parts = {
        group.key: (float(group.values.var(ddof=1)) * group.scale**2, len(group.runs) - 1)
        for group in alike
    }

    def pooled() -> tuple[float, int]:
        freedom = sum(parts[key][1] for key in left)
        return sum(parts[key][0] * parts[key][1] for key in left), freedom

    def chance(key: Key, squares: float, freedom: int) -> float:
        own, upper = parts[key]
        lower = freedom - upper
        rest = max(squares - own * upper, 0.0) / lower
        return f_above(own / rest if rest > 0.0 else math.inf if own else 0.0, upper, lower)

    left = set(parts)
    while len(left) > 1:
        together = pooled()
        unlikely, worst = min((chance(key, *together), str(key)) for key in left)
        if unlikely >= WIDER / len(parts):
            break
        left = {key for key in left if str(key) != worst}
    squares, freedom = pooled()
    deviation = math.sqrt(squares / freedom) if freedom else math.nan
    return _Spread(deviation, freedom, frozenset(set(parts) - left))


def _flow(group: Gathered, plan: TrialPlan) -> Condition:
    """Single shots at one flow, by their own spread at the confidence of the look."""

    def factor(count: int) -> float:
        return two_sided_factor(count, plan.reliability, plan.look_confidence)

    deviation = float(group.values.std(ddof=1)) * group.scale
    return _made(group, plan, deviation, factor, plan.most_shots)


def _condition(group: Gathered, plan: TrialPlan, each: float, pooled: _Spread) -> Condition:
    deviation, freedom = pooled.value, pooled.freedom
    own = group.key in pooled.wide
    if own:
        deviation, freedom = float(group.values.std(ddof=1)) * group.scale, len(group.runs) - 1

    def factor(count: int) -> float:
        degrees = max(count - 1, 1) if own else freedom
        if not degrees:
            return math.inf
        # A further look weighs again what it is compared with, too.
        behind = 1.0 / (1.0 / count + 1.0 / (group.compared + count - len(group.runs)))
        if group.kind == WHOLE:
            return two_sided_factor(behind, plan.reliability, each, degrees)
        return t_quantile((1.0 + each) / 2.0, degrees) / math.sqrt(behind)

    most = plan.most_shots if group.kind == WHOLE else MOST_AGAIN
    return _made(group, plan, deviation, factor, max(most, len(group.runs)))


def _made(
    group: Gathered, plan: TrialPlan, deviation: float, factor: Callable[[int], float], most: int
) -> Condition:
    run, limit = group.runs[0], limit_of(group.side, plan)
    count = len(group.runs)
    return Condition(
        block=group.block,
        side=group.side,
        level=run.level,
        words=words_of(run),
        count=count,
        grouped=run.shots,
        mean=float(group.values.mean()),
        deviation=deviation,
        factor=factor(count),
        limit=limit,
        inside=int(np.count_nonzero(np.abs(group.values) <= limit)),
        wider=factor,
        most=most,
        against=AGAINST[group.kind],
    )


def _pairs(groups: Sequence[Gathered]) -> list[tuple[Gathered, Gathered]]:
    blocks = (RATIO, TEMPERATURE, BATCH, DWELL, LINE, PRESSURE)
    apart = [
        group
        for group in groups
        if group.block in blocks and group.judged and group.compared < math.inf
    ]
    second = {_shared(group): group for group in apart if group.side == "b"}
    return [
        (group, second[_shared(group)])
        for group in apart
        if group.side == "a" and _shared(group) in second
    ]


def _shared(group: Gathered) -> tuple[str, float | str, float]:
    """What both sides of a condition have in common: each turns at a speed of its own."""
    block, _, what = group.key
    run = group.runs[0]
    return (block, run.level, run.pressure) if block in (LINE, PRESSURE) else (block, what, 0.0)


def _ratio(
    first: Gathered, second: Gathered, plan: TrialPlan, each: float, spreads: Mapping[str, _Spread]
) -> Condition:
    """The ratio of two sides under one condition, by the mean of their catches."""
    apart = [_condition(group, plan, each, spreads[group.kind]) for group in (first, second)]
    fewest = min(apart, key=lambda part: part.count)
    compared = min(first.compared, second.compared)
    # What each of both is off adds; neither takes part in the other's.
    deviation = math.hypot(*(part.deviation for part in apart))
    freedom = spreads[first.kind].freedom

    def factor(count: int) -> float:
        if not freedom:
            return math.inf
        more = count - fewest.count
        behind = 1.0 / (1.0 / count + 1.0 / (compared + more))
        return t_quantile((1.0 + each) / 2.0, freedom) / math.sqrt(behind)

    ratios = first.values[: fewest.count] - second.values[: fewest.count]
    limit = plan.ratio_tolerance or plan.tolerance
    return Condition(
        block=first.block,
        side="a:b",
        level="",
        words=f"ratio, {words_of(first.runs[0]).removeprefix('side a, ')}"
        + (" of side a" if first.block in (LINE, PRESSURE) else ""),
        count=fewest.count,
        grouped=fewest.grouped,
        mean=(1.0 + apart[0].mean) / (1.0 + apart[1].mean) - 1.0,
        deviation=deviation,
        factor=max(factor(fewest.count), *(part.factor for part in apart)),
        limit=limit,
        inside=int(np.count_nonzero(np.abs(ratios) <= limit)),
        wider=factor,
        most=max(MOST_AGAIN, fewest.count),
        against=AGAINST[first.kind],
    )


def _start(shots: Sequence[Shot], side: str, plan: TrialPlan, each: float) -> Condition | None:
    """What each start takes or gives, whatever the size of the shot, as a share of a whole shot."""
    sized = among(shots, (SIZES,), side=side)
    turns = np.array([shot.run.turns for shot in sized])
    volumes = np.array([shot.volume for shot in sized])
    if len(np.unique(turns)) < 2:  # noqa: PLR2004 - one size says nothing
        return None
    line = slope(turns, volumes / np.median(volumes))
    if line is None:
        return None
    count, t = len(sized), t_quantile((1.0 + each) / 2.0, line.freedom)
    taken, half = line.at(np.array([1.0, -turns.mean()]), each)
    return Condition(
        block=SIZES,
        side=side,
        level="",
        words=f"{f'side {side}, ' if side else ''}what every start gives, of a shot",
        count=count,
        grouped=sized[0].run.shots,
        mean=taken,
        deviation=half / t * math.sqrt(count),
        factor=t / math.sqrt(count),
        limit=limit_of(side, plan),
        inside=count,
        wider=lambda more: t / math.sqrt(more),
        most=max(3 * MOST_AGAIN, count),
        against=SIZES,
    )


def _outliers(groups: Sequence[Gathered], plan: TrialPlan) -> Iterable[Outlier]:
    """Weighings that stand out from their fellows, over all conditions of a kind at once."""
    for kind in (WHOLE, CATCH, PART):
        alike = [group for group in groups if group.kind == kind]
        found = outliers([group.values * group.scale for group in alike], alpha=STANDS_OUT / 3.0)
        gone = {(each.group, each.place) for each in found}
        for at, place in sorted(gone):
            group = alike[at]
            fellows = [value for other, value in enumerate(group.values) if (at, other) not in gone]
            value = float(group.values[place])
            apart = value - float(np.mean(fellows)) if fellows else value
            off = max((value, apart), key=abs) if group.judged else apart
            run = group.runs[place]
            yield Outlier(run, words_of(run), off, abs(off) > limit_of(group.side, plan))


def _thin(groups: Sequence[Gathered], planned: Iterable[Run]) -> Iterable[str]:
    """What was not tested: too few weighings count, none to compare with, or none that spread."""
    counted = {group.key: len(group.runs) for group in groups}
    for group in groups:
        words, count = words_of(group.runs[0]), len(group.runs)
        if not group.compared:
            yield f"{words}: nothing at the nominal flow to compare with"
        elif group.block == SHOTS and count > 1 and not np.ptp(group.values):
            yield (
                f"{words}: all {count} masses are the same, and no spread shows: were they copied, "
                "or is the balance too coarse?"
            )
    wanted = grouped((run for run in planned if run.block != BLANK), key_of)
    for key, runs in wanted.items():
        have = counted.get(key, 0)
        if 2 * have <= len(runs) or len(runs) - have > max(MOST_LEFT_OUT * len(runs), 1.0):
            yield f"{words_of(runs[0])}: {have} of {len(runs)} weighings count; weigh the others again"
