"""The two kinds of constraint that a build space takes: tables and thresholds."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray


class MalformedSpaceError(ValueError):
    """A domain, relation, threshold, cost or pick does not fit the others."""


@dataclass(frozen=True, eq=False)
class Relation:
    """A table constraint: which value tuples of a few slots may stand together.

    Raises
    ------
    MalformedSpaceError
        If a slot is repeated or the array has another number of axes.
    """

    name: str
    """What a conflict calls it. Several relations may share a name; they are then blamed
    together."""
    scope: tuple[str, ...]
    """The slots it reads, each once."""
    allowed: BoolArray
    """One axis a slot, in the order of ``scope``; True where the tuple is allowed."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "scope", tuple(self.scope))
        object.__setattr__(self, "allowed", np.asarray(self.allowed, dtype=np.bool_))
        _check_axes(f"relation {self.name!r}", self.scope, self.allowed)


@dataclass(frozen=True, eq=False)
class Threshold:
    """An order constraint between two sides: ``need[x] <= allow[y]``.

    Parameters
    ----------
    name : str
        What a conflict calls it.
    need_scope, allow_scope : tuple of str
        The slots of each side. The two sides may share slots: the comparison then reads
        the same value of a shared slot on both.
    need, allow : int array
        One axis a slot of the side's scope.

    Raises
    ------
    MalformedSpaceError
        If a slot is repeated within a side, an array has another number of axes, or its
        numbers are not integers.
    """

    name: str
    need_scope: tuple[str, ...]
    need: IntArray
    allow_scope: tuple[str, ...]
    allow: IntArray

    def __post_init__(self) -> None:
        object.__setattr__(self, "need_scope", tuple(self.need_scope))
        object.__setattr__(self, "allow_scope", tuple(self.allow_scope))
        what = f"threshold {self.name!r}"
        object.__setattr__(self, "need", integers(f"{what}, need", self.need))
        object.__setattr__(self, "allow", integers(f"{what}, allow", self.allow))
        _check_axes(f"{what}, need", self.need_scope, self.need)
        _check_axes(f"{what}, allow", self.allow_scope, self.allow)


def integers(what: str, numbers: AnyArray) -> IntArray:
    """The array as int64; anything that is not an integer is refused, never rounded.

    Raises
    ------
    MalformedSpaceError
        If the array does not hold integers, or one is beyond int64.
    """
    array = np.asarray(numbers)
    if array.size == 0:
        return np.zeros(array.shape, dtype=np.int64)
    if array.dtype.kind not in "iub":
        raise MalformedSpaceError(f"{what}: integers wanted, not {array.dtype}")
    if array.dtype.kind == "u" and int(array.max()) > np.iinfo(np.int64).max:
        raise MalformedSpaceError(f"{what}: a number is beyond 64 bits")
    return array.astype(np.int64)


def check_shapes(
    domains: Mapping[str, int], relations: Iterable[Relation], thresholds: Iterable[Threshold]
) -> None:
    """Every scope must name known slots and every axis have its slot's length.

    Raises
    ------
    MalformedSpaceError
        At the first one that does not.
    """
    for slot, size in domains.items():
        if size < 0:
            raise MalformedSpaceError(f"slot {slot!r}: a domain cannot hold {size} values")
    for relation in relations:
        check_table(f"relation {relation.name!r}", domains, relation.scope, relation.allowed)
    for threshold in thresholds:
        what = f"threshold {threshold.name!r}"
        check_table(f"{what}, need", domains, threshold.need_scope, threshold.need)
        check_table(f"{what}, allow", domains, threshold.allow_scope, threshold.allow)


def check_table(
    what: str, domains: Mapping[str, int], scope: tuple[str, ...], table: AnyArray
) -> None:
    """One table against the domains.

    Raises
    ------
    MalformedSpaceError
        If a slot is unknown or an axis has another length than its domain.
    """
    for slot in scope:
        if slot not in domains:
            raise MalformedSpaceError(f"{what}: no slot {slot!r}")
    wanted = tuple(domains[slot] for slot in scope)
    if table.shape != wanted:
        raise MalformedSpaceError(f"{what}: shape {table.shape}, the domains ask for {wanted}")


def _check_axes(what: str, scope: tuple[str, ...], table: AnyArray) -> None:
    if len(set(scope)) != len(scope):
        raise MalformedSpaceError(f"{what}: a slot is named twice in {scope}")
    if table.ndim != len(scope):
        raise MalformedSpaceError(f"{what}: {table.ndim} axes for {len(scope)} slots")


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
