"""What is asked, one need a line: what it costs in builds, and a step tighter or looser.

A step is a quarter either way; it is there to feel which way a need pulls, not to advise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from configurator.errors import InputError
from configurator.request.question import Question
from configurator.tui.document import Document, Draft, Kind, Lifted
from configurator.tui.form import Field, fields_of
from configurator.tui.looks import short_count
from configurator.units.dimension import Kind as QuantityKind
from configurator.units.display import text_for
from configurator.units.grammar import UnitFault
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import Quantity, read_quantity

if TYPE_CHECKING:
    from configurator.workshop.answer import Answer

STEP = 1.25
"""Factor of one step."""

Pull = Literal["more", "less", "narrow", "drop"]

PULLS: Mapping[Kind, Mapping[str, Pull]] = {
    "process": {
        "deposit.flow": "narrow",
        "deposit.path_speed": "less",
        "deposit.dispense_time": "more",
        "deposit.fill_time": "more",
        "tolerance": "more",
        "temperature": "narrow",
        "feed_pressure": "more",
        "back_pressure": "less",
        "longest_stop": "less",
        "reach": "less",
        "tip_outside_diameter_max": "more",
        "control": "drop",
        "mixing_quality": "more",
        "explosive_atmosphere": "drop",
        "production.cycle_time": "less",
        "production.waste_max": "more",
        "carrier.payload": "more",
        "carrier.moment": "more",
    },
    "material": {
        "flow.batch_spread": "less",
        "filler.d99": "less",
        "filler": "drop",
        "sensitive_to": "drop",
    },
}
"""Which way a need gets looser: a higher or lower value, a narrower range, or not at all."""

LOOSEST: Mapping[str, str] = {"tolerance": "50 %", "feed_pressure": "400 bar"}
"""What a need that a file has to state becomes when it is lifted: the end of what is accepted."""

WAYS = ("off", "looser", "tighter")

Key = tuple[str, str]
"""A need's key and a way."""


@dataclass(frozen=True)
class Need:
    """One thing that is asked."""

    key: str
    """Unique, as `process:tolerance` or `pick:stator`."""
    title: str
    value: str
    lifted: bool = False
    """True while it is switched off."""


def needs_of(draft: Draft) -> tuple[Need, ...]:
    """Every need of a draft in the order of its files, then the picks, then what is lifted."""
    standing = [
        Need(f"{document.kind}:{path}", _title(path), _shown(document, path))
        for document in (draft.process, draft.material)
        if document is not None
        for path in _paths(document)
    ]
    standing += [Need(f"pick:{slot}", f"pick {slot}", part) for slot, part in draft.picks.items()]
    standing += [
        Need(f"without:{slot}={part}", f"without {slot}", part)
        for slot, parts in draft.without.items()
        for part in sorted(parts)
    ]
    off = [
        Need(key, lifted.title, lifted.words, lifted=True) for key, lifted in draft.lifted.items()
    ]
    return (*(need for need in standing if need.key not in draft.lifted), *off)


def stepped(draft: Draft, need: Need, *, looser: bool) -> Draft | None:
    """The draft with one need a step looser or tighter; None where it has no steps."""
    kind, _, path = need.key.partition(":")
    document = _document(draft, kind)
    if need.lifted or document is None:
        return None
    pull, stated = _pull(document, path), _quantity(document, path)
    if pull is None or pull == "drop" or stated is None:
        return None
    quantity, kind_of = stated
    moved = _moved(quantity, pull, looser=looser)
    if moved is None or not kind_of.allows(moved):
        return None
    return draft.with_document(document.with_value(path, text_for(moved, kind_of)))


def _quantity(document: Document, path: str) -> tuple[Quantity, QuantityKind] | None:
    """What a field states, if it is a quantity that can be read."""
    field = _field(document, path)
    if field is None or field.kind is None or not field.text:
        return None
    try:
        return read_quantity(field.text, field.kind, Basis.DATASHEET), field.kind
    except UnitFault:
        return None


def _moved(quantity: Quantity, pull: Pull, *, looser: bool) -> Interval | None:
    interval = quantity.interval
    if pull == "narrow":
        if interval.is_exact:
            return None
        factor = 1 / STEP if looser else STEP
        return Interval(
            interval.nominal - (interval.nominal - interval.low) * factor,
            interval.nominal,
            interval.nominal + (interval.high - interval.nominal) * factor,
        )
    return interval.scaled(STEP if looser == (pull == "more") else 1 / STEP)


def lifted(draft: Draft, need: Need) -> Draft | None:
    """The draft without a need; None where it cannot be taken away."""
    kind, _, path = need.key.partition(":")
    document = _document(draft, kind)
    instead = None if document is None else _instead(document, path)
    swapped = None if instead is NotImplemented else _swapped(draft, need.key, instead)
    if swapped is None:
        return None
    changed, before = swapped
    entry = Lifted(need.title, need.value, before)
    return replace(changed, lifted={**draft.lifted, need.key: entry})


def restored(draft: Draft, need: Need) -> Draft | None:
    """The draft with a lifted need back; None if it was not lifted."""
    if need.key not in draft.lifted:
        return None
    rest = {key: entry for key, entry in draft.lifted.items() if key != need.key}
    swapped = _swapped(replace(draft, lifted=rest), need.key, draft.lifted[need.key].before)
    return None if swapped is None else swapped[0]


