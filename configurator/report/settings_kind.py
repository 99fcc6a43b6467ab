"""What a first setting is, and one that is a number with a range."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.rules.side import Side
from configurator.units.display import show_value
from configurator.units.kinds import Kind

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Setting:
    """One thing to dial in, in the language of its sheet."""

    key: str
    """Which it is, in whatever language."""
    name: str
    start: str
    """Where to start, with its unit."""
    span: str
    """Range to stay in, or to search."""
    basis: str
    """What the weakest number rests on."""
    note: str = ""
    """What to watch; may be empty."""
    low: float | None = None
    high: float | None = None
    """The range in `unit`."""
    unit: str = ""
    """SI unit, empty where the setting is no number."""


def ranged(
    key: str, name: str, kind: Kind, *, start: float, low: float, high: float, basis: str, note: str
) -> Setting:
    """A number to start with and the range to stay in, told in the unit that suits each."""
    span = f"{show_value(low, kind)} to {show_value(high, kind)}"
    return Setting(key, name, show_value(start, kind), span, basis, note, low, high, kind.unit)


def of_side(side: Side) -> str:
    """Name of a side behind a setting's own, nothing for a one-part material."""
    return f" {side.prefix.rstrip('.')}" if side.prefix else ""
