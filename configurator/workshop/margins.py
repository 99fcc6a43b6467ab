"""The least margin of a build: which rules have one, and builds that leave a share of every limit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from configurator.engine import Build
from configurator.engine.table import Table
from configurator.rules.applied import Applied
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.held_rule import HeldRule
from configurator.rules.outcome import Total
from configurator.rules.propagation import Propagation
from configurator.workshop.told import RankedBuild
from configurator.workshop.worst import Demanded, Worst, in_whole_percent

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
