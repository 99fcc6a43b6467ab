"""Which one new part would open most of the materials that no build serves, and what serves none.

Rows pass chunk by chunk and are forgotten; what is kept is which parts open which row.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import SLOTS
from configurator.rules.finding import State
from configurator.screen.chunk import Chunk, ListRow
from configurator.screen.gap_search import ChunkGaps, GapsAsked, Unread, Unserved
from configurator.screen.gaps_kept import GapsKept
from configurator.screen.hypothetical.part import Hypothetical
from configurator.screen.run import Pace, alone, chunks_of
from configurator.screen.sources import Entry
from configurator.units.display import plural

CHUNK = 256
"""Most rows that are looked at together."""

MIXING = "mixing"

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Ranked:
    """A hypothetical part and what it would open."""

    part: Hypothetical
    """The part."""
    opened: tuple[tuple[int, State], ...]
    """Places among the unserved rows, each with the state of its best build with the part."""
    further: int
    """How many of them no part that is ranked higher opens."""

    def count(self, state: State) -> int:
        """Rows whose best build with the part is in a state."""
        return sum(each is state for _, each in self.opened)


@dataclass(frozen=True)
class Gaps:
    """What a list says of a catalog."""

    catalog: Catalog
    """What can be built from."""
    processes: tuple[str, ...]
    """Their names."""
    strict: bool
    """True if only builds that fit count."""
    rows: int
    """Rows of the list."""
    unread: tuple[Unread, ...]
    """Rows that were passed over."""
    unserved: tuple[Unserved, ...]
    """Rows without a build that counts, once a process."""
    tried: int
    """Hypothetical parts."""
    ranked: tuple[Ranked, ...]
    """Those that open a row, from most rows to fewest."""
    refused: tuple[str, ...]
    """Those whose figures the physics refuses."""
    idle: Mapping[str, tuple[str, ...]]
    """By slot, names of the parts of the catalog that no row uses."""

    @property
    def closed(self) -> tuple[int, ...]:
        """Places of the unserved rows that no hypothetical part opens by itself."""
        opened = {place for each in self.ranked for place, _ in each.opened}
        return tuple(place for place in range(len(self.unserved)) if place not in opened)


Crew = Callable[[GapsAsked, Iterator[Chunk]], Generator[ChunkGaps]]
"""Whoever works: as for a screening."""


def find_gaps(
    entries: Iterable[Entry],
    asked: GapsAsked,
    crew: Crew = alone,
    tell: Tell | None = None,
    store: GapsKept | None = None,
) -> Gaps:
    """Find out what a catalog lacks for a list, and what it has in vain; a store has what is done."""
    pace, kept = Pace(most=CHUNK), dict[int, tuple[ListRow, ...]]()
    listed = (ListRow(each.number, each.line, (), each.material, each.fault) for each in entries)
    unread: list[Unread] = []
    unserved: list[Unserved] = []
    opened: dict[tuple[str, str], list[tuple[int, State]]] = {}
    idle = {s: {p.name for p in parts} for s, parts in asked.workshop.catalog.parts.items()}
    refused: set[str] = set()
    rows, two_part = 0, False
    if store is not None:
        store.pass_over(listed)
    with closing(_found(asked, crew, chunks_of(listed, pace, kept), kept, store)) as found:
        for here, each in found:
            if each.seconds:
                pace.heard(here, each.seconds)
            for part, places in each.opened.items():
                opened.setdefault(part, []).extend((len(unserved) + at, s) for at, s in places)
            unread += each.unread
            unserved += each.unserved
            refused.update(each.refused)
            idle = {slot: names & set(each.idle.get(slot, ())) for slot, names in idle.items()}
            rows, two_part = rows + here, two_part or each.two_part
            if tell is not None:
                tell(f"{plural(rows, 'row')}, {len(unserved)} without a build")
    # Whatever the chunks were: row by row, and process by process as they were named.
    names = [process.name for process in asked.processes]
    order = sorted(
        range(len(unserved)),
        key=lambda at: (unserved[at].number, names.index(unserved[at].process)),
    )
    place = {was: now for now, was in enumerate(order)}
    by_part = {e: sorted((place[at], s) for at, s in rows_of) for e, rows_of in opened.items()}
    return Gaps(
        catalog=asked.workshop.catalog,
        processes=tuple(names),
        strict=asked.strict,
        rows=rows,
        unread=tuple(sorted(unread, key=lambda each: each.number)),
        unserved=tuple(unserved[at] for at in order),
        tried=len(asked.parts),
        ranked=_ranked(asked.parts, by_part),
        refused=tuple(sorted(refused)),
        # Mixers are asked of two-part materials alone.
        idle={s: tuple(sorted(idle[s])) for s in SLOTS if idle[s] and (s != MIXING or two_part)},
    )


def _found(
    asked: GapsAsked,
    crew: Crew,
    chunks: Iterator[Chunk],
    kept: dict[int, tuple[ListRow, ...]],
    store: GapsKept | None,
) -> Generator[tuple[int, ChunkGaps]]:
    """How many rows each chunk has and what they say, those first that a store has."""
    if store is not None:
        yield from store.done
    with closing(crew(asked, chunks)) as found:
        for each in found:
            rows = kept.pop(each.number)
            if store is not None:
                store.add(rows, each)
            yield len(rows), each


def _ranked(
    parts: Iterable[Hypothetical], opened: Mapping[tuple[str, str], Sequence[tuple[int, State]]]
) -> tuple[Ranked, ...]:
    """The parts that open a row, from most rows to fewest."""
    found = [
        (part, opened[part.slot, part.name]) for part in parts if (part.slot, part.name) in opened
    ]
    found.sort(key=lambda each: _rank(*each))
    ranked, seen = [], set[int]()
    for part, rows in found:
        places = {place for place, _ in rows}
        ranked.append(Ranked(part, tuple(rows), len(places - seen)))
        seen |= places
    return tuple(ranked)


def _rank(part: Hypothetical, opened: Sequence[tuple[int, State]]) -> tuple[object, ...]:
    states = [state for _, state in opened]
    better = (-states.count(State.FITS), -states.count(State.MARGINAL))
    return -len(opened), *better, SLOTS.index(part.slot), part.name
