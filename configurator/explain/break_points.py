"""How far a build is from breaking: each quantity moved by itself until a rule gives way.

No solving is needed to find the point, since the build is known: its own findings are worked
out again under the changed request. Only what takes over behind the point is solved.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from configurator.catalog.parts import Part
from configurator.explain.adjustment import Adjustment, adjustments_of, with_adjustment
from configurator.explain.one_build import BuildLook, OneBuild
from configurator.explain.searches import Deadline, Progress, Search, root_of_line, side_by_side
from configurator.explain.what_if import WhatIf
from configurator.physics.domain import PhysicsDomainError
from configurator.request.question import Question
from configurator.rules.finding import Finding
from configurator.rules.subject import Subject
from configurator.workshop.answer import Answer

BUDGET = 20.0
"""Processor time within which break points are looked for. [s]"""

EASING = frozenset({("coldest temperature", True), ("warmest temperature", False)})
"""Adjustments that only make a stated range narrower, which no build minds."""

SUCCESSORS = 6
"""Points, the nearest ones, at which it is solved which build takes over."""

UNCERTAIN = ("flow", "temperature", "filler", "deposit", "back_pressure", "tolerance")
"""Words in the fields of what is least certain: they are told first."""

NEAR = 3
"""Settings that are looked at before those farther off."""

FINE = 1e-3
"""Relative width down to which a point is narrowed."""

CLOSE = 1e-5
"""Share of the way between two settings to which it is worked out where a rule crosses."""


@dataclass(frozen=True, slots=True)
class BreakPoint:
    """A quantity moved one way until the build breaks."""

    adjustment: Adjustment
    setting: float
    held: float
    """The setting at which it breaks, and the last one at which it stands."""
    finding: Finding
    """The rule that breaks, with its numbers there."""
    requests: tuple[Question, Question]
    """The request just short of the point and the one at it."""
    solved: bool = False
    """True if what takes over was solved; only the nearest points are."""
    takes_over: Mapping[str, str] | None = None
    """The first build of the list there; None if none is left."""
    differs: tuple[str, ...] = ()
    """Slots in which that one has another part."""

    @property
    def factor(self) -> float | None:
        """How many times the stated value it is there; None for temperatures and from zero."""
        return self.setting if self.adjustment.at_rest else None

    @property
    def at(self) -> str:
        """The value there in words."""
        return self.adjustment.shown(self.setting)


@dataclass(frozen=True, slots=True)
class Headroom:
    """A quantity that may be moved one way as far as was tried."""

    adjustment: Adjustment
    up_to: str
    """The farthest value that was tried, in words."""


@dataclass(frozen=True, slots=True)
class BreakPoints:
    """Break points of one build, the nearest first, and what moves it nowhere."""

    points: tuple[BreakPoint, ...]
    headrooms: tuple[Headroom, ...]
    complete: bool


def break_points_of(
    answer: Answer,
    parts: Mapping[str, Part],
    *,
    fields: Iterable[str] = (),
    budget: float = BUDGET,
    successors: bool = True,
    progress: Progress = lambda _text: None,
) -> BreakPoints:
    """Find how far each quantity may move before a build that stands is ruled out.

    Only some request fields are moved where any are named; the budget is processor time [s]. With
    `successors` it is solved which build takes over at each point.
    """
    what_if = WhatIf(answer)
    build = OneBuild(parts, answer.subject)
    deadline = Deadline(budget)
    wanted = frozenset(fields)
    every = [
        _Moved(what_if, each, deadline, progress)
        for each in sorted(adjustments_of(what_if.question), key=_turn)
        if each.continuous
        and (each.title, each.more) not in EASING
        and (not wanted or each.field in wanted)
    ]
    found = side_by_side(build, [each.search() for each in every], deadline.expired)
    headrooms = [
        Headroom(each.adjustment, up_to)
        for each, point in zip(every, found, strict=True)
        if point is None and not deadline.met and (up_to := each.farthest())
    ]
    points = [point for point in found if point is not None]
    points.sort(key=lambda point: _distance(point.adjustment, point.setting))
    complete = not deadline.met
    for place, point in enumerate(points[:SUCCESSORS] if successors else ()):
        if not deadline.expired():
            progress(f"what takes over behind {point.adjustment.title}")
            points[place] = _followed(what_if, build, point)
    return BreakPoints(tuple(points), tuple(headrooms), complete)


def _turn(adjustment: Adjustment) -> int:
    places = (place for place, word in enumerate(UNCERTAIN) if word in adjustment.field)
    return next(places, len(UNCERTAIN))


def _distance(adjustment: Adjustment, setting: float) -> float:
    """How large a move is, so that factors and steps can be put in one order."""
    if adjustment.at_rest:
        return abs(math.log(setting))
    return abs(setting) / max(abs(value) for value in adjustment.settings)


@dataclass(frozen=True)
class _Moved:
    """A build under one adjustment."""

    what_if: WhatIf
    adjustment: Adjustment
    deadline: Deadline
    progress: Progress

    def at(self, setting: float) -> Subject | None:
        """The request at a setting; None where that is no value."""
        changed = with_adjustment(self.adjustment, self.what_if.question, setting)
        try:
            return None if changed is None else self.what_if.subject(changed)
        except PhysicsDomainError:
            return None

    def farthest(self) -> str:
        """The farthest setting that is a value, in words; empty if none is."""
        question = self.what_if.question
        for setting in reversed(self.adjustment.settings):
            if with_adjustment(self.adjustment, question, setting) is not None:
                return self.adjustment.shown(setting)
        return ""

    def search(self) -> Search[BreakPoint | None]:
        """The setting at which the build breaks, and the last one at which it stands."""
        assert self.adjustment.at_rest is not None  # choices have no points between
        held = self.adjustment.at_rest
        settings = self.adjustment.settings
        for some in (settings[:NEAR], settings[NEAR:]):
            if self.deadline.expired():
                return None
            self.progress(self.adjustment.title)
            looks = yield [self.at(setting) for setting in some]
            for setting, look in zip(some, looks, strict=True):
                broken = _breaks(look)
                if broken is None:
                    return None
                if broken:
                    return (yield from self.narrowed(held, setting, look))
                held = setting
        return None

    def narrowed(self, held: float, setting: float, at_end: BuildLook | None) -> Search[BreakPoint]:
        """The point between two settings, which are brought together by halving.

        Where the rules that break have numbers, these tell in a few steps where they cross; the
        halves are then taken on the way there, and only the last two settings are looked at.
        """
        suspects = () if at_end is None else at_end.broken
        crossing = yield from self.crossing((held, setting), suspects)
        if crossing is not None:
            way = abs(crossing - held)
            last, first = held, setting
            while self.adjustment.apart(last, first, FINE, FINE):
                middle = self.adjustment.between(last, first)
                last, first = (last, middle) if abs(middle - held) >= way else (middle, first)
            stands, breaks = yield [self.at(last), self.at(first)]
            if (last == held or _breaks(stands) is False) and (first == setting or _breaks(breaks)):
                return self.point(last, first, breaks)
        while self.adjustment.apart(held, setting, FINE, FINE):
            middle = self.adjustment.between(held, setting)
            (look,) = yield [self.at(middle)]
            if _breaks(look):
                setting, at_end = middle, look
            else:
                held = middle
        return self.point(held, setting, at_end)

    def crossing(self, ends: tuple[float, float], suspects: Sequence[int]) -> Search[float | None]:
        """Where the first of some rules begins to fail, by its numbers; None if untold."""
        line = root_of_line(CLOSE)
        try:
            share = next(line) if suspects else None
            while share is not None:
                (look,) = yield [self.at(self.adjustment.between(*ends, share))]
                share = line.send(math.nan if look is None else look.excess(suspects))
        except PhysicsDomainError:
            return None
        except StopIteration as end:
            return None if end.value is None else self.adjustment.between(*ends, end.value)
        return None

    def point(self, held: float, setting: float, at_end: BuildLook | None) -> BreakPoint:
        """The point between two settings that were looked at."""
        question, adjustment = self.what_if.question, self.adjustment
        before, after = (with_adjustment(adjustment, question, each) for each in (held, setting))
        assert before is not None  # both were asked about
        assert after is not None
        assert at_end is not None
        finding = at_end.finding(at_end.broken[0])
        return BreakPoint(adjustment, setting, held, finding, (before, after))


def _breaks(look: BuildLook | None) -> bool | None:
    """Whether the build is ruled out; None where that is no value."""
    try:
        return None if look is None else look.is_out
    except PhysicsDomainError:
        return None


def _followed(what_if: WhatIf, build: OneBuild, point: BreakPoint) -> BreakPoint:
    """A break point with the build that takes over behind it."""
    best = what_if.best(point.requests[1])
    if best is None:
        return replace(point, solved=True)
    names = {slot: part.name for slot, part in best[1].items()}
    differs = tuple(slot for slot, name in names.items() if build.parts[slot].name != name)
    return replace(point, solved=True, takes_over=names, differs=differs)
