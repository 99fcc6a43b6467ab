"""Mixing devices that a catalog does not have: other bores, more elements, other chambers."""

from __future__ import annotations

from collections.abc import Hashable, Iterator

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Mixing
from configurator.screen.hypothetical.part import Derivation, Hypothetical, derived, single
from configurator.screen.hypothetical.steps import (
    Ladder,
    next_count,
    scaled,
    shown,
    stepped,
    usual_ratio,
)
from configurator.screen.hypothetical.words import mark_of, setting

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
    usual = usual_ratio([[_bore(part) for part in each] for each in tubes.values()])
    for family in tubes.values():
        yield from _bores(family, usual)
        yield from _longer(family)
    usual = usual_ratio([[_volume(part) for part in each] for each in chambers.values()])
    for family in chambers.values():
        yield from _chambers(family, usual)


def _bore(part: Mixing) -> float:
    assert part.bore is not None
    return part.bore.nominal


def _volume(part: Mixing) -> float:
    assert part.volume is not None
    return part.volume.nominal


def _mass(part: Mixing, factor: float) -> dict[str, object]:
    return {} if part.mass is None else {"mass": scaled(part.mass, factor)}


def _bores(family: list[Mixing], usual: float | None) -> Iterator[Hypothetical]:
    for step in Ladder(map(_bore, family), usual).steps():
        seen: set[float] = set()
        for part in sorted(family, key=lambda each: each.name):
            assert part.bore is not None
            assert part.elements is not None
            near = abs(_bore(part) / step.nearest - 1) < 1e-9  # noqa: PLR2004 - alike
            if not near or part.elements.nominal in seen:
                continue
            seen.add(part.elements.nominal)
            change = f"bore of {setting(step, part.bore)}; {part.elements.text} elements"
            figures = {
                "bore": stepped(part.bore, step.value),
                **_mass(part, (step.value / _bore(part)) ** 3),
            }
            mark = f"bore-{mark_of(shown(step.value, part.bore))}"
            yield single(TUBE, part, derived(part, mark, change, figures), change)


def _longer(family: list[Mixing]) -> Iterator[Hypothetical]:
    by_bore: dict[float, list[Mixing]] = {}
    for part in family:
        by_bore.setdefault(_bore(part), []).append(part)
    for alike in by_bore.values():
        counts = {part: part.elements.nominal for part in alike if part.elements is not None}
        most = max(counts, key=lambda part: (counts[part], part.name))
        assert most.elements is not None
        # A bore with one number of elements takes the step of its kind.
        every = [p.elements.nominal for p in family if p.elements is not None]
        count = next_count(set(counts.values()) if len(set(counts.values())) > 1 else set(every))
        if count <= counts[most]:
            continue
        change = f"{count} elements in place of {most.elements.text}"
        figures = {
            "elements": stepped(most.elements, count),
            **_mass(most, count / counts[most]),
        }
        yield single(ELEMENTS, most, derived(most, f"{count}el", change, figures), change)


def _chambers(family: list[Mixing], usual: float | None) -> Iterator[Hypothetical]:
    for step in Ladder(map(_volume, family), usual).steps():
        part = min(
            (p for p in family if abs(_volume(p) / step.nearest - 1) < 1e-9),  # noqa: PLR2004
            key=lambda each: each.name,
        )
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
        yield single(CHAMBER, part, derived(part, mark, change, figures), change)
