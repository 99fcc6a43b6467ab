"""Figures of a part as rules see them, so that parts can be told apart or found alike."""

from __future__ import annotations

from collections.abc import Hashable, Iterable

from pydantic import BaseModel

from configurator.catalog.parts import Part
from configurator.units.quantity import Quantity


def figures_of(part: Part, fields: Iterable[str]) -> tuple[Hashable, ...]:
    """Figures of a part by dotted fields, equal for parts that rules on these cannot tell apart."""
    return tuple(_figure(_at(part, field)) for field in fields)


def _at(value: object, path: str) -> object:
    for name in path.split("."):
        value = getattr(value, name, None)
    return value


def _figure(value: object) -> Hashable:
    """A figure without the words that it was typed with: equal whatever its unit."""
    if isinstance(value, Quantity):
        return value.low, value.nominal, value.high
    if isinstance(value, BaseModel):
        return tuple(_figure(getattr(value, name)) for name in type(value).model_fields)
    if isinstance(value, tuple):
        return tuple(map(_figure, value))
    assert isinstance(value, Hashable)  # parts are frozen through and through
    return value
