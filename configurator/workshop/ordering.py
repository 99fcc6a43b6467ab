"""How a figure orders builds: what a solver adds up, and the whole key in words."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from configurator.engine import Cost
from configurator.engine.arrays import AnyArray
from configurator.engine.table import Table
from configurator.rules.case import Case
from configurator.rules.prices import COMFORT, SHORTFALL, whole_steps
from configurator.workshop.figures import FIGURES, Figure

MOST_CELLS = 2e6
"""Combinations up to which the worse of two sides is one table of ranks."""


def order_in_words(figure: Figure, *, two_part: bool) -> str:
    """The key that orders builds of the same state, from what leads it to what breaks ties."""
    named = {each.name: each.titled(two_part=two_part) for each in FIGURES}
    key = dict.fromkeys([figure.name, SHORTFALL, COMFORT, "cost_index"])
    if figure.highest_first:
        named[figure.name] += " (highest first)"
    return f"{', then '.join(named[name] for name in key)}, then names"


def costs_of(figure: Figure, case: Case) -> list[Cost]:
    """What the solver adds up so that its order is the figure's.

    A single narrow array is replaced by its ranks, which is exact. A sum keeps its terms, cut
    into whole steps.
    """
    if figure.read is None:
        return []
    sign = -1 if figure.highest_first else 1
    if figure.terms is None:
        values = np.asarray(figure.read(case)) * sign
        ranks = np.unique(np.nan_to_num(values, nan=np.inf), return_inverse=True)[1]
        return [_table(case, ranks.reshape(values.shape))]
    terms = [np.asarray(term) * sign for term in figure.terms(case)]
    return [_table(case, whole) for whole in whole_steps(terms)]


def sided_in(figure: Figure, case: Case) -> list[Table]:
    """The figure of each side where it is that of the worse one and hangs on many slots of both."""
    if figure.of_side is None or len(case.sides) == 1:
        return []
    of_sides = [np.asarray(figure.of_side(case, side)) for side in case.sides]
    if math.prod(map(float, np.broadcast_shapes(*(each.shape for each in of_sides)))) <= MOST_CELLS:
        return []
    laid = [_laid(case, each) for each in of_sides]
    return [Table(scope, values[np.newaxis]) for scope, values in laid]


def _table(case: Case, values: NDArray[np.int64]) -> Cost:
    scope, found = _laid(case, values)
    return scope, found.astype(np.int64)


def _laid(case: Case, values: AnyArray) -> tuple[tuple[str, ...], AnyArray]:
    """An array over the grid as scope and table, without the slots that do not move it."""
    frame = case.frame
    shape = (1,) * (frame.ndim - values.ndim) + values.shape
    scope = tuple(slot for slot, size in zip(frame.slots, shape, strict=True) if size > 1)
    return scope, values.reshape([len(frame.parts[slot]) for slot in scope])
