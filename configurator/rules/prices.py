"""What puts one build before another of the same state, as one whole number.

Steps short of what rules ask lead, whether one finding is deep or many are shallow; then steps away
from comfort: the middle of the windows of speed and pressure, and a feed that lasts; then the cost
index. What no build can avoid is in the sum of all of them and so puts none before another.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import BoolArray, IntArray
from configurator.engine.table import Table
from configurator.rules.comparison import DEPTHS, UNKNOWN_STEPS, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.mouths import Mouths
from configurator.rules.outcome import WORD_STEPS
from configurator.rules.rule_tables import Places, RuleTables

DIGITS = 6
"""Decimal digits to which a sum of figures orders builds. Steps are powers of ten, so that sums of
round figures tie as they do on paper, whichever other parts are in the race."""

MOST_STEPS = 1 << 11
"""More steps than all findings on a build together may be short of."""

SHORTFALL, COMFORT = "shortfall_steps", "comfort_steps"

MOST_STRAIN = 1 << 6
"""More steps than a build may be away from the middle of its windows."""


@dataclass(frozen=True, eq=False)
class Prices:
    """What a step of each sort, and each part, adds to the key of a build."""

    costs: Mapping[str, IntArray]
    """By slot, the cost of each part in whole steps."""
    step: int
    """Of a step short of what a rule asks."""
    comfort: int
    """Of a step away from the middle of a window."""
    span: int
    """More than the key of any build."""

    @classmethod
    def of(cls, costs: Mapping[str, IntArray], leading: str = SHORTFALL) -> Prices:
        """By whole costs of the parts; comfort goes before shortfalls where it leads."""
        cost = 1 + sum(int(each.max(initial=0)) for each in costs.values())
        span = cost * MOST_STEPS * MOST_STRAIN
        if leading == COMFORT:
            return cls(costs, cost, cost * MOST_STEPS, span)
        return cls(costs, cost * MOST_STRAIN, cost, span)

    @classmethod
    def of_frame(cls, frame: Frame, leading: str = SHORTFALL) -> Prices:
        """By the cost index of the parts of a grid."""
        whole = whole_steps([costs(frame, slot) for slot in frame.slots])
        return cls.of(dict(zip(frame.slots, whole, strict=True)), leading)

    def told(self, keys: IntArray) -> tuple[IntArray, IntArray, IntArray]:
        """Steps short, steps of strain and whole cost of keys that shortfalls lead."""
        return keys // self.step, keys % self.step // self.comfort, keys % self.comfort

    @classmethod
    def none(cls, frame: Frame) -> Prices:
        """Every build is as good as any other."""
        nothing = {slot: np.zeros(len(parts), np.int64) for slot, parts in frame.parts.items()}
        return cls(nothing, 0, 0, 1)


def costs(frame: Frame, slot: str) -> Floats:
    """Cost index of each part of a slot; half for a dual cartridge, which stands in two slots."""
    dual = ~np.isnan(frame.figures(slot, "second_capacity"))
    return np.asarray(frame.figures(slot, "cost_index") * np.where(dual, 0.5, 1.0))


def whole_steps(terms: Sequence[Floats]) -> list[IntArray]:
    """Terms of a sum in whole steps, as few as tell apart what `DIGITS` digits do."""
    span = sum(float(np.max(np.abs(term), initial=0.0)) for term in terms) or 1.0
    step = float(10.0 ** (math.floor(math.log10(span)) - DIGITS))
    whole = [np.rint(term / step).astype(np.int64) for term in terms]
    shared = math.gcd(*(int(np.gcd.reduce(term, axis=None)) for term in whole if term.size))
    return [term // max(shared, 1) for term in whole]


def price_of(
    rule: RuleTables,
    prices: Prices,
    chosen: Places,
    mouths: Mouths | None = None,
    which: IntArray | None = None,
) -> Table | None:
    """What a rule adds to the key by which builds are ordered; None if nothing at all.

    A kind may be chosen more than once. Pairs of mixer and tip are laid in front in place of the
    requests; `which` are their places among those behind which it was heard, if it was.
    """

    def short_of(halves: Sequence[Table]) -> BoolArray:
        return ~rule.laid(halves, chosen, mouths, which).values

    scope = tuple(s for s in rule.scope if mouths is None or s not in mouths.kinds)
    if rule.total is not None:
        found = ~rule.laid_out(State.FITS, chosen, mouths).values * prices.step
        return Table(scope, found) if found.any() else None
    bounds = isinstance(rule.outcome, Comparison)
    found = np.zeros((1,) * (len(scope) + 1), dtype=np.int64)
    if prices.step and not rule.always[State.FITS]:
        short = short_of(rule.sides[State.FITS])
        if not bounds:
            found = short * WORD_STEPS[1] + short_of(rule.sides[State.MARGINAL])
        elif short.any():
            found = short.astype(np.int64)
            for at, depth in enumerate(DEPTHS):
                past = short & short_of(rule.within(depth, unknown=at >= UNKNOWN_STEPS - 1))
                if not past.any():
                    break
                found = found + past
        found = found * prices.step
    for share in rule.judgement.rule.comfort if prices.comfort and bounds else ():
        past = short_of(rule.within(share - 1.0, unknown=True))
        found = found + past * prices.comfort
    return Table(scope, found) if found.any() else None
