"""Figures that are the worst of many: the least margin of a build, and builds as well kept as one."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from configurator.engine import Build
from configurator.engine.table import Table
from configurator.rules.applied import Applied
from configurator.rules.comparison import DEPTHS, UNKNOWN_STEPS, Comparison
from configurator.rules.finding import Finding, State
from configurator.rules.held_rule import HeldRule
from configurator.rules.outcome import WORD_STEPS, Total
from configurator.rules.propagation import Propagation
from configurator.rules.rule_tables import RuleTables
from configurator.workshop.told import RankedBuild

Demanded = tuple[list[Table], list[HeldRule]]
"""Flags of parts that builds must be of, and rules over several slots that they must keep."""


@dataclass(frozen=True, eq=False)
class Worst:
    """The least of some worths of a build; more is better, and what is unknown is worth -inf."""

    terms: Sequence[Callable[[float], Table | HeldRule | None]]
    """Each gives what lets through all that is worth more; None where everything is."""
    value: Callable[[Build], float]
    """The least worth of a build, given as places among the live parts."""

    def beyond(self, worth: float) -> Demanded:
        """What lets through the builds that are worth more."""
        found = [term(worth) for term in self.terms]
        held = [each for each in found if isinstance(each, HeldRule)]
        return [each for each in found if isinstance(each, Table)], held


def worse_of(sides: Sequence[Table], sign: float) -> Worst:
    """The figure of the worse side, by the figure of each over the live parts.

    Parameters
    ----------
    sides : sequence of Table
        NaN where unknown.
    sign : float
        1 where more is better, else -1. [-]
    """

    def value(build: Build) -> float:
        found = [sign * float(t.values[0, *(build[s] for s in t.scope)]) for t in sides]
        return -math.inf if any(math.isnan(each) for each in found) else min(found)

    def beyond(side: Table, worth: float) -> Table:
        return Table(side.scope, sign * side.values > worth)

    return Worst([partial(beyond, side) for side in sides], value)


def highest(
    beyond: Callable[[float], Build | None],
    value: Callable[[Build], float],
    above: float = math.inf,
) -> Build | None:
    """The first build of the highest value.

    Parameters
    ----------
    beyond : callable
        `beyond(value)` gives the first build of a higher value; None proves that there is none.
    value : callable
        Value of a build.
    above : float
        No build has that value or a higher one.
    """
    best = beyond(-math.inf)
    low = -math.inf if best is None else value(best)
    step = 0.25
    while math.isfinite(low):
        higher = beyond(low)
        if higher is None:
            break
        best, low = higher, value(higher)
        far = low + step * max(1.0, abs(low)) if math.isinf(above) else (low + above) / 2.0
        farther = beyond(far)
        if farther is None:
            above = far
        else:
            best, low = farther, value(farther)
            step *= 2.0
    return best


def in_whole_percent(share: float) -> float:
    """A share in whole per cent, rounded down; what is short of one by rounding alone counts."""
    return float(np.floor(100.0 * share + 1e-6)) if math.isfinite(share) else share


LEAST_MARGIN = "least_margin_pct"

Live = Mapping[str, np.ndarray[tuple[int], np.dtype[np.intp]]]

ANY = -1e12
"""Per cent of a limit that are left wherever demand and limit are known."""

SLACK = 1e-8
"""Of a limit: less than that is no margin, on which side of a whole per cent it may be. [-]"""


@dataclass(frozen=True, eq=False)
class _Margin:
    """A rule that compares numbers."""

    title: str
    unknown: bool
    """Whether anything in it is unknown for any part."""
    held: Callable[[float], Table | HeldRule]
    """`held(share)` lets through what leaves that share of the limit; nothing unknown."""

    def beyond(self, percent: float) -> Table | HeldRule | None:
        """The same for more than some whole per cent of the limit; None where every part does."""
        found = self.held((math.floor(min(max(percent, ANY), -ANY)) + 1) / 100.0 - SLACK)
        if isinstance(found, Table):
            return None if found.allows_all else found
        return None if found.lets_all_through else found


class Margins:
    """Margins of the builds of an answer up to a level.

    A rule of which no such build has a known margin counts for none of them; elsewhere what is
    unknown is less than any margin.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts.
    live : Mapping of str to ndarray of int
        By slot, the places of the parts that are in question.
    first : RankedBuild
        Any build up to the level.
    exists : callable
        Whether any build up to the level meets some demands.
    """

    def __init__(
        self,
        left: Propagation,
        live: Live,
        first: RankedBuild,
        exists: Callable[[Demanded], bool],
    ) -> None:
        seen = {each.rule for each in first.findings if each.margin is not None}

        def is_known(margin: _Margin) -> bool:
            demanded = Worst([margin.beyond], lambda _: 0.0).beyond(ANY)
            return margin.title in seen or not margin.unknown or exists(demanded)

        self._rules = [each for each in _margins(left, live) if is_known(each)]
        self._titles = frozenset(each.title for each in self._rules)

    def of(self, build: RankedBuild) -> float:
        """The least margin of a build in whole per cent; -inf if one is unknown, inf without any."""
        found = [each for each in build.findings if each.rule in self._titles]
        if any(each.margin is None and each.state > State.MARGINAL for each in found):
            return -math.inf
        margins = [each.margin for each in found if each.margin is not None]
        return in_whole_percent(min(margins, default=math.inf))

    def worst(self, told: Callable[[Build], RankedBuild]) -> Worst:
        """The same as a figure that orders builds."""
        return Worst([each.beyond for each in self._rules], lambda build: self.of(told(build)))


def with_margin(build: RankedBuild, margins: Margins) -> RankedBuild:
    """A build with its least margin among its figures."""
    least = margins.of(build)
    known = least if math.isfinite(least) else None
    return replace(build, figures={**build.figures, LEAST_MARGIN: known})


def _margins(left: Propagation, live: Live) -> Iterator[_Margin]:
    for judgement, said in left.unary:
        applied = said.applied
        if applied is None or not judgement.scope:
            continue
        if isinstance(applied.outcome, Comparison):
            flags = partial(_of_part, applied, applied.outcome, live[judgement.scope[0]])
            yield _Margin(judgement.title, _has_unknown(applied.outcome), flags)
    for rule in left.tables:
        if isinstance(rule.outcome, Comparison | Total):
            held = partial(HeldRule.leaving, rule)
            yield _Margin(rule.judgement.title, _has_unknown(rule.outcome), held)


def _of_part(
    applied: Applied,
    outcome: Comparison,
    live: np.ndarray[tuple[int], np.dtype[np.intp]],
    share: float,
) -> Table:
    need, allow = outcome.leaving(share, unknown=False)
    flags = applied.table(np.asarray(need <= allow))
    return Table(applied.scope, flags[np.newaxis, live])


def _has_unknown(outcome: Comparison | Total) -> bool:
    if isinstance(outcome, Total):
        return math.isnan(outcome.limit) or math.isnan(outcome.scale)
    return not all(each.all_known for each in outcome.bounds)


MORE_STEPS = 1
"""Steps by which a rule that compares numbers may be kept less well (chosen for this tool): what
fits may lack its margin, what is past its limit may be a step further past it."""


def as_well_kept(
    left: Propagation,
    live: Live,
    build: RankedBuild,
) -> Demanded:
    """Let through what is no worse than a build in any verdict, and `MORE_STEPS` in any number.

    Where the build keeps a limit they keep it too: one step is the margin alone.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts.
    live : Mapping of str to ndarray of int
        By slot, the places of the parts that are in question.
    build : RankedBuild
        The one that the others are held against.
    """
    found = {each.rule: each for each in build.findings}
    flags = []
    for judgement, said in left.unary:
        finding = found.get(judgement.title)
        for slot, states in said.by_slot.items() if finding else ():
            assert finding is not None
            if said.depth is None:
                here = np.take(WORD_STEPS, states) <= finding.short
            else:
                here = said.depth <= finding.short + MORE_STEPS
            flags.append(Table((slot,), here[:, live[slot]]))
    several = (
        _held(rule, found[t]) for rule in left.tables if (t := rule.judgement.title) in found
    )
    held = [rule for rule in several if rule is not None and not rule.lets_all_through]
    return [table for table in flags if not table.allows_all], held


def _held(rule: RuleTables, finding: Finding) -> HeldRule | None:
    """A rule over several slots that is kept so well; None if any way is as good."""
    if rule.total is not None:
        return None  # beyond its limit no build stands, so that a step is all that it can lack
    if isinstance(rule.outcome, Comparison):
        steps = finding.short + MORE_STEPS
        if steps > len(DEPTHS):
            return None
        within = rule.within(DEPTHS[steps - 1], unknown=steps >= UNKNOWN_STEPS)
        return HeldRule(rule, within)
    levels = [state for state in (State.FITS, State.MARGINAL) if WORD_STEPS[state] >= finding.short]
    return HeldRule(rule, rule.sides[levels[0]]) if levels else None
