"""Tips that a catalog does not have: other bores of each shape and joint, and longer ones."""

from __future__ import annotations

from collections.abc import Iterator

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Outlet
from configurator.screen.hypothetical.part import Derivation, Hypothetical, derived, single
from configurator.screen.hypothetical.steps import (
    Ladder,
    SeriesStep,
    scaled,
    shown,
    stepped,
    usual_ratio,
)
from configurator.screen.hypothetical.words import mark_of, setting

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

Family = tuple[str, str, str, bool]


def tips(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield hypothetical tips."""
    families: dict[Family, list[Outlet]] = {}
    for tip in catalog.parts["outlet"]:
        assert isinstance(tip, Outlet)
        families.setdefault((tip.kind, tip.joint, tip.material, tip.passes_light), []).append(tip)
    bores = usual_ratio([[tip.bore.nominal for tip in each] for each in families.values()])
    lengths = usual_ratio([[tip.length.nominal for tip in each] for each in families.values()])
    for family in families.values():
        yield from _bores(family, bores)
        yield from _longer(family, lengths)


def _bores(family: list[Outlet], usual: float | None) -> Iterator[Hypothetical]:
    for step in Ladder((tip.bore.nominal for tip in family), usual).steps():
        lengths: set[float] = set()
        # The thinnest wall first: where two gauges share a bore, one of them is enough.
        for tip in sorted(family, key=lambda each: (each.outside_diameter.nominal, each.name)):
            near = abs(tip.bore.nominal / step.nearest - 1) < 1e-9  # noqa: PLR2004 - alike
            if near and tip.length.nominal not in lengths:
                lengths.add(tip.length.nominal)
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
    part = derived(tip, f"bore-{mark_of(text)}", change, figures)
    yield single(BORE, tip, part, change)


def _longer(family: list[Outlet], usual: float | None) -> Iterator[Hypothetical]:
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
        yield single(LENGTH, tip, derived(tip, f"long-{mark_of(text)}", change, figures), change)
