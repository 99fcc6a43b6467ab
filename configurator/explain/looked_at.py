"""Searches along many quantities side by side: what each asks next is looked at together.

A look at one build costs nearly the same for one request as for a hundred.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from typing import TypeVar

import numpy as np

from configurator.explain.one_build import BuildLook, OneBuild
from configurator.rules.subject import Subject

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
