"""Tips and mixing devices that a catalog does not have: other bores and chambers, longer ones."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from operator import attrgetter

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Mixing, Outlet
from configurator.screen.hypothetical.part import Derivation, Hypothetical, single
from configurator.screen.hypothetical.steps import (
    Ladder,
    SeriesStep,
    closest,
    mark_of,
    next_count,
    scaled,
    setting,
    shown,
    stepped,
    usual_ratio,
)
from configurator.units.grouped import grouped

BORE = Derivation(
    "tip bore",
    "For each shape, joint and material of tips: a bore between neighbours, one step finer and one "
    "wider, in each length of the nearest tips; outside diameter and a straight entry in "
    "proportion, everything else as theirs.",
)
LENGTH = Derivation(
    "longer tip",
    "For each shape, joint and material of tips and each bore: one step longer than the longest "
    "of them, all else as that one.",
)

TUBE = Derivation(
    "mixer bore",
    "For each kind of static mixer: a bore between neighbours, one step finer and one wider, in "
    "each number of elements of the nearest; mass by the cube of the bore, all else as theirs.",
)
ELEMENTS = Derivation(
    "more elements",
    "For each kind of static mixer and bore: one step more elements; mass in proportion.",
)
CHAMBER = Derivation(
    "mixing chamber",
    "A chamber volume between neighbours, one step below and one above, scaled as a whole.",
)


def tips(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield hypothetical tips."""
    known = [part for part in catalog.parts["outlet"] if isinstance(part, Outlet)]
    families = grouped(known, attrgetter("kind", "joint", "material", "passes_light")).values()
    bores = usual_ratio([list(map(_tip_bore, each)) for each in families])
    lengths = usual_ratio([[tip.length.nominal for tip in each] for each in families])
    for family in families:
        yield from _tip_bores(family, bores)
        yield from _longer_tips(family, lengths)


def _tip_bore(tip: Outlet) -> float:
    return tip.bore.nominal


def _tip_bores(family: list[Outlet], usual: float | None) -> Iterator[Hypothetical]:
    for step in Ladder(map(_tip_bore, family), usual).steps():
        # The thinnest wall first: where two gauges share a bore, one of them is enough.
        thinnest = sorted(family, key=lambda each: (each.outside_diameter.nominal, each.name))
        for tip in closest(thinnest, step, _tip_bore, lambda each: each.length.nominal):
            yield from _with_bore(tip, step)


def _with_bore(tip: Outlet, step: SeriesStep) -> Iterator[Hypothetical]:
    factor = step.value / tip.bore.nominal
    figures: dict[str, object] = {
        "bore": stepped(tip.bore, step.value),
        "outside_diameter": scaled(tip.outside_diameter, factor),
        "gauge": None,
    }
    if tip.entry_bore.nominal <= tip.bore.nominal * (1 + 1e-9):
        figures["entry_bore"] = stepped(tip.entry_bore, step.value)
    elif step.value >= tip.entry_bore.nominal:
        return  # a tip that tapers no more is of another shape
    text = shown(step.value, tip.bore)
    change = f"bore of {setting(step, tip.bore)}; {shown(tip.length.nominal, tip.length)} long"
    yield single(BORE, tip, f"bore-{mark_of(text)}", change, figures)


def _longer_tips(family: list[Outlet], usual: float | None) -> Iterator[Hypothetical]:
    ladder = Ladder((tip.length.nominal for tip in family), usual)
    longest: dict[float, Outlet] = {}
    for tip in sorted(family, key=lambda each: (each.length.nominal, each.name)):
        longest[tip.bore.nominal] = tip
    for tip in longest.values():
        value = ladder.above(tip.length.nominal)
        if value is None:
            continue
        text = shown(value, tip.length)
        change = f"length of {text} in place of {tip.length.text}"
        figures = {"length": stepped(tip.length, value)}
        yield single(LENGTH, tip, f"long-{mark_of(text)}", change, figures)


def mixers(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield hypothetical mixing devices."""
    tubes: dict[Hashable, list[Mixing]] = {}
    chambers: dict[Hashable, list[Mixing]] = {}
    for part in catalog.parts["mixing"]:
        assert isinstance(part, Mixing)
        if part.kind == "static" and part.bore is not None and part.elements is not None:
            aspect = None if part.element_aspect is None else part.element_aspect.nominal
            loss = None if part.loss_factor is None else part.loss_factor.nominal
            kin = (part.material, part.passes_light, aspect, loss)
            tubes.setdefault(kin, []).append(part)
        elif part.kind == "chamber" and part.volume is not None:
            chambers.setdefault((part.material, part.passes_light), []).append(part)
    usual = usual_ratio([list(map(_bore, each)) for each in tubes.values()])
    for family in tubes.values():
        yield from _mixer_bores(family, usual)
        yield from _more_elements(family)
    usual = usual_ratio([list(map(_volume, each)) for each in chambers.values()])
    for family in chambers.values():
        yield from _chambers(family, usual)


def _bore(part: Mixing) -> float:
    assert part.bore is not None
    return part.bore.nominal


def _volume(part: Mixing) -> float:
    assert part.volume is not None
    return part.volume.nominal


def _elements(part: Mixing) -> float:
    assert part.elements is not None
    return part.elements.nominal


def _mass(part: Mixing, factor: float) -> dict[str, object]:
    return {} if part.mass is None else {"mass": scaled(part.mass, factor)}


def _mixer_bores(family: list[Mixing], usual: float | None) -> Iterator[Hypothetical]:
    for step in Ladder(map(_bore, family), usual).steps():
        ordered = sorted(family, key=lambda each: each.name)
        for part in closest(ordered, step, _bore, _elements):
            assert part.bore is not None
            assert part.elements is not None
            change = f"bore of {setting(step, part.bore)}; {part.elements.text} elements"
            figures = {
                "bore": stepped(part.bore, step.value),
                **_mass(part, (step.value / _bore(part)) ** 3),
            }
            mark = f"bore-{mark_of(shown(step.value, part.bore))}"
            yield single(TUBE, part, mark, change, figures)


def _more_elements(family: list[Mixing]) -> Iterator[Hypothetical]:
    for alike in grouped(family, _bore).values():
        most = max(alike, key=lambda part: (_elements(part), part.name))
        assert most.elements is not None
        counts = set(map(_elements, alike))
        # A bore with one number of elements takes the step of its kind.
        count = next_count(counts if len(counts) > 1 else set(map(_elements, family)))
        if count <= _elements(most):
            continue
        change = f"{count} elements in place of {most.elements.text}"
        figures = {
            "elements": stepped(most.elements, count),
            **_mass(most, count / _elements(most)),
        }
        yield single(ELEMENTS, most, f"{count}el", change, figures)


def _chambers(family: list[Mixing], usual: float | None) -> Iterator[Hypothetical]:
    for step in Ladder(map(_volume, family), usual).steps():
        ordered = sorted(family, key=lambda each: each.name)
        part = next(closest(ordered, step, _volume, _volume))
        assert part.volume is not None
        factor = step.value / _volume(part)
        figures: dict[str, object] = {
            "volume": stepped(part.volume, step.value),
            **_mass(part, factor),
        }
        for name in ("chamber_diameter", "gap"):
            length = getattr(part, name)
            if length is not None:
                figures[name] = scaled(length, factor ** (1 / 3))
        change = f"volume of {setting(step, part.volume)}"
        mark = mark_of(shown(step.value, part.volume))
        yield single(CHAMBER, part, mark, change, figures)
