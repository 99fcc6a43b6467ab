"""Folding parts by the property that decides: all 31 tips under 0.84 mm bore, not 31 names."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.units.dimension import Kind
from configurator.units.display import show_value
from configurator.units.interval import Interval
from configurator.units.kinds import TEMPERATURE
from configurator.units.path import value_at
from configurator.units.quantity import Quantity

SLOT_WORDS = {
    "size": ("size", "sizes"),
    "cavity": ("cavity", "cavities"),
    "body": ("body", "bodies"),
    "rotor": ("rotor", "rotors"),
    "stator": ("stator", "stators"),
    "seal": ("shaft seal", "shaft seals"),
    "drive": ("drive", "drives"),
    "mixing": ("mixer", "mixers"),
    "outlet": ("tip", "tips"),
    "feed": ("feed", "feeds"),
}
"""What one and what several parts of a slot are called."""

NAMED = 3
"""Parts that are named one by one where no property tells them apart."""


@dataclass(frozen=True, slots=True)
class Group:
    """Parts of one slot that go out together."""

    slot: str
    names: tuple[str, ...]
    standing: int
    """How many parts of the slot stood before."""
    by: str
    """Figure that sets them apart from those that stay, as `bore`; empty if none does."""
    below: float | None
    above: float | None
    """All of them lie below or above this value of it, and none of those that stay. [unit]"""
    unit: str
    """SI unit of the figure; empty for words."""
    text: str


def called(slot: str, count: int) -> str:
    """Return what parts of a slot are called, with the side of a two-part head."""
    prefix, _, name = slot.rpartition(".")
    words = SLOT_WORDS[name][0 if count == 1 else 1]
    return f"{words} of side {prefix}" if prefix else words


def counted(slot: str, count: int) -> str:
    """Return a number of parts of a slot in words."""
    return f"{count} {called(slot, count)}"


def fold(
    slot: str,
    parts: Sequence[Part],
    out: NDArray[np.bool_],
    paths: Iterable[str],
    temperature: Interval,
) -> Group:
    """Tell the parts of a slot that go out from those that stay, by one figure if one does.

    The part figures that the rule reads are tried in the order of the paths, the likeliest first;
    of ratings of temperature only the one that some part is asked beyond.
    """
    name = slot.rpartition(".")[2]
    fields = [path.partition(".")[2] for path in paths if path.partition(".")[0] == name]
    gone = [part for part, is_out in zip(parts, out, strict=True) if is_out]
    kept = [part for part, is_out in zip(parts, out, strict=True) if not is_out]
    names = tuple(sorted(part.name for part in gone))
    for field in fields:
        if not any(_asked_beyond(field, part, temperature) for part in gone):
            continue
        found = _by_number(field, gone, kept) or _by_words(field, gone, kept)
        if found is not None:
            by, below, above, unit, words = found
            text = f"{_all_of(slot, gone, kept)} {words}"
            return Group(slot, names, len(parts), by, below, above, unit, text)
    return Group(slot, names, len(parts), "", None, None, "", _listed(slot, names, len(parts)))


def _asked_beyond(field: str, part: Part, asked: Interval) -> bool:
    """Whether a rating of temperature is passed; other figures are not told apart here."""
    rating = value_at(part, field)
    if not isinstance(rating, Quantity) or rating.kind is not TEMPERATURE:
        return True
    if field.endswith("_low"):
        return asked.low < rating.nominal
    return not field.endswith("_high") or asked.high > rating.nominal


def _all_of(slot: str, gone: Sequence[Part], kept: Sequence[Part]) -> str:
    if len(gone) == 1 and kept:
        return f"the one {called(slot, 1)}"
    return f"all {counted(slot, len(gone))}" if len(gone) > 1 else f"the only {called(slot, 1)}"


def _listed(slot: str, names: Sequence[str], standing: int) -> str:
    if len(names) == standing:
        which = "the only" if standing == 1 else f"all {standing}"
        told = f" ({names[0]})" if standing == 1 else ""
        return f"{which} {called(slot, standing)}{told}"
    return f"{len(names)} of {counted(slot, standing)} ({some(names)})"


def some(names: Sequence[str]) -> str:
    """Return names in words, no more than a reader takes in."""
    if len(names) <= NAMED:
        return ", ".join(names)
    return f"{', '.join(names[:NAMED])} and {len(names) - NAMED} more"


_Found = tuple[str, float | None, float | None, str, str]


def _by_number(field: str, gone: Sequence[Part], kept: Sequence[Part]) -> _Found | None:
    first = value_at(gone[0], field)
    if not isinstance(first, Quantity):
        return None
    outside = _numbers(field, gone)
    inside = _numbers(field, kept)
    if outside is None or inside is None:
        return None
    words, kind = _figure(field), first.kind
    if not inside:
        low, high = show_value(min(outside), kind), show_value(max(outside), kind)
        span = f"of {low} {words}" if low == high else f"from {low} to {high} {words}"
        return words, None, None, kind.unit, span
    if max(outside) < min(inside):
        limit = min(inside)
        return words, limit, None, kind.unit, f"under {_with(limit, kind, words)}"
    if min(outside) > max(inside):
        limit = max(inside)
        return words, None, limit, kind.unit, f"over {_with(limit, kind, words)}"
    return None


def _with(value: float, kind: Kind, words: str) -> str:
    return f"{show_value(value, kind)} {words}"


def _by_words(field: str, gone: Sequence[Part], kept: Sequence[Part]) -> _Found | None:
    outside = {_word(value_at(part, field)) for part in gone}
    inside = {_word(value_at(part, field)) for part in kept}
    if None in outside or None in inside or not kept or outside & inside:
        return None
    words = sorted(str(word) for word in outside)
    if len(words) > NAMED or words in (["yes"], ["no"]):
        return None
    return _figure(field), None, None, "", f"with {_figure(field)} {' or '.join(words)}"


def _word(value: object) -> str | None:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if isinstance(value, tuple) and all(isinstance(entry, str) for entry in value):
        return " and ".join(value)
    return None


def _figure(field: str) -> str:
    words = field.rpartition(".")[2].replace("_", " ").replace(" max", " rating")
    return _ENDS.get(words, words)


_ENDS = {"temperature low": "lowest temperature", "temperature high": "highest temperature"}


def _numbers(field: str, parts: Sequence[Part]) -> list[float] | None:
    values = [value_at(part, field) for part in parts]
    if not all(isinstance(value, Quantity) for value in values):
        return None
    return [value.nominal for value in values if isinstance(value, Quantity)]
