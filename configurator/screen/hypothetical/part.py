"""A hypothetical part: what it is, what it was derived from, and by which rule."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Part

LONGEST_NAME = 40
LONGEST_TITLE = 120
LONGEST_NOTE = 400

Kind = TypeVar("Kind", bound=Part)


@dataclass(frozen=True, slots=True)
class Derivation:
    """A rule that makes parts of parts."""

    name: str
    """In a few words."""
    says: str
    """What it does, in a sentence for the documents."""


@dataclass(frozen=True, slots=True)
class Hypothetical:
    """A part that the catalog does not have; nothing says that it can be made."""

    slot: str
    """Where it stands; `size` for a size with all that is made for it."""
    name: str
    """Unlike any name of the slot."""
    rule: str
    """Name of the rule that made it."""
    parent: str
    """The existing part that it was derived from."""
    change: str
    """What is different, in words."""
    parts: Mapping[str, tuple[Part, ...]]
    """What is added to the catalog, by slot: one part, but for a size."""

    @property
    def is_set(self) -> bool:
        """True for a size, which comes with parts of its own in other slots."""
        return len(self.parts) > 1


def with_added(catalog: Catalog, parts: Mapping[str, Iterable[Part]]) -> Catalog:
    """Return a catalog with more parts in some slots."""
    added = {slot: (*catalog.parts[slot], *more) for slot, more in parts.items()}
    return replace(catalog, parts={**catalog.parts, **added})


def with_only(catalog: Catalog, parts: Mapping[str, Iterable[Part]]) -> Catalog:
    """Return a catalog with other parts, and no more, in some slots."""
    return replace(
        catalog, parts={**catalog.parts, **{slot: tuple(p) for slot, p in parts.items()}}
    )


def derived(parent: Kind, mark: str, change: str, figures: Mapping[str, object]) -> Kind:
    """Return a part like another one, with other figures."""
    suffix = f"+{mark}"
    note = f"Hypothetical, made by rule from {parent.name}: {change}."
    return parent.model_copy(
        update={
            "name": f"{parent.name[: LONGEST_NAME - len(suffix)]}{suffix}",
            "title": f"Hypothetical: {parent.title}"[:LONGEST_TITLE],
            "note": note[:LONGEST_NOTE],
            **figures,
        }
    )


def single(
    rule: Derivation, parent: Part, mark: str, change: str, figures: Mapping[str, object]
) -> Hypothetical:
    """Return a part like another one, with other figures, by itself."""
    part, slot = derived(parent, mark, change, figures), parent.slot
    return Hypothetical(slot, part.name, rule.name, parent.name, change, {slot: (part,)})


def told_apart(made: Iterable[Hypothetical], catalog: Catalog) -> list[Hypothetical]:
    """Give each part a name of its own in its slot; of parts with equal figures keep the first."""
    taken = {slot: {part.name for part in parts} for slot, parts in catalog.parts.items()}
    known = {slot: {figures_of(part) for part in parts} for slot, parts in catalog.parts.items()}
    kept = []
    for each in made:
        if not each.is_set:
            (part,) = each.parts[each.slot]
            figures = figures_of(part)
            if figures in known[each.slot]:
                continue
            known[each.slot].add(figures)
        kept.append(_named(each, taken))
    return kept


def _named(each: Hypothetical, taken: Mapping[str, set[str]]) -> Hypothetical:
    parts = {}
    for slot, added in each.parts.items():
        named = []
        for part in added:
            name, number = part.name, 1
            while name in taken[slot]:
                number += 1
                suffix = f"-{number}"
                name = f"{part.name[: LONGEST_NAME - len(suffix)]}{suffix}"
            taken[slot].add(name)
            named.append(part if name == part.name else part.model_copy(update={"name": name}))
        parts[slot] = tuple(named)
    return replace(each, name=parts[each.slot][0].name, parts=parts)


def figures_of(part: Part) -> str:
    """Return all that a part states but its words and its cost, to find parts that are alike."""
    told = part.model_dump(mode="json", exclude={"name", "title", "note", "cost_index"})
    return repr(_plain(told))


def _plain(value: object) -> object:
    """Figures without the words that they were typed with."""
    if isinstance(value, dict):
        if "unit" in value:
            return [f"{value[end]:.9g}" for end in ("low", "nominal", "high")]
        return {key: _plain(entry) for key, entry in value.items()}
    return [_plain(entry) for entry in value] if isinstance(value, list) else value
