"""What every check of a catalog is made of: its form, a finding, and a look at parts and figures."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeVar

from pydantic import BaseModel

from configurator.catalog import parts
from configurator.catalog.catalog import Catalog
from configurator.units.dimension import Kind as Unit
from configurator.units.display import show_value
from configurator.units.path import value_at
from configurator.units.quantity import Quantity

Severity = Literal["error", "warning"]
Finding = tuple[str, str, str]
"""Where (a slot and a part), the field, and the sentence."""

Kind = TypeVar("Kind", bound=parts.Part)


@dataclass(frozen=True, slots=True)
class AuditNote:
    """One finding: an error makes an answer wrong, a warning makes it poorer."""

    severity: Severity
    check: str
    where: str
    field: str
    text: str

    def line(self) -> str:
        """Return the note as one line."""
        place = f"{self.where}: {self.field}" if self.field else self.where
        return f"{self.severity}: {place}: {self.text}"


@dataclass(frozen=True, slots=True)
class Check:
    """A named question that is put to a catalog."""

    name: str
    severity: Severity
    find: Callable[[Catalog], Iterable[Finding]]
    alone: bool = False
    """True if it looks at one part or rule of thumb at a time, whatever else the catalog holds."""


def of(catalog: Catalog, kind: type[Kind]) -> tuple[Kind, ...]:
    """The parts of a slot, by their model."""
    return tuple(part for part in catalog.parts.get(kind.slot, ()) if isinstance(part, kind))


def where_of(part: parts.Part) -> str:
    """A part with its slot, as notes name it."""
    return f"{part.slot} {part.name}"


def holders(catalog: Catalog, slot: str) -> Iterator[tuple[str, BaseModel]]:
    """Every model that rows of `slot` speak of, with its place in words."""
    if slot == "practice":
        yield "practice", catalog.practice
    for part in catalog.parts.get(slot, ()):
        yield where_of(part), part


def figure_of(model: BaseModel, field: str) -> Quantity | None:
    """The quantity at a path of a model, or None."""
    value = value_at(model, field)
    return value if isinstance(value, Quantity) else None


def between(low: float, high: float, kind: Unit) -> str:
    """Two bounds as a sentence tells them."""
    return f"{show_value(low, kind)} to {show_value(high, kind)}"
