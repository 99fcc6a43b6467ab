"""What is asked, one need a line: a step tighter or looser, and what it is without the need.

A step is a quarter either way; it is there to feel which way a need pulls, not to advise.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from configurator.tui.document import Document, Draft, Kind, Lifted
from configurator.tui.form import Field, fields_of
from configurator.units.display import text_for
from configurator.units.grammar import UnitFault
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import Quantity, read_quantity

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


@dataclass(frozen=True)
class Need:
    """One thing that is asked."""

    key: str
    """Unique, as `process:tolerance` or `pick:stator`."""
    title: str
    """In words."""
    value: str
    """As typed."""
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
    pull, field = _pull(document, path), _field(document, path)
    if pull is None or pull == "drop" or field is None or field.kind is None or not field.text:
        return None
    try:
        quantity = read_quantity(field.text, field.kind, Basis.DATASHEET)
    except UnitFault:
        return None
    moved = _moved(quantity, pull, looser=looser)
    if moved is None or not field.kind.allows(moved):
        return None
    return draft.with_document(document.with_value(path, text_for(moved, field.kind)))


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
    if kind == "pick":
        left = {slot: part for slot, part in draft.picks.items() if slot != path}
        return _off(replace(draft, picks=left), need, need.value)
    if kind == "without":
        slot, _, part = path.partition("=")
        fewer = {**draft.without, slot: draft.without[slot] - {part}}
        kept = {slot: parts for slot, parts in fewer.items() if parts}
        return _off(replace(draft, without=kept), need, need.value)
    document = _document(draft, kind)
    if document is None:
        return None
    if ".constituents=" in path:
        return _without_constituent(draft, need, document, path)
    before = document.at(path)
    instead = _instead(document, path)
    if instead is NotImplemented:
        return None
    return _off(draft.with_document(document.with_value(path, instead)), need, before)


def restored(draft: Draft, need: Need) -> Draft | None:
    """The draft with a lifted need back; None if it was not lifted."""
    if need.key not in draft.lifted:
        return None
    before = draft.lifted[need.key].before
    rest = {key: entry for key, entry in draft.lifted.items() if key != need.key}
    draft = replace(draft, lifted=rest)
    kind, _, path = need.key.partition(":")
    if kind == "pick":
        return replace(draft, picks={**draft.picks, path: before})
    if kind == "without":
        slot = path.partition("=")[0]
        parts = draft.without.get(slot, frozenset()) | {before}
        return replace(draft, without={**draft.without, slot: parts})
    document = _document(draft, kind)
    if document is None:
        return None
    if ".constituents=" in path:
        whole = path.partition("=")[0]
        entries = [*(document.at(whole) or [])]
        place, entry = before
        entries.insert(place, entry)
        return draft.with_document(document.with_value(whole, entries))
    return draft.with_document(document.with_value(path, before))


def _without_constituent(draft: Draft, need: Need, document: Document, path: str) -> Draft | None:
    """Constituents go by name: their places move when one of them goes."""
    whole, _, name = path.partition("=")
    entries = document.at(whole) or []
    for place, entry in enumerate(entries):
        if entry.get("name") == name:
            changed = document.with_value(f"{whole}[{place}]", None)
            return _off(draft.with_document(changed), need, (place, entry))
    return None


def _off(draft: Draft, need: Need, before: Any) -> Draft:
    entry = Lifted(need.title, need.value, before)
    return replace(draft, lifted={**draft.lifted, need.key: entry})


def _instead(document: Document, path: str) -> Any:
    """What stands in a need's place when it is lifted: nothing, or the least that is accepted."""
    if path in LOOSEST:
        return LOOSEST[path]
    if _pull(document, path) == "narrow":
        field = _field(document, path)
        if field is None or field.kind is None:
            return NotImplemented
        try:
            quantity = read_quantity(field.text, field.kind, Basis.DATASHEET)
        except UnitFault:
            return NotImplemented
        return text_for(Interval.exact(quantity.nominal), field.kind)
    if path.startswith("deposit."):
        return NotImplemented  # a deposit without its speed or time is no deposit
    return None


def _paths(document: Document) -> Iterator[str]:
    """Paths of the needs that a document states."""
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
    words = path.removeprefix("component.").removeprefix("deposit.").removeprefix("carrier.")
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
