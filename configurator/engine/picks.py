"""Picks: what the user has fixed or left open, as one mask a slot."""

from collections.abc import Collection, Mapping

import numpy as np

from configurator.engine.arrays import BoolArray
from configurator.engine.relation import MalformedSpaceError

Picks = Mapping[str, int | Collection[int]]
"""Slot to one value, or to the collection of values that are still allowed."""

Masks = dict[int, BoolArray]
"""Slot number to a mask over the slot's whole domain, shape ``(size,)``."""


def picked_values(slot: str, pick: int | Collection[int], size: int) -> tuple[int, ...]:
    """The values that one pick leaves, ascending, each once.

    Raises
    ------
    MalformedSpaceError
        If a value is not an integer of the domain.
    """
    values = pick if isinstance(pick, Collection) else (pick,)
    chosen: set[int] = set()
    for value in values:
        if isinstance(value, bool | np.bool_) or not isinstance(value, int | np.integer):
            raise MalformedSpaceError(f"pick for {slot!r}: {value!r} is no value number")
        if not 0 <= value < size:
            raise MalformedSpaceError(f"pick for {slot!r}: {value} is outside 0..{size - 1}")
        chosen.add(int(value))
    return tuple(sorted(chosen))


def pick_masks(domains: Mapping[str, int], picks: Picks) -> Masks:
    """One boolean mask for every picked slot, keyed by the slot's place in ``domains``.

    Raises
    ------
    MalformedSpaceError
        If a pick names an unknown slot or a value outside its domain.
    """
    place = {slot: number for number, slot in enumerate(domains)}
    masks: Masks = {}
    for slot, pick in picks.items():
        if slot not in place:
            raise MalformedSpaceError(f"pick for an unknown slot {slot!r}")
        mask = np.zeros(domains[slot], dtype=np.bool_)
        mask[list(picked_values(slot, pick, domains[slot]))] = True
        masks[place[slot]] = mask
    return dict(sorted(masks.items()))
