"""Sizes and cavities that a catalog does not have, with all made for them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from operator import attrgetter

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import PART_TYPES, Cavity, Drive, FittedPart, Part, RatedPoint, Size
from configurator.screen.hypothetical import steps
from configurator.screen.hypothetical.part import (
    LONGEST_NAME,
    Derivation,
    Hypothetical,
    derived,
    single,
)
from configurator.screen.hypothetical.steps import scaled
from configurator.units.grouped import grouped
from configurator.units.quantity import Quantity

DISPLACEMENT = Derivation(
    "displacement",
    "For each size: a displacement between neighbours, one step below and one above, in each "
    "number of stages of the nearest cavities; scaled as a whole, lengths by the cube root, "
    "torque by the displacement, pressures and efficiencies unchanged.",
)
STAGES = Derivation(
    "more stages",
    "For each size and displacement: one step more stages; rated pressures by the stages, "
    "friction torque on the line through those of fewer stages, all else as the one with most.",
)

LENGTHS = ("eccentricity", "rotor_diameter", "pitch", "seal_width", "seal_land")


def cavities(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield hypothetical cavities."""
    known = [part for part in catalog.parts["cavity"] if isinstance(part, Cavity)]
    by_size = grouped(known, lambda cavity: cavity.size)
    usual = steps.usual_ratio([list(map(_displacement, each)) for each in by_size.values()])
    for made_for in by_size.values():
        yield from _displacements(made_for, usual)
        yield from _more_stages(made_for)


def _displacement(cavity: Cavity) -> float:
    return cavity.displacement.nominal


def _displacements(made_for: list[Cavity], usual: float | None) -> Iterator[Hypothetical]:
    for step in steps.Ladder(map(_displacement, made_for), usual).steps():
        ordered = sorted(made_for, key=lambda each: each.name)
        for cavity in steps.closest(ordered, step, _displacement, lambda each: each.stages.nominal):
            text = steps.shown(step.value, cavity.displacement)
            change = (
                f"{steps.setting(step, cavity.displacement)}; {cavity.stages.text} stages, "
                f"size {cavity.size}"
            )
            figures = similar(cavity, step.value / cavity.displacement.nominal)
            figures["displacement"] = steps.stepped(cavity.displacement, step.value)
            yield single(DISPLACEMENT, cavity, steps.mark_of(text), change, figures)


def similar(cavity: Cavity, factor: float) -> dict[str, object]:
    """Return the figures of a cavity whose displacement is scaled as a whole by a factor."""
    figures: dict[str, object] = {
        name: steps.scaled(getattr(cavity, name), factor ** (1 / 3)) for name in LENGTHS
    }
    figures["displacement"] = steps.scaled(cavity.displacement, factor)
    figures["friction_torque"] = steps.scaled(cavity.friction_torque, factor)
    return figures


def _more_stages(made_for: list[Cavity]) -> Iterator[Hypothetical]:
    ordered = sorted(made_for, key=lambda each: (each.stages.nominal, each.name))
    for alike in grouped(ordered, _displacement).values():
        most = alike[-1]
        count = steps.next_count(each.stages.nominal for each in alike)
        factor = count / most.stages.nominal
        figures: dict[str, object] = {
            "stages": steps.stepped(most.stages, count),
            "friction_torque": steps.scaled(most.friction_torque, _torque_factor(alike, count)),
            "rated_elastomer": _with_pressure(most.rated_elastomer, factor),
            "rated_rigid": most.rated_rigid and _with_pressure(most.rated_rigid, factor),
        }
        change = f"{count} stages in place of {most.stages.text}, size {most.size}"
        yield single(STAGES, most, f"{count}s", change, figures)


def _torque_factor(alike: list[Cavity], count: int) -> float:
    """Friction of more stages over that of the most: friction rises by the stage."""
    most = alike[-1]
    fewer = [each for each in alike if each.stages.nominal < most.stages.nominal]
    share = count / most.stages.nominal
    if not fewer or not most.friction_torque.nominal:
        return share
    rise = most.friction_torque.nominal - fewer[-1].friction_torque.nominal
    rise /= most.stages.nominal - fewer[-1].stages.nominal
    further = most.friction_torque.nominal + rise * (count - most.stages.nominal)
    return max(further / most.friction_torque.nominal, 1.0)


