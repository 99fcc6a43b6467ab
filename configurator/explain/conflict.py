"""Why nothing is left, as data: minimal sets of wishes that no build meets at once, step by step."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.explain.request_data import Datum
from configurator.rules.applied import Applied
from configurator.rules.comparison import Comparison
from configurator.rules.finding import Finding, State
from configurator.rules.losses import nearest_finding
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


@dataclass(frozen=True, slots=True)
class Miss:
    """One finding with the numbers at the end that decides.

    A finding shows the hardest end of what was stated. A part is only out if it fails at the
    end that counts: the nominal one, or the kindest where the spread is an estimate.
    """

    finding: Finding
    demand: float | None
    limit: float | None
    """At the end that decides, in the unit of the finding; None for verdicts and unknowns."""
    excess: float | None
    """By what share of the limit the demand misses it there; negative where it does not."""
    kind: Kind | None


def miss_of(applied: Applied, slot: str, place: int, level: State) -> Miss:
    """What a rule says of a part with the partners that suit it best, where builds pass up to a level.

    For a rule without slots any slot will do.
    """
    again, finding = nearest_finding(applied, slot, place)
    return with_ends(again, finding, 0, level)


def with_ends(applied: Applied, finding: Finding, row: int, level: State) -> Miss:
    """A finding of a rows frame with demand and limit at the end that decides at a level."""
    outcome = applied.outcome.whole
    if not isinstance(outcome, Comparison):
        return Miss(finding, None, None, None, None)
    demand = _at(outcome.demand.end(level), row)
    limit = _at(outcome.limit.end(level), row)
    if demand is None or limit is None:
        return Miss(finding, demand, limit, None, outcome.kind)
    missed = limit - demand if outcome.at_least else demand - limit
    excess = missed / abs(limit) if limit else None
    return Miss(finding, demand, limit, excess, outcome.kind)


def nearest_place(applied: Applied, slot: str, out: NDArray[np.bool_]) -> int:
    """The part among those that are out which comes nearest to passing; the first if none does."""
    places = np.flatnonzero(out)
    outcome = applied.outcome
    if not isinstance(outcome, Comparison) or len(places) == 1:
        return int(places[0])
    axis = applied.case.frame.slots.index(slot)
    # One after the other: over all combinations of a wide rule margins would fill the memory.
    every = (outcome.cut({axis: place}).margins for place in places[:, np.newaxis])
    best = [np.nan_to_num(margins, nan=-np.inf).max() for margins in every]
    return int(places[int(np.argmax(best))])


def _at(values: NDArray[np.float64], row: int) -> float | None:
    flat = np.asarray(values).reshape(-1)
    value = float(flat[row if flat.size > 1 else 0])
    return value if np.isfinite(value) else None


@dataclass(frozen=True, slots=True)
class Step:
    """One member of a conflict and what it takes out of what the members before it leave."""

    kind: Literal["rule", "pick", "without"]
    """rule, pick or without."""
    name: str
    """The rule's name, or the slot."""
    groups: tuple[Group, ...]
    """Parts that it takes out by itself; none if it only forbids combinations."""
    nearest: Miss | None
    """Its finding on what comes nearest to passing; for a pick that does not go together with what
    stands, the finding that says so; else None."""
    source: str
    """Where its limit or formula comes from."""
    asked: tuple[Datum, ...]
    """Values of the request behind it."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """A minimal set of rules, picks and exclusions that leaves no build."""

    steps: tuple[Step, ...]
    """The members, narrowest first."""
    emptied: tuple[str, ...]
    """Slots for which no part is left in the end; none if parts are left that do not go
    together."""
    left: Mapping[str, int]
    """Parts left by slot where none is emptied."""

    @property
    def members(self) -> frozenset[tuple[str, str]]:
        """Kind and name of each member."""
        return frozenset((step.kind, step.name) for step in self.steps)

    @property
    def asked(self) -> tuple[Datum, ...]:
        """Every value of the request behind the conflict, once."""
        return tuple({datum.field: datum for step in self.steps for datum in step.asked}.values())


@dataclass(frozen=True, slots=True)
class Conflicts:
    """The conflicts of a request."""

    found: tuple[Conflict, ...]
    """Different minimal ones."""
    complete: bool
    """True if there are no others."""
    catalog_alone: bool
    """True if the catalog has builds as long as nobody wishes anything."""
