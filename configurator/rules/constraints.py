"""What the rules hand to the solver for one level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from configurator.engine import Relation, Threshold

HELPER_MARK = "~"
"""Begins the name of a helper slot, and of the relation that defines it."""


@dataclass
class Constraints:
    """Relations, thresholds and helper slots."""

    relations: list[Relation] = field(default_factory=list)
    thresholds: list[Threshold] = field(default_factory=list)
    """Tables and thresholds."""
    helpers: dict[str, int] = field(default_factory=dict)
    """Extra slots with their numbers of values. Each is a function of real slots, so that it
    changes no count."""

    def define(self, definition: Relation) -> None:
        """Add a helper slot that a relation defines as a function of its other slots.

        Parameters
        ----------
        definition : Relation
            From `helper_of`: the same object at every level, so that the solver sees it once.
        """
        self.helpers[definition.name] = definition.allowed.shape[-1]
        self.relations.append(definition)


def helper_of(helper: str, scope: Sequence[str], table: NDArray[np.bool_]) -> Relation:
    """Definition of a helper slot; the slot has the relation's name.

    Parameters
    ----------
    helper : str
        Name without the mark.
    scope : sequence of str
        Slots that it is a function of.
    table : ndarray of bool
        One axis a slot, then one for the helper's values; at most one True along it.
    """
    name = HELPER_MARK + helper
    return Relation(name, (*scope, name), table)


def ranks(
    need: NDArray[np.float64], allow: NDArray[np.float64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Whole numbers in the order of two arrays of floats, so that comparing them is exact."""
    steps = np.unique(allow)
    return np.searchsorted(steps, need, side="left"), np.searchsorted(steps, allow, side="left")