def _with_pressure(rated: RatedPoint, factor: float) -> RatedPoint:
    pressure: Quantity = steps.scaled(rated.pressure, factor)
    return rated.model_copy(update={"pressure": pressure})


FOR_A_SIZE = Derivation(
    "for a size that lacks it",
    "For each stator compound, body material, rotor surface, kind of seal and feed, and each size "
    "that none of them is made for: the one made for the nearest size, made for that size.",
)

SIZE = Derivation(
    "size",
    "One size larger than the largest and one smaller than the smallest, by the ratio of the last "
    "two, as a set: cavities scaled as a whole, drives with torque in proportion to the "
    "displacement, and a copy of every body, rotor, stator, seal and feed made for its neighbour.",
)

ALIKE_BY: dict[str, tuple[str, ...]] = {
    "body": ("material",),
    "rotor": ("material", "surface"),
    "stator": ("material", "kind"),
    "seal": ("materials", "filler_max", "keeps_moisture_out"),
    "feed": ("name",),
}
"""By slot, the fields that make two parts the same thing for different sizes."""


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
    for slot, fields in ALIKE_BY.items():
        parts = [part for part in catalog.parts[slot] if isinstance(part, FittedPart)]
        for family in grouped(parts, attrgetter(*fields)).values():
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
        yield single(FOR_A_SIZE, part, f"for-{size}", change, {"sizes": (size,)})


def sizes(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield a larger and a smaller size, each with its parts; none where there is one size alone."""
    order = sizes_in_order(catalog)
    if len(order) < 2:  # noqa: PLR2004 - one size alone has no step
        return
    yield _next(catalog, order[-2], order[-1], "larger")
    yield _next(catalog, order[1], order[0], "smaller")


def _next(catalog: Catalog, before: Size, last: Size, word: str) -> Hypothetical:
    factor = _turn(catalog, last) / _turn(catalog, before)
    mass = last.dry_mass.nominal / before.dry_mass.nominal
    name = _free_name(catalog, last.name, word)
    change = (
        f"a set of parts, {word} than size {last.name}: {factor:.3g} times the displacement, "
        f"{mass:.3g} times the dry mass, parts copied from those for {last.name}"
    )
    size = derived(last, word, change, {"name": name, "dry_mass": scaled(last.dry_mass, mass)})
    parts: dict[str, tuple[Part, ...]] = {"size": (size,)}
    for kind in PART_TYPES:
        if issubclass(kind, (Cavity, FittedPart)):
            parts[kind.slot] = tuple(
                derived(part, word, change, _figures(part, name, factor, mass))
                for part in catalog.parts[kind.slot]
                if last.name in ((part.size,) if isinstance(part, Cavity) else part.sizes)  # type: ignore[attr-defined]
            )
    return Hypothetical("size", name, SIZE.name, last.name, change, parts)


def _figures(part: Part, size: str, factor: float, mass: float) -> dict[str, object]:
    if isinstance(part, Cavity):
        return {"size": size, **similar(part, factor)}
    figures: dict[str, object] = {"sizes": (size,)}
    if isinstance(part, Drive):
        figures["torque_continuous"] = scaled(part.torque_continuous, factor)
        figures["torque_peak"] = scaled(part.torque_peak, factor)
        figures["mass"] = scaled(part.mass, mass)
    return figures


def _turn(catalog: Catalog, size: Size) -> float:
    """The largest displacement of a size. [m^3/rev]"""
    return max(
        part.displacement.nominal
        for part in catalog.parts["cavity"]
        if isinstance(part, Cavity) and part.size == size.name
    )


def _free_name(catalog: Catalog, last: str, word: str) -> str:
    taken = {part.name for part in catalog.parts["size"]}
    number, suffix = 1, f"+{word}"
    while f"{last[: LONGEST_NAME - len(suffix)]}{suffix}" in taken:
        number += 1
        suffix = f"+{word}-{number}"
    return f"{last[: LONGEST_NAME - len(suffix)]}{suffix}"
