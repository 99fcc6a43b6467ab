"""How a search goes: how long it may take, what it looks at next, and where a line passes zero."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Generator, Sequence
from typing import TypeVar

import numpy as np

from configurator.explain.one_build import BuildLook, OneBuild
from configurator.rules.subject import Subject

Progress = Callable[[str], None]
"""Told what is being tried."""


class Deadline:
    """Processor time that a search may use. [s]"""

    def __init__(self, budget: float) -> None:
        self._end = time.process_time() + budget
        self.met = False
        """True once the time was up when somebody asked."""

    def expired(self) -> bool:
        """Whether the time is up."""
        self.met = self.met or time.process_time() > self._end
        return self.met


NEARLY = 0.01
"""Share of the nearer end's value below which a value counts as close to zero."""

MOST_LOOKS = 12
"""Looks after which a function counts as not smooth enough."""


def root_of_line(close: float) -> Generator[float, float, float | None]:
    """Find where a function that starts at or below zero and ends above it passes zero.

    Yields a share from 0 to 1, to be answered with the value there, until steps are below `close`.
    Returns None where the ends do not tell, a value is unknown, or the function is not smooth.

    False position, with the stale end halved (Illinois rule, textbook, from memory).
    """
    low, high = 0.0, 1.0
    below = yield low
    above = yield high
    if not (below <= 0.0 < above):
        return None
    small = NEARLY * min(-below, above)
    place, value, was_above = math.inf, math.inf, None
    for _ in range(MOST_LOOKS):
        last, place = place, low - below * (high - low) / (above - below)
        if abs(place - last) < close and abs(value) <= small:
            return place
        value = yield place
        if math.isnan(value):
            return None
        is_above = value > 0.0
        if is_above:
            high, above = place, value
        else:
            low, below = place, value
        if was_above is is_above:  # the other end has not moved twice: pull it in
            above, below = (above, below / 2.0) if is_above else (above / 2.0, below)
        was_above = is_above
    return None


Found = TypeVar("Found")

Search = Generator[Sequence[Subject | None], Sequence[BuildLook | None], Found]
"""Asks for looks at a build under some requests, None where that is none, and finds something."""


def side_by_side(
    build: OneBuild, searches: Sequence[Search[Found]], enough: Callable[[], bool] = lambda: False
) -> list[Found | None]:
    """Run independent searches to their ends, all of them at the same time.

    `enough` is asked between two rounds of looks: once it says so, all searches are given up. None
    stands for what one of these would have found.
    """
    found: list[Found | None] = [None] * len(searches)
    answers: dict[int, Sequence[BuildLook | None] | None] = dict.fromkeys(range(len(searches)))
    with np.errstate(all="ignore"):
        while answers and not enough():
            asked: dict[int, Sequence[Subject | None]] = {}
            for number, looks in answers.items():
                try:
                    search = searches[number]
                    asked[number] = next(search) if looks is None else search.send(looks)
                except StopIteration as end:
                    found[number] = end.value
            every = [subject for subjects in asked.values() for subject in subjects]
            seen = iter(build.under([subject for subject in every if subject is not None]))
            answers = {
                number: [None if subject is None else next(seen) for subject in subjects]
                for number, subjects in asked.items()
            }
    return found
