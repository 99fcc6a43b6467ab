"""The fewest sets that hold all of some things, exactly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator


def maximal(sets: Iterable[int]) -> list[int]:
    """Those sets that no other one holds, the larger first.

    Parameters
    ----------
    sets : iterable of int
        Each with a bit for every thing that it holds.

    Examples
    --------
    >>> maximal([0b001, 0b011, 0b100, 0b011])
    [3, 4]
    """
    kept: list[int] = []
    for each in sorted(set(sets), key=lambda bits: (-bits.bit_count(), bits)):
        if each and not any(each & other == each for other in kept):
            kept.append(each)
    return kept


def fewest(sets: Iterable[int], things: int) -> list[int] | None:
    """As few sets as can hold all things; None if all sets together do not.

    One number of sets after the other is tried, and each is given up only once every choice is
    ruled out: of the sets that hold the thing in the fewest of them one has to be taken.

    Parameters
    ----------
    sets : iterable of int
        Each with a bit for every thing that it holds.
    things : int
        A bit for every thing.

    Examples
    --------
    >>> fewest([0b0011, 0b0110, 0b1100], 0b1111), fewest([0b01], 0b11)
    ([3, 12], None)
    """
    kept = maximal(each & things for each in sets)
    together = 0
    for each in kept:
        together |= each
    if together != things:
        return None
    number = 0
    while (found := _within(kept, things, number)) is None:
        number += 1
    return found


def _within(sets: list[int], left: int, number: int) -> list[int] | None:
    """So many sets that hold what is left; None proves that there are none."""
    if not left:
        return []
    most = max((each & left).bit_count() for each in sets)
    if number * most < left.bit_count():
        return None
    rarest = min(_bits(left), key=lambda bit: sum(bool(each & bit) for each in sets))
    useful = maximal(each & left for each in sets if each & rarest)
    for part in useful:
        rest = _within(sets, left & ~part, number - 1)
        if rest is not None:
            whole = next(each for each in sets if each & left == part)
            return [whole, *rest]
    return None


def _bits(things: int) -> Iterator[int]:
    while things:
        bit = things & -things
        yield bit
        things &= ~bit
