"""The least margin of a build: which rules have one, and builds that leave a share of every limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from configurator.engine.table import Table
from configurator.rules.applied import Applied
from configurator.rules.comparison import RELATIVE_SLACK, Comparison
from configurator.rules.finding import State
from configurator.rules.outcome import Total
from configurator.rules.priced import HeldRule
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

Places = NDArray[np.intp]

Demanded = tuple[list[Table], list[HeldRule]]
"""What `Answer.order_at` takes: flags of parts, and rules over several slots."""

ANY = -1e12
"""Share of a limit that is left wherever demand and limit are known. [-]"""


@dataclass(frozen=True, eq=False)
class _Margin:
    """A rule that compares numbers."""

    title: str
    unknown: bool
    """Whether anything in it is unknown for any part."""
    held: Callable[[float], Table | HeldRule]
    """`held(share)` lets through what leaves that share of the limit; nothing unknown."""

    def demand(self, share: float) -> Demanded:
        """The same for an order; empty where every part leaves it."""
        found = self.held(share)
        if isinstance(found, Table):
            return ([], []) if found.allows_all else ([found], [])
        need, allow = (each.values for each in found.halves)
        if need.size and allow.size and need.max() <= allow.min():
            return [], []
        return [], [found]


class Margins:
    """Margins of the builds of an answer up to a level.

    A rule of which no such build has a known margin counts for none of them; elsewhere what is
    unknown is less than any margin.
    """

    def __init__(self, answer: Answer, level: State) -> None:
        self._answer, self._level = answer, level
        order = answer.order_at(level)
        first = answer.described_builds([answer.places_of(order, next(order.builds()))])[0]
        seen = {each.rule for each in first.findings if each.margin is not None}
        self._rules = [
            each for each in _margins(answer) if each.title in seen or self._is_known(each)
        ]
        self.titles = frozenset(each.title for each in self._rules)

    def _is_known(self, margin: _Margin) -> bool:
        """Whether any build has it."""
        if not margin.unknown:
            return True
        order = self._answer.order_at(self._level, *margin.demand(ANY))
        return next(order.builds(), None) is not None

    def of(self, build: RankedBuild) -> float:
        """The least margin of a build. [-]"""
        found = (each.margin for each in build.findings if each.rule in self.titles)
        return min((margin for margin in found if margin is not None), default=math.inf)

    def beyond(self, share: float) -> Demanded:
        """What lets through the builds that leave more than a share of every limit."""
        least = max(share, ANY)
        more = least + 2 * RELATIVE_SLACK * max(1.0, abs(least))
        demands = [each.demand(more) for each in self._rules]
        return [t for flags, _ in demands for t in flags], [h for _, held in demands for h in held]


def _margins(answer: Answer) -> Iterator[_Margin]:
    for judgement, said in answer.left.unary:
        applied = said.applied
        if applied is None or not judgement.scope:
            continue
        if isinstance(applied.outcome, Comparison):
            live = answer.live[judgement.scope[0]]
            flags = partial(_of_part, applied, applied.outcome, live)
            yield _Margin(judgement.title, _has_unknown(applied.outcome), flags)
    for rule in answer.left.tables:
        if isinstance(rule.outcome, Comparison | Total):
            held = partial(HeldRule.leaving, rule)
            yield _Margin(rule.judgement.title, _has_unknown(rule.outcome), held)


def _of_part(applied: Applied, outcome: Comparison, live: Places, share: float) -> Table:
    need, allow = outcome.leaving(share, unknown=False)
    flags = applied.table(np.asarray(need <= allow))
    return Table(applied.scope, flags[np.newaxis, live])


def _has_unknown(outcome: Comparison | Total) -> bool:
    if isinstance(outcome, Total):
        return math.isnan(outcome.limit) or math.isnan(outcome.scale)
    return not all(each.all_known for each in outcome.bounds)
