"""Which one new part would open most of the materials that no build serves, and what serves none.

Rows pass chunk by chunk and are forgotten; what is kept is which parts open which row.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import SLOTS
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.rules.finding import LISTED, State
from configurator.screen.hypothetical.every import hypothetical_parts
from configurator.screen.hypothetical.part import Hypothetical
from configurator.screen.judge import REFUSALS, Judge
from configurator.screen.openings import Idle, Look, Openings, batches, look
from configurator.screen.sources import Entry
from configurator.screen.verdict import NOT_READ, deciding_finding, reason_for_none
from configurator.workshop.workshop import Workshop

CHUNK = 256
"""Rows of the list that are held at once."""

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Unread:
    """A row that could not be read or not be judged."""

    number: int
    line: int
    fault: str


@dataclass(frozen=True, slots=True)
class Unserved:
    """A row of the list and a process for which no build counts."""

    number: int
    line: int
    """Of the row."""
    material: str
    process: str
    """Their names."""
    state: str
    """Of the best build: ruled out, or with `strict` also unproven or marginal."""
    reason: str
    """Why."""


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


@dataclass(frozen=True, slots=True)
class _Asked:
    """A row that was read, with the shop as it holds for it."""

    number: int
    line: int
    material: Material
    workshop: Workshop


def find_gaps(
    entries: Iterable[Entry],
    processes: Sequence[Process],
    workshop: Workshop,
    *,
    fixed: Collection[str] = (),
    strict: bool = False,
    tell: Tell | None = None,
) -> Gaps:
    """Find out what a catalog lacks for a list, and what it has in vain.

    No new part is thought of in fixed slots; if strict, only builds that fit count.
    """
    search = _Search(processes, workshop, fixed, strict=strict, tell=tell or (lambda _: None))
    unread: list[Unread] = []
    rows = 0
    remaining = iter(entries)
    while chunk := list(islice(remaining, CHUNK)):
        asked = []
        for entry in chunk:
            rows += 1
            if entry.material is None:
                unread.append(Unread(entry.number, entry.line, entry.fault))
            else:
                own = workshop.measured_on(entry.material)
                asked.append(_Asked(entry.number, entry.line, entry.material, own))
        unread += search.take(asked)
    return Gaps(
        catalog=workshop.catalog,
        processes=tuple(process.name for process in processes),
        strict=strict,
        rows=rows,
        unread=tuple(unread),
        unserved=tuple(search.unserved),
        tried=sum(len(batch.parts) for batch in search.batches),
        ranked=search.ranked(),
        refused=search.refused(),
        idle=search.idle_parts(),
    )


class _Search:
    """The rows so far: which are unserved, what opens them, what is in use."""

    def __init__(
        self,
        processes: Sequence[Process],
        workshop: Workshop,
        fixed: Collection[str],
        *,
        strict: bool,
        tell: Tell,
    ) -> None:
        self.processes = tuple(processes)
        self.workshop = workshop
        self.widest = State.FITS if strict else LISTED[-1]
        self.tell = tell
        self.parts = tuple(
            each
            for each in hypothetical_parts(workshop.catalog)
            if not set(each.parts) & set(fixed)
        )
        self.batches = batches(self.parts)
        self.unserved: list[Unserved] = []
        self.two_part = False
        self._opened: dict[tuple[str, str], list[tuple[int, State]]] = {}
        self._judges = [Judge(process, workshop) for process in self.processes]
        self._openings = [Openings(process, workshop, self.widest) for process in self.processes]
        self._idle = Idle(workshop, self.widest)

    def take(self, asked: Sequence[_Asked]) -> list[Unread]:
        """Take some rows; those that cannot be judged come back."""
        unread: list[Unread] = []
        self.two_part |= any(each.material.two_part for each in asked)
        for number, process in enumerate(self.processes):
            if asked:
                span = f"rows {asked[0].number} to {asked[-1].number} for {process.name}"
                self.tell(span)
            built: list[_Asked] = []
            closed: list[tuple[_Asked, int]] = []
            for each, state, reason in self._judged(number, asked):
                if state is None:
                    unread.append(Unread(each.number, each.line, reason))
                elif state <= self.widest:
                    built.append(each)
                else:
                    closed.append((each, len(self.unserved)))
                    self.unserved.append(
                        Unserved(
                            each.number,
                            each.line,
                            each.material.name,
                            process.name,
                            state.words,
                            reason,
                        )
                    )
            quick = [each for each in built if not self._by_hand(each)]
            self._idle.look(
                process, [each.material for each in quick], [each.workshop for each in quick]
            )
            self._open(number, closed)
        return unread

    def _by_hand(self, each: _Asked) -> bool:
        """Whether a row is judged by the long way from the first, which tells all at once."""
        return each.material.two_part

    def _judged(
        self, number: int, asked: Sequence[_Asked]
    ) -> Iterator[tuple[_Asked, State | None, str]]:
        """State of the best build of each row, with the reason; None for one not judged."""
        shared = [
            each for each in asked if each.workshop is self.workshop and not self._by_hand(each)
        ]
        judge = self._judges[number]
        told = dict(
            zip(map(id, shared), judge.verdicts([each.material for each in shared]), strict=True)
        )
        words = {state.words: state for state in State}
        for each in asked:
            if id(each) not in told:
                yield self._looked(number, each)
                continue
            verdict = told[id(each)]
            if verdict.state == NOT_READ:
                yield each, None, verdict.reason
            else:
                yield each, words[verdict.state], verdict.reason

    def _looked(self, number: int, each: _Asked) -> tuple[_Asked, State | None, str]:
        self.tell(f"row {each.number} for {self.processes[number].name}")
        try:
            looked = look(each.material, self.processes[number], each.workshop)
        except REFUSALS as error:
            return each, None, str(error).partition("\n")[0]
        if looked.best <= self.widest and self._by_hand(each):
            self._idle.heard(looked)
        return each, looked.best, _reason(looked)

    def _open(self, number: int, closed: Sequence[tuple[_Asked, int]]) -> None:
        materials = [each.material for each, _ in closed]
        workshops = [each.workshop for each, _ in closed]
        for batch in self.batches if closed else ():
            self.tell(f"{len(batch.parts)} of {batch.slot} for {self.processes[number].name}")
            for (_, place), found in zip(
                closed, self._openings[number].opened(materials, batch, workshops), strict=True
            ):
                for name, state in found.items():
                    self._opened.setdefault((batch.slot, name), []).append((place, state))

    def ranked(self) -> tuple[Ranked, ...]:
        """The parts that open a row, from most rows to fewest."""
        found = [
            (part, sorted(self._opened[part.slot, part.name]))
            for part in self.parts
            if (part.slot, part.name) in self._opened
        ]
        found.sort(key=lambda each: _rank(*each))
        ranked, seen = [], set[int]()
        for part, opened in found:
            places = {place for place, _ in opened}
            ranked.append(Ranked(part, tuple(opened), len(places - seen)))
            seen |= places
        return tuple(ranked)

    def refused(self) -> tuple[str, ...]:
        """Names of the parts whose figures the physics refuses."""
        return tuple(sorted(set().union(*(each.refused for each in self._openings))))

    def idle_parts(self) -> dict[str, tuple[str, ...]]:
        """Parts that no row uses; mixers are asked of two-part materials alone."""
        return {
            slot: names
            for slot, names in self._idle.left.items()
            if slot != "mixing" or self.two_part
        }


def _rank(part: Hypothetical, opened: Sequence[tuple[int, State]]) -> tuple[object, ...]:
    states = [state for _, state in opened]
    better = (-states.count(State.FITS), -states.count(State.MARGINAL))
    return -len(opened), *better, SLOTS.index(part.slot), part.name


def _reason(looked: Look) -> str:
    answer = looked.answer
    if answer.first is None:
        return reason_for_none(answer)
    deciding = deciding_finding(answer.first)
    return "" if deciding is None else f"{deciding.rule}: {deciding.reason}"
