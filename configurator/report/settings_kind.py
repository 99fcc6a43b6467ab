"""What a first setting is."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.rules.side import Side

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Setting:
    """One thing to dial in."""

    name: str
    """What it is."""
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


def of_side(side: Side) -> str:
    """Name of a side behind a setting's own, nothing for a one-part material."""
    return f" {side.prefix.rstrip('.')}" if side.prefix else ""
