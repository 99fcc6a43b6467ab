"""Some rows of a list: which no build serves, which new part would open them, what is in use."""

from __future__ import annotations

import time
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import Any

from configurator.request.material import Material
from configurator.request.process import Process
from configurator.rules.finding import LISTED, State
from configurator.screen.chunk import Chunk
from configurator.screen.hypothetical.every import hypothetical_parts
from configurator.screen.hypothetical.part import Hypothetical
from configurator.screen.judge import REFUSALS, Judge
from configurator.screen.openings import Idle, Look, Openings, batches, look
from configurator.screen.verdict import NOT_READ, deciding_finding, reason_for_none
from configurator.workshop.workshop import Workshop


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
class ChunkGaps:
    """What some rows that follow one another say."""

    number: int
    """Of the chunk."""
    unread: tuple[Unread, ...]
    unserved: tuple[Unserved, ...]
    opened: Mapping[tuple[str, str], tuple[tuple[int, State], ...]]
    """By slot and name of a hypothetical part, places among these unserved, each with its state."""
    idle: Mapping[str, Collection[str]]
    """By slot, parts that none of them uses, nor any that was looked at before."""
    refused: Collection[str]
    two_part: bool
    seconds: float
    """Time that it took."""


@dataclass(frozen=True, slots=True)
class _Shared:
    """A row that was read, with the shop as it holds for it."""

    number: int
    line: int
    material: Material
    workshop: Workshop


@dataclass(frozen=True)
class GapsAsked:
    """What is asked of every row of a list; no new part is thought of in fixed slots."""

    processes: tuple[Process, ...]
    workshop: Workshop
    fixed: frozenset[str] = frozenset()
    strict: bool = False
    """True if only builds that fit count."""

    @cached_property
    def parts(self) -> tuple[Hypothetical, ...]:
        """Hypothetical parts."""
        every = hypothetical_parts(self.workshop.catalog)
        return tuple(each for each in every if not set(each.parts) & self.fixed)

    @cached_property
    def _search(self) -> _Search:
        return _Search(self)

    def __getstate__(self) -> dict[str, Any]:
        return {each.name: getattr(self, each.name) for each in fields(self)}

    def judged(self, chunk: Chunk) -> ChunkGaps:
        """What the rows of a chunk say."""
        return self._search.take(chunk)


class _Search:
    """What is worked out once for all rows, and which parts are in use so far."""

    def __init__(self, asked: GapsAsked) -> None:
        self.processes, self.workshop = asked.processes, asked.workshop
        self.widest = State.FITS if asked.strict else LISTED[-1]
        self.batches = batches(asked.parts)
        self._judges = [Judge(process, self.workshop) for process in self.processes]
        self._openings = [Openings(each, self.workshop, self.widest) for each in self.processes]
        self._idle = Idle(self.workshop, self.widest)

    def take(self, chunk: Chunk) -> ChunkGaps:
        """Look at some rows."""
        start = time.perf_counter()
        unread = [Unread(e.number, e.line, e.fault) for e in chunk.rows if e.material is None]
        asked = [
            _Shared(each.number, each.line, each.material, self.workshop.measured_on(each.material))
            for each in chunk.rows
            if each.material is not None
        ]
        unserved: list[Unserved] = []
        opened: dict[tuple[str, str], list[tuple[int, State]]] = {}
        for number, process in enumerate(self.processes):
            built: list[_Shared] = []
            closed: list[tuple[_Shared, int]] = []
            for each, state, reason in self._judged(number, asked):
                if state is None:
                    unread.append(Unread(each.number, each.line, reason))
                elif state <= self.widest:
                    built.append(each)
                else:
                    closed.append((each, len(unserved)))
                    unserved.append(
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
            self._open(number, closed, opened)
        return ChunkGaps(
            number=chunk.number,
            unread=tuple(unread),
            unserved=tuple(unserved),
            opened={part: tuple(sorted(places)) for part, places in opened.items()},
            idle=self._idle.left,
            refused=set().union(*(each.refused for each in self._openings)),
            two_part=any(each.material.two_part for each in asked),
            seconds=time.perf_counter() - start,
        )

    def _by_hand(self, each: _Shared) -> bool:
        """Whether a row is judged by the long way from the first, which tells all at once."""
        return each.material.two_part

    def _judged(
        self, number: int, asked: Sequence[_Shared]
    ) -> Iterator[tuple[_Shared, State | None, str]]:
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

    def _looked(self, number: int, each: _Shared) -> tuple[_Shared, State | None, str]:
        try:
            looked = look(each.material, self.processes[number], each.workshop)
        except REFUSALS as error:
            return each, None, str(error).partition("\n")[0]
        if looked.best <= self.widest and self._by_hand(each):
            self._idle.heard(looked)
        return each, looked.best, _reason(looked)

    def _open(
        self,
        number: int,
        closed: Sequence[tuple[_Shared, int]],
        opened: dict[tuple[str, str], list[tuple[int, State]]],
    ) -> None:
        materials = [each.material for each, _ in closed]
        workshops = [each.workshop for each, _ in closed]
        for batch in self.batches if closed else ():
            for (_, place), found in zip(
                closed, self._openings[number].opened(materials, batch, workshops), strict=True
            ):
                for name, state in found.items():
                    opened.setdefault((batch.slot, name), []).append((place, state))


def _reason(looked: Look) -> str:
    answer = looked.answer
    if answer.first is None:
        return reason_for_none(answer)
    deciding = deciding_finding(answer.first)
    return "" if deciding is None else f"{deciding.rule}: {deciding.reason}"
