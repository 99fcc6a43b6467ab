"""Which parts stand: for each slot, a flag for every part of it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

Flags = NDArray[np.bool_]

Live = dict[str, Flags]
"""By slot, which of all its parts stand."""


def emptied(live: Mapping[str, Flags]) -> tuple[str, ...]:
    """Slots for which no part stands."""
    return tuple(slot for slot, mask in live.items() if not mask.any())


def within(live: Mapping[str, Flags], other: Mapping[str, Flags]) -> bool:
    """Whether all that stands in one stands in the other."""
    return not any((mask & ~other[slot]).any() for slot, mask in live.items())


def first_of_each(kinds: NDArray[np.intp], live: Flags) -> Flags:
    """One part of each kind among those of a slot that stand."""
    places = np.flatnonzero(live)
    first = np.zeros_like(live)
    first[places[np.unique(kinds[places], return_index=True)[1]]] = True
    return first
