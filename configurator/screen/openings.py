"""Which parts are in a build of a material, which of a catalog are in none, and what would open it.

All of it is exact. *Looking* at a material takes the long way, and what that leaves in every slot
is in a build. Each material with builds is looked at until several in a row have put no further
part to use. From then on the quick judge is asked first, with nothing but the idle parts in one
slot after the other: a material that has no build then uses none of them.

Hypothetical parts of one slot are judged together, since a build holds one of them: with nothing
but them in their slot, what is left of each is what the catalog with it alone would give that it
does not give now. What the quick judge shows to be closed to all of them is not looked at further.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from configurator.catalog.parts import SLOTS, Part
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.finding import LISTED, State
from configurator.screen.hypothetical.part import Hypothetical, with_added, with_only
from configurator.screen.judge import REFUSALS, Judge
from configurator.screen.verdict import NOT_READ, Verdict
from configurator.workshop.answer import Answer
from configurator.workshop.workshop import Workshop

PATIENCE = 8
"""Looks in a row without news after which the quick judge is asked first."""


@dataclass(frozen=True)
class Look:
    """One material, one process and one catalog, by the long way."""

    answer: Answer
    """What the workshop says."""

    @property
    def best(self) -> State:
        """State of the best build; ruled out if there is none."""
        counts = self.answer.counts
        return next((level for level in LISTED if counts[level]), State.RULED_OUT)

    def parts_used(self, level: State) -> frozenset[tuple[str, str]]:
        """Return slot and name of the parts that stand in a build of a level or better."""
        if not self._built(level):
            return frozenset()
        left = self.answer.spaces[level].remaining()
        return frozenset(
            (slot.rpartition(".")[2], name)
            for slot, names in self._names().items()
            for name, count in zip(names, left[slot], strict=True)
            if count
        )

    def best_with_one(self, slot: str, names: Iterable[str], widest: State) -> dict[str, State]:
        """Return the best build's state for each of several parts that are tried; none, no entry.

        A build may hold that part on both sides, and no other part that is tried. Builds of the
        widest level or better count.
        """
        tried = frozenset(names)
        places = [each for each in self._names() if each.rpartition(".")[2] == slot]
        found: dict[str, State] = {}
        for level in (each for each in LISTED if each <= widest):
            if self._built(level):
                for name in self._with_one(level, places, tried):
                    found.setdefault(name, level)
        return found

    def _with_one(self, level: State, places: list[str], tried: frozenset[str]) -> list[str]:
        """Names of the tried parts that have a build up to a level."""
        space, live = self.answer.spaces[level], self._names()
        if len(places) == 1:
            (place,) = places
            left = space.remaining()[place]
            named = zip(live[place], left, strict=True)
            return [name for name, count in named if count and name in tried]

        def having(allowed: frozenset[str]) -> int:
            """Builds whose parts of this slot are existing ones or of the allowed."""
            out = tried - allowed
            return space.count(
                {
                    place: frozenset(at for at, name in enumerate(live[place]) if name not in out)
                    for place in places
                }
            )

        before = having(frozenset())
        there = tried.intersection(name for place in places for name in live[place])
        return [name for name in sorted(there) if having(frozenset({name})) > before]

    def _built(self, level: State) -> bool:
        return any(self.answer.counts[each] for each in LISTED if each <= level)

    def _names(self) -> dict[str, list[str]]:
        frame = self.answer.frame
        return {
            slot: [frame.parts[slot][place].name for place in places]
            for slot, places in self.answer.live.items()
        }


def look(material: Material, process: Process, workshop: Workshop) -> Look:
    """Judge one material by the long way, and keep all of it."""
    return Look(workshop.answer(Question(material, process)))


def _counts(verdict: Verdict, widest: State) -> bool:
    """Whether a build that counts is left; what could not be judged has to be looked at."""
    if verdict.state == NOT_READ:
        return True
    return verdict.fits > 0 if widest is State.FITS else verdict.builds > 0


@dataclass
class Idle:
    """Parts that no build has been seen with yet."""

    workshop: Workshop
    """What can be built from, and what was measured."""
    widest: State
    """Builds of which level count: fits, or unproven for any at all."""
    patience: int = PATIENCE
    """Looks in a row without news after which the quick judge is asked first."""
    _left: dict[str, set[str]] = field(init=False)
    _judges: dict[tuple[int, str], tuple[frozenset[str], Judge]] = field(
        default_factory=dict, init=False, repr=False
    )
    _in_vain: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        self._left = {
            slot: {part.name for part in parts}
            for slot, parts in self.workshop.catalog.parts.items()
        }

    @property
    def left(self) -> dict[str, tuple[str, ...]]:
        """By slot, names of the parts that nothing uses; slots without any are left out."""
        return {slot: tuple(sorted(self._left[slot])) for slot in SLOTS if self._left[slot]}

    def heard(self, looked: Look) -> None:
        """Strike out what a material uses."""
        news = False
        for slot, name in looked.parts_used(self.widest):
            # A part of a measured head keeps its name.
            if name in self._left[slot]:
                self._left[slot].discard(name)
                news = True
        self._in_vain = 0 if news else self._in_vain + 1

    def look(
        self, process: Process, materials: Sequence[Material], workshops: Sequence[Workshop]
    ) -> None:
        """Strike out what some materials with builds use, each in the shop as it holds for it."""
        waiting = []
        for material, own in zip(materials, workshops, strict=True):
            quick = not material.two_part and own is self.workshop and not own.evidence.records
            if quick and self._in_vain >= self.patience:
                waiting.append(material)
            else:
                self.heard(look(material, process, own))
        for slot in SLOTS:
            self._sift(process, slot, waiting)

    def _sift(self, process: Process, slot: str, materials: Sequence[Material]) -> None:
        """Look at those that use an idle part of a slot, until none does."""
        waiting = list(materials)
        while waiting and self._left[slot] and slot != "mixing":
            verdicts = self._judge(process, slot).verdicts(waiting)
            waiting = [
                material
                for material, verdict in zip(waiting, verdicts, strict=True)
                if _counts(verdict, self.widest)
            ]
            if waiting:
                self.heard(look(waiting.pop(0), process, self.workshop))

    def _judge(self, process: Process, slot: str) -> Judge:
        """A judge whose catalog has the idle parts alone in one slot."""
        left = frozenset(self._left[slot])
        known = self._judges.get((id(process), slot))
        if known is None or known[0] != left:
            parts = [part for part in self.workshop.catalog.parts[slot] if part.name in left]
            known = left, Judge(process, Workshop(with_only(self.workshop.catalog, {slot: parts})))
            self._judges[id(process), slot] = known
        return known[1]


@dataclass(frozen=True, eq=False)
class Batch:
    """Hypothetical parts that are judged together: those of one slot, or one set."""

    parts: tuple[Hypothetical, ...]
    """All of one slot and single, or one set alone."""

    @property
    def slot(self) -> str:
        """The slot in which they stand."""
        return self.parts[0].slot

    def alone_in(self, workshop: Workshop) -> Workshop:
        """The shop with nothing else in their slot; for a set, in all of its slots."""
        return replace(workshop, catalog=with_only(workshop.catalog, self._added()))

    def beside_in(self, workshop: Workshop) -> Workshop:
        """The shop with them as well."""
        return replace(workshop, catalog=with_added(workshop.catalog, self._added()))

    def _added(self) -> dict[str, list[Part]]:
        added: dict[str, list[Part]] = {}
        for each in self.parts:
            for slot, parts in each.parts.items():
                added.setdefault(slot, []).extend(parts)
        return added


def batches(parts: Iterable[Hypothetical]) -> tuple[Batch, ...]:
    """Sort hypothetical parts into batches, in their order."""
    by_slot: dict[str, list[Hypothetical]] = {}
    sets: list[Batch] = []
    for each in parts:
        if each.is_set:
            sets.append(Batch((each,)))
        else:
            by_slot.setdefault(each.slot, []).append(each)
    return (*(Batch(tuple(found)) for found in by_slot.values()), *sets)


@dataclass
class Openings:
    """Hypothetical parts for one process, ready for any number of materials."""

    process: Process
    workshop: Workshop
    """What can be built from as it is, and what was measured."""
    widest: State
    """Builds of which level count: fits, or unproven for any at all."""
    refused: set[str] = field(default_factory=set)
    """Names of parts whose figures the physics refuses."""
    _judges: dict[Batch, Judge] = field(default_factory=dict, init=False, repr=False)

    def opened(
        self, materials: Sequence[Material], batch: Batch, workshops: Sequence[Workshop]
    ) -> list[dict[str, State]]:
        """Return for each material the parts of a batch that open it, with the best state.

        None of the materials has a build that counts; each comes with the shop as it holds for it.
        """
        found: list[dict[str, State]] = [{} for _ in materials]
        if batch.slot == "mixing":
            places = [at for at, each in enumerate(materials) if each.two_part]
        else:
            places = self._not_closed(materials, batch, workshops)
        for at in places:
            found[at] = self._by_part(materials[at], batch, workshops[at])
        return found

    def _not_closed(
        self, materials: Sequence[Material], batch: Batch, workshops: Sequence[Workshop]
    ) -> list[int]:
        """Places of the materials that the quick judge does not show to be closed to all parts."""
        quick = [
            at
            for at, material in enumerate(materials)
            if not material.two_part and workshops[at] is self.workshop
            if not self.workshop.evidence.records
        ]
        verdicts: dict[int, Verdict] = {}
        if quick:
            if batch not in self._judges:
                self._judges[batch] = Judge(self.process, batch.alone_in(self.workshop))
            told = self._judges[batch].verdicts([materials[at] for at in quick])
            verdicts = dict(zip(quick, told, strict=True))
        return [
            at
            for at in range(len(materials))
            if at not in verdicts or _counts(verdicts[at], self.widest)
        ]

    def _by_part(self, material: Material, batch: Batch, workshop: Workshop) -> dict[str, State]:
        other = batch.beside_in(workshop) if material.two_part else batch.alone_in(workshop)
        names = [each.name for each in batch.parts]
        try:
            looked = look(material, self.process, other)
            return looked.best_with_one(batch.slot, names, self.widest)
        except REFUSALS:
            if len(batch.parts) == 1:
                self.refused.update(names)
                return {}
        found: dict[str, State] = {}
        for each in batch.parts:
            found |= self._by_part(material, Batch((each,)), workshop)
        return found
