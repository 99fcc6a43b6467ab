"""Every part of every slot with its mark and the builds left if it were picked.

Counts come from one message pass a state, so a board costs milliseconds; reasons are dear and
are worked out for one part when somebody asks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from configurator.rules.finding import LISTED, State

if TYPE_CHECKING:
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
    """One part of a slot.

    Attributes
    ----------
    name, title : str
        Of the part.
    place : int
        Its place among all parts of the slot.
    stand : Stand
        Picked, the only one left, open, excluded, or out.
    state : State
        Best state of any build with it under the other picks.
    left : int
        Builds left if it were picked.
    """

    name: str
    title: str
    place: int
    stand: Stand
    state: State
    left: int

    @property
    def marks(self) -> str:
        """Two characters: how it stands, and its best state."""
        if self.stand is Stand.OUT:
            return "x "
        return f"{self.stand.value}{STATE_MARKS[self.state]}"


@dataclass(frozen=True)
class Slot:
    """One slot of the board.

    Attributes
    ----------
    name : str
        As in picks, `stator` or `a.stator`.
    options : tuple of Option
        Those that some build has without any pick first, in the order of their names.
    picked : str
        Name of the picked part, or empty.
    """

    name: str
    options: tuple[Option, ...]
    picked: str

    @property
    def open(self) -> int:
        """Parts that leave a build and are not excluded."""
        return sum(
            option.left > 0 and option.stand is not Stand.EXCLUDED for option in self.options
        )


@dataclass(frozen=True)
class Board:
    """All slots."""

    slots: tuple[Slot, ...]

    def slot(self, name: str) -> Slot | None:
        """The slot with this name."""
        return next((slot for slot in self.slots if slot.name == name), None)


def board_of(answer: Answer) -> Board:
    """Lay out the parts of an answer."""
    left = {level: answer.spaces[level].remaining(answer.picks) for level in LISTED}
    ever = answer.spaces[State.UNPROVEN].remaining({})
    question = answer.subject.question
    slots = []
    for slot, parts in answer.frame.parts.items():
        value_at = {int(place): value for value, place in enumerate(answer.live[slot])}
        excluded = question.without.get(slot, frozenset())
        counts = {level: left[level][slot] for level in LISTED}
        found = []
        for place, part in enumerate(parts):
            value = value_at.get(place)
            upto = [0 if value is None else int(counts[level][value]) for level in LISTED]
            state = next(
                (level for level, count in zip(LISTED, upto, strict=True) if count),
                State.RULED_OUT,
            )
            picked = question.picks.get(slot) == part.name
            stand = _stand(upto[-1], picked=picked, excluded=part.name in excluded)
            found.append(Option(part.name, part.title, place, stand, state, upto[-1]))
        able = {place for place, value in value_at.items() if ever[slot][value]}
        live = [option for option in found if option.place in able]
        dead = [option for option in found if option.place not in able]
        slots.append(Slot(slot, (*_only(live), *dead), question.picks.get(slot, "")))
    return Board(tuple(slots))


def _stand(left: int, *, picked: bool, excluded: bool) -> Stand:
    if picked:
        return Stand.PICKED
    if excluded:
        return Stand.EXCLUDED
    return Stand.OPEN if left else Stand.OUT


def _only(options: list[Option]) -> list[Option]:
    """Say so where one part alone is left open."""
    able = [option for option in options if option.stand in (Stand.OPEN, Stand.PICKED)]
    left = [option for option in able if option.left]
    if len(left) != 1 or left[0].stand is Stand.PICKED:
        return options
    (last,) = left
    only = Option(last.name, last.title, last.place, Stand.ONLY, last.state, last.left)
    return [only if option is last else option for option in options]
