"""One question: a material, a process, parts fixed or excluded, and the order of the answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from configurator.request.material import Material
from configurator.request.orders import ORDERS
from configurator.request.process import Process
from configurator.units.path import value_at, with_value


@dataclass(frozen=True)
class Question:
    """One question."""

    material: Material
    process: Process
    picks: Mapping[str, str] = field(default_factory=dict)
    """Part fixed by slot, as `{"size": "h3"}` or `{"a.stator": "fkm"}`."""
    without: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Parts excluded, by slot."""
    sort: str = ORDERS[0]
    """Name of the figure that orders builds of the same state."""
    strict: bool = False
    """True to list builds alone that fit over the whole stated range."""

    def at(self, path: str) -> Any:
        """What stands at a path of the process, as `process.reach`, or of the material."""
        inner = path.removeprefix("process.")
        return value_at(self.material if inner == path else self.process, inner)

    def having(self, values: Mapping[str, object]) -> Question:
        """The question with other values by path, as `process.reach`; nothing is validated again.

        `pick SLOT` frees a slot and `without SLOT PART` allows a part again, whatever the value.
        """
        made = self
        for path, value in values.items():
            kind, _, named = path.partition(" ")
            if kind == "pick":
                picks = {slot: part for slot, part in made.picks.items() if slot != named}
                made = replace(made, picks=picks)
            elif kind == "without":
                slot, _, part = named.partition(" ")
                fewer = {**made.without, slot: made.without[slot] - {part}}
                made = replace(made, without=fewer)
            elif path.startswith("process."):
                inner = path.removeprefix("process.")
                made = replace(made, process=with_value(made.process, inner, value))
            else:
                made = replace(made, material=with_value(made.material, path, value))
        return made
