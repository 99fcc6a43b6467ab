"""Which parts are in a build of a material, exact: what the long way leaves in every slot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.finding import LISTED, State
from configurator.workshop.answer import Answer
from configurator.workshop.workshop import Workshop

Part = tuple[str, str]
"""A slot of the catalog and the name of a part."""


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

    def parts_used(self, level: State) -> frozenset[Part]:
        """Return the parts that stand in a build of a level or better, on either side.

        Parameters
        ----------
        level : State
            Fits, or unproven for any build at all.
        """
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
        """Return the state of the best build with one of several parts that are tried.

        A build may hold that part on both sides, and no other part that is tried.

        Parameters
        ----------
        slot : str
            Of the catalog.
        names : iterable of str
            The parts that are tried.
        widest : State
            Builds of which level count: fits, or unproven for any.

        Returns
        -------
        dict of str to State
            Parts with a build; the others are left out.
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
        """Names of the live parts of each slot."""
        frame = self.answer.frame
        return {
            slot: [frame.parts[slot][place].name for place in places]
            for slot, places in self.answer.live.items()
        }


def look(material: Material, process: Process, workshop: Workshop) -> Look:
    """Judge one material by the long way, and keep all of it.

    Parameters
    ----------
    material, process : Material, Process
        What is asked.
    workshop : Workshop
        Who answers.
    """
    return Look(workshop.answer(Question(material, process)))
