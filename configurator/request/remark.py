"""What a check says of a request file that its model alone cannot refuse."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from configurator.units.display import show_interval
from configurator.units.quantity import Quantity


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that makes no sense, below the place that was looked at."""

    field: str
    """Path below that place, such as `index` or `[2].name`; empty for the place itself."""
    given: str
    accepted: str
    """What would make sense."""


@dataclass(frozen=True, slots=True)
class FieldCheck:
    """One place of a file and what to check there."""

    path: tuple[str, ...]
    """Keys from the top of the file."""
    kind: Any
    """The type of the value at that place: checked on its own when the rest of the file has faults,
    so that all faults come in one go."""
    check: Callable[[Any], Iterator[Remark]]
    """Yields a remark for each thing that makes no sense."""


def outside(
    quantity: Quantity | None, field: str, low: float, high: float, accepted: str
) -> Iterator[Remark]:
    """Remark on a quantity that reaches below `low` or above `high`; both ends are allowed."""
    if quantity is not None and not (low <= quantity.low and quantity.high <= high):
        yield Remark(field, quantity.text, accepted)


def not_above(
    quantity: Quantity | None, field: str, floor: float, accepted: str
) -> Iterator[Remark]:
    """Remark on a quantity that reaches down to `floor` or below it."""
    if quantity is not None and not quantity.low > floor:
        yield Remark(field, quantity.text, accepted)


def unprintable(text: str, field: str = "") -> Iterator[Remark]:
    """Remark on control characters, terminal escapes and text that runs backwards."""
    if not text.replace("\n", "").isprintable():
        yield Remark(field, text, "printable text without control characters")


def one_line(text: str) -> Iterator[Remark]:
    """Remark on text that is more than one line of printable characters."""
    if not text.isprintable():
        yield Remark("", text, "one line of printable text without control characters")


def in_words(quantity: Quantity) -> str:
    """Return a quantity in trade units, for the middle of a sentence."""
    return show_interval(quantity.interval, quantity.kind)
