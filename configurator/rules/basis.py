"""What the inputs of a rule rest on: the weakest basis among the fields that it reads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from configurator.catalog.parts import Part
from configurator.catalog.practice import Practice
from configurator.request.material import Component, Material
from configurator.request.process import Process
from configurator.units.interval import Basis, weakest
from configurator.units.path import quantities, value_at


def basis_of(
    asks: Iterable[str],
    *,
    component: Component,
    material: Material,
    process: Process,
    practice: Practice,
    practice_fields: Iterable[str],
) -> Basis:
    """Weakest basis among request fields (dotted below their model) and practice of a rule."""
    roots: dict[str, object] = {
        "component": component,
        "material": material,
        "process": process,
        "practice": practice,
    }
    found: list[Basis] = []
    for path in (*asks, *(f"practice.{field}" for field in practice_fields)):
        root, _, rest = path.partition(".")
        found += (each.basis for _, each in quantities(value_at(roots[root], rest)))
    return weakest(*found) if found else Basis.DATASHEET


def basis_of_parts(paths: Iterable[str], build: Mapping[str, Part], prefix: str) -> Basis | None:
    """Weakest basis among the part figures that a rule reads, or None if it reads none."""
    found: list[Basis] = []
    for path in paths:
        slot, _, field = path.partition(".")
        part = build.get(slot) or build.get(prefix + slot)
        if part is not None:  # a finding on one part alone knows no others
            found += (each.basis for _, each in quantities(value_at(part, field)))
    return weakest(*found) if found else None
