"""Every part of every slot with its mark and the builds left if it were picked.

Counts come from one message pass a state, so a board costs milliseconds; reasons are dear and
are worked out for one part when somebody asks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from typing import TYPE_CHECKING, Any

from configurator.rules.finding import LISTED, State

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from configurator.catalog.parts import Part
    from configurator.workshop.answer import Answer


class Stand(Enum):
    """How a part stands in its slot; the value is the mark that shows it."""

    PICKED = "*"
    ONLY = "="
    OPEN = " "
    EXCLUDED = "-"
    OUT = "x"


STATE_MARKS: Mapping[State, str] = {
    State.FITS: ".",
    State.MARGINAL: "!",
    State.UNPROVEN: "?",
    State.RULED_OUT: "x",
}
"""The second mark: the best state of any build with the part."""


@dataclass(frozen=True)
class Option:
    """One part of a slot."""

    name: str
    title: str
    place: int
    """Its place among all parts of the slot."""
    stand: Stand
    state: State
    """Best state of any build with it under the other picks."""
    left: int
    """Builds left if it were picked."""

    @property
    def marks(self) -> str:
        """Two characters: how it stands, and its best state."""
        if self.stand is Stand.OUT:
            return "x "
        return f"{self.stand.value}{STATE_MARKS[self.state]}"


@dataclass(frozen=True, eq=False)
class Slot:
    """One slot of the board; its parts are laid out when somebody looks at them."""

    name: str
    """As in picks, `stator` or `a.stator`."""
    parts: Sequence[Part]
    live: NDArray[np.intp]
    """Places of the parts that no rule takes out alone, shape (live,)."""
    left: tuple[NDArray[Any], ...]
    """Builds up to each listed level if a live part were picked, shape (live,) each."""
    ever: NDArray[np.bool_]
    """Live parts that some build has without any pick, shape (live,)."""
    picked: str
    """Name of the picked part, or empty."""
    excluded: frozenset[str]

    @property
    def bare(self) -> str:
        """Its name without the side."""
        return self.name.rpartition(".")[2]

    @cached_property
    def open(self) -> int:
        """Parts that leave a build and are not excluded."""
        (able,) = self.left[-1].nonzero()
        if not self.excluded:
            return len(able)
        return sum(self.parts[place].name not in self.excluded for place in self.live[able])

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """The parts, first those that some build has without any pick, in their order."""
        found = {place: self._option(place, [0] * len(LISTED)) for place in range(len(self.parts))}
        able = []
        columns = [column.tolist() for column in self.left]
        for place, ever, *upto in zip(self.live.tolist(), self.ever, *columns, strict=True):
            option = self._option(place, upto)
            if ever:
                able.append(option)
                del found[place]
            else:
                found[place] = option
        return (*_only(able), *found.values())

    def _option(self, place: int, upto: Sequence[int]) -> Option:
        part = self.parts[place]
        stand = Stand.OPEN if upto[-1] else Stand.OUT
        if part.name in self.excluded:
            stand = Stand.EXCLUDED
        if part.name == self.picked:
            stand = Stand.PICKED
        levels = (level for level, count in zip(LISTED, upto, strict=True) if count)
        state = next(levels, State.RULED_OUT)
        return Option(part.name, part.title, place, stand, state, upto[-1])


@dataclass(frozen=True)
class Board:
    """All slots."""

    slots: tuple[Slot, ...]

    @cached_property
    def in_pairs(self) -> tuple[Slot, ...]:
        """The slots, both sides of a pair next to each other."""
        bare = [slot.bare for slot in self.slots]
        return tuple(sorted(self.slots, key=lambda slot: bare.index(slot.bare)))

    def slot(self, name: str) -> Slot | None:
        """The slot with this name."""
        return next((slot for slot in self.slots if slot.name == name), None)


def board_of(answer: Answer) -> Board:
    """Lay out the parts of an answer."""
    left = [answer.spaces[level].remaining(answer.picks) for level in LISTED]
    ever = answer.spaces[State.UNPROVEN].remaining({})
    question = answer.subject.question
    return Board(
        tuple(
            Slot(
                name=slot,
                parts=parts,
                live=answer.live[slot],
                left=tuple(each[slot] for each in left),
                ever=ever[slot] > 0,
                picked=question.picks.get(slot, ""),
                excluded=question.without.get(slot, frozenset()),
            )
            for slot, parts in answer.frame.parts.items()
        )
    )


def _only(options: list[Option]) -> list[Option]:
    """Say so where one part alone is left open."""
    able = [option for option in options if option.stand in (Stand.OPEN, Stand.PICKED)]
    left = [option for option in able if option.left]
    if len(left) != 1 or left[0].stand is Stand.PICKED:
        return options
    (last,) = left
    only = replace(last, stand=Stand.ONLY)
    return [only if option is last else option for option in options]