def _swapped(draft: Draft, key: str, value: Any) -> tuple[Draft, Any] | None:
    """The draft with a value where a need stands, None for nothing, and what stood there before."""
    kind, _, path = key.partition(":")
    place, _, name = path.partition("=")
    if kind == "pick":
        picks = {slot: part for slot, part in draft.picks.items() if slot != path}
        picks |= {} if value is None else {path: value}
        return replace(draft, picks=picks), draft.picks.get(path)
    if kind == "without":
        held = draft.without.get(place, frozenset())
        parts = {**draft.without, place: held - {name} if value is None else held | {name}}
        return replace(draft, without={slot: left for slot, left in parts.items() if left}), name
    document = _document(draft, kind)
    if document is None:
        return None
    if ".constituents=" not in path:
        return draft.with_document(document.with_value(path, value)), document.at(path)
    # Constituents go by name: their places move when one of them goes.
    entries = list(document.at(place) or [])
    if value is not None:
        entries.insert(*value)
        return draft.with_document(document.with_value(place, entries)), None
    at = [entry.get("name") for entry in entries].index(name)
    return draft.with_document(document.with_value(f"{place}[{at}]", None)), (at, entries[at])


def _instead(document: Document, path: str) -> Any:
    """What stands in a need's place when it is lifted: nothing, or the least that is accepted."""
    if path in LOOSEST:
        return LOOSEST[path]
    if _pull(document, path) == "narrow":
        stated = _quantity(document, path)
        if stated is None:
            return NotImplemented
        return text_for(Interval.exact(stated[0].nominal), stated[1])
    if path.startswith("deposit."):
        return NotImplemented  # a deposit without its speed or time is no deposit
    return None


def _paths(document: Document) -> Iterator[str]:
    for field in fields_of(document):
        path = field.path
        if _pull(document, path) is None:
            if ".constituents[" in path and path.endswith("].name") and field.text:
                yield f"{path.rpartition('[')[0]}={field.text}"
        elif document.at(path) not in (None, False, [], {}):
            yield path


def _pull(document: Document, path: str) -> Pull | None:
    below = path
    if document.kind == "material":
        side, _, below = path.partition(".")
        if side not in ("component", "a", "b"):
            return None
    return PULLS[document.kind].get(below)


def _title(path: str) -> str:
    words = (
        path.removeprefix("component.")
        .removeprefix("deposit.")
        .removeprefix("carrier.")
        .removeprefix("production.")
    )
    side, _, below = words.partition(".")
    if side in ("a", "b"):
        return f"{side}: {_title(below)}"
    if words.startswith("constituents="):
        return "contains"
    return words.replace(".", " ").replace("_", " ")


def _shown(document: Document, path: str) -> str:
    if ".constituents=" in path:
        return path.partition("=")[2]
    value = document.at(path)
    if isinstance(value, Mapping):
        named = value.get("name", value.get("value", ""))
        return named if isinstance(named, str) else ""
    field = _field(document, path)
    return "" if field is None else field.text


def _field(document: Document, path: str) -> Field | None:
    return next((field for field in fields_of(document) if field.path == path), None)


def _document(draft: Draft, kind: str) -> Document | None:
    return {"material": draft.material, "process": draft.process}.get(kind)


class NeedCounts:
    """What is known of a draft with so many builds; another draft needs another ledger."""

    def __init__(self, draft: Draft, now: int) -> None:
        self.draft = draft
        self.now = now
        self._found: dict[Key, int | str] = {}

    def get(self, key: str, way: str) -> int | None:
        """A count; None until it is there, or where there is none."""
        found = self._found.get((key, way))
        return found if isinstance(found, int) else None

    def note(self, key: str, way: str) -> str:
        """What stands in place of a count."""
        found = self._found.get((key, way), "~")
        return found if isinstance(found, str) else ""

    def take(self, key: str, way: str, count: int | str) -> None:
        """Remember a count, or why there is none."""
        self._found[key, way] = count

    def gained(self, count: int) -> str:
        """The difference to now, with its sign; empty if there is none."""
        if count == self.now:
            return ""
        sign = "+" if count > self.now else "-"
        return f"{sign}{short_count(abs(count - self.now))}"

    def missing(self, first: Need | None) -> Iterator[tuple[Need, str]]:
        """What is not counted yet: all of the need at hand, then each need off."""
        if first is not None and not first.lifted:
            for way in WAYS:
                if (first.key, way) not in self._found:
                    yield first, way
        for need in needs_of(self.draft):
            if not need.lifted and (need.key, "off") not in self._found:
                yield need, "off"


def counted(
    draft: Draft, need: Need, way: str, configured: Callable[[Question], Answer]
) -> int | str:
    """Count a draft with one need off, looser or tighter; words where that is no question."""
    changed = lifted(draft, need) if way == "off" else stepped(draft, need, looser=way == "looser")
    if changed is None:
        return "has to be" if way == "off" else "no step"
    question, faults = changed.question(parts=False)
    if question is None:
        return f"not alone: {faults[0].field}" if faults else "no question"
    try:
        base = configured(question)
    except InputError as error:
        return error.faults[0].accepted
    return base.with_question(replace(question, picks=changed.picks, without=changed.without)).count
