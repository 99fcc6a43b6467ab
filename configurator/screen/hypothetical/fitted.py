"""Housings, rotors, stators, seals and feeds for sizes that they are not made for."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import (
    Body,
    Cavity,
    Feed,
    FittedPart,
    Part,
    Rotor,
    Seal,
    Size,
    Stator,
)
from configurator.screen.hypothetical.part import Derivation, Hypothetical, derived, single

FOR_A_SIZE = Derivation(
    "for a size that lacks it",
    "For each stator compound, body material, rotor surface, kind of seal and feed, and each size "
    "that none of them is made for: the one made for the nearest size, made for that size.",
)


def sizes_in_order(catalog: Catalog) -> list[Size]:
    """Return the sizes from the smallest to the largest by what they move in a turn.

    Sizes without a cavity are left out, as they meter nothing.
    """
    most: dict[str, float] = {}
    for cavity in catalog.parts["cavity"]:
        assert isinstance(cavity, Cavity)
        most[cavity.size] = max(most.get(cavity.size, 0.0), cavity.displacement.nominal)
    sizes = [each for each in catalog.parts["size"] if isinstance(each, Size) and each.name in most]
    return sorted(sizes, key=lambda each: (most[each.name], each.name))


def fitted(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield parts for sizes that lack their like."""
    order = [size.name for size in sizes_in_order(catalog)]
    for slot, like in LIKE.items():
        families: dict[Hashable, list[FittedPart]] = {}
        for part in catalog.parts[slot]:
            assert isinstance(part, FittedPart)
            families.setdefault(like(part), []).append(part)
        for family in families.values():
            yield from _for_sizes(family, order)


def _for_sizes(family: list[FittedPart], order: Sequence[str]) -> Iterator[Hypothetical]:
    served = {size for part in family for size in part.sizes}
    known = [order.index(size) for size in order if size in served]
    for place, size in enumerate(order):
        if size in served:
            continue
        near = order[min(known, key=lambda at: (abs(at - place), at))] if known else ""
        alike = [part for part in family if near in part.sizes or not known]
        part = min(alike, key=lambda each: each.name)
        change = f"made for size {size}; {part.name} is for {', '.join(part.sizes)}"
        made = derived(part, f"for-{size}", change, {"sizes": (size,)})
        yield single(FOR_A_SIZE, part, made, change)


def _body(part: Part) -> Hashable:
    assert isinstance(part, Body)
    return part.material


def _rotor(part: Part) -> Hashable:
    assert isinstance(part, Rotor)
    return part.material, part.surface


def _stator(part: Part) -> Hashable:
    assert isinstance(part, Stator)
    return part.material, part.kind


def _seal(part: Part) -> Hashable:
    assert isinstance(part, Seal)
    return part.materials, part.filler_max, part.keeps_moisture_out


def _feed(part: Part) -> Hashable:
    assert isinstance(part, Feed)
    return part.name


LIKE: dict[str, Callable[[Part], Hashable]] = {
    "body": _body,
    "rotor": _rotor,
    "stator": _stator,
    "seal": _seal,
    "feed": _feed,
}
"""By slot, what makes two parts the same thing for different sizes."""
