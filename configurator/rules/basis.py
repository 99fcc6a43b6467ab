"""What the inputs of a rule rest on: the weakest basis among the fields that it reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from pydantic import BaseModel

from configurator.catalog.parts import Part
from configurator.catalog.practice import Practice
from configurator.request.material import Component, Material
from configurator.request.process import Process
from configurator.units.interval import Basis, weakest
from configurator.units.quantity import Quantity


def basis_of(
    asks: Iterable[str],
    *,
    component: Component,
    material: Material,
    process: Process,
    practice: Practice,
    practice_fields: Iterable[str],
) -> Basis:
    """Weakest basis among request fields and practice figures that a rule reads.

    Parameters
    ----------
    asks : iterable of str
        Dotted fields below `component`, `material` or `process`.
    practice_fields : iterable of str
        Fields of the shop practice.
    """
    roots: dict[str, object] = {
        "component": component,
        "material": material,
        "process": process,
        "practice": practice,
    }
    found: list[Basis] = []
    for path in (*asks, *(f"practice.{field}" for field in practice_fields)):
        root, _, rest = path.partition(".")
        found.extend(_bases(_follow(roots[root], rest)))
    return weakest(*found) if found else Basis.DATASHEET


def basis_of_parts(paths: Iterable[str], build: Mapping[str, Part], prefix: str) -> Basis | None:
    """Weakest basis among the part figures that a rule reads, or None if it reads none."""
    found: list[Basis] = []
    for path in paths:
        slot, _, field = path.partition(".")
        part = build.get(slot) or build.get(prefix + slot)
        if part is not None:  # a finding on one part alone knows no others
            found.extend(_bases(_follow(part, field)))
    return weakest(*found) if found else None


def _follow(root: object, path: str) -> object:
    value = root
    for name in filter(None, path.split(".")):
        value = getattr(value, name, None) if value is not None else None
    return value


def _bases(value: object) -> Iterator[Basis]:
    """Each basis found in a quantity, or anywhere inside a model or tuple."""
    if isinstance(value, Quantity):
        yield value.basis
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _bases(getattr(value, name))
    elif isinstance(value, tuple):
        for entry in value:
            yield from _bases(entry)
