"""What brings a build back: the nearest change of one wish or datum, then of two.

Inverting the formula that failed is not enough, since other rules may forbid the same parts.
Every remedy here was solved again and has a build; the change just short of it has none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from configurator.explain.adjustment import Adjustment, adjustments_of, with_adjustment
from configurator.explain.searches import Deadline, Progress
from configurator.explain.what_if import WhatIf
from configurator.request.question import Question
from configurator.rules.ruleset import Judgement

BUDGET = 8.0
"""Processor time within which remedies are looked for. [s]"""

FINE, FINE_STEP = 2e-3, 0.01
"""Relative width down to which a change is narrowed; for steps of temperature, of the step."""


@dataclass(frozen=True, slots=True)
class Move:
    """One adjustment made."""

    adjustment: Adjustment
    """What is moved, and who could allow it."""
    setting: float
    short: float = math.nan
    """The setting just short of it, which opens nothing; NaN where there is none."""

    @property
    def becomes(self) -> str:
        """What it would have to be, in words."""
        return self.adjustment.shown(self.setting)

    @property
    def not_enough(self) -> str:
        """The setting just short of it in words; empty where there is none."""
        return "" if math.isnan(self.short) else self.adjustment.shown(self.short)


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that was solved again and has builds."""

    moves: tuple[Move, ...]
    """One, or two where no single one helps."""
    builds: int
    """Builds that it opens, exactly."""
    example: Mapping[str, str]
    """The first of them, part by slot."""
    state: str
    """State of that one in words."""
    question: Question
    short_question: Question | None
    """The change just short of it; None for choices."""


@dataclass(frozen=True, slots=True)
class Remedies:
    """What was found."""

    single: tuple[Remedy, ...]
    """Changes of one thing, those that open something."""
    pairs: tuple[Remedy, ...]
    """Changes of two; only looked for where no single one helps."""
    hopeless: tuple[str, ...]
    """Fields that were tried and open nothing at any setting."""
    complete: bool
    """False if the time ran out before everything was tried."""


def remedies_for(
    what_if: WhatIf,
    *,
    budget: float = BUDGET,
    progress: Progress = lambda _text: None,
) -> Remedies:
    """Find the nearest changes that open at least one build, within a processor time. [s]

    Parts that are given stay.
    """
    deadline = Deadline(budget)
    every = [each for each in adjustments_of(what_if.question) if not _given(each, what_if.given)]
    single: list[Remedy] = []
    tried: list[str] = []
    for adjustment in every:
        if deadline.expired():
            break
        tried.append(adjustment.title)
        if not _relaxable(what_if, (adjustment,)):
            continue
        progress(adjustment.title)
        remedy = _From(what_if, deadline, what_if.question).nearest(adjustment)
        if remedy is not None:
            single.append(remedy)
    opened = {move.adjustment.title for remedy in single for move in remedy.moves}
    hopeless = tuple(dict.fromkeys(title for title in tried if title not in opened))
    pairs: list[Remedy] = []
    if not single:
        pairs = list(_pairs(what_if, every, deadline, progress))
    return Remedies(tuple(single), tuple(pairs), hopeless, complete=not deadline.met)


def _given(adjustment: Adjustment, given: Mapping[str, str]) -> bool:
    kind, _, slot = adjustment.field.partition(" ")
    return kind in ("pick", "without") and slot in given


def _relaxable(what_if: WhatIf, adjustments: tuple[Adjustment, ...]) -> bool:
    """Whether a build is left once all that they could move is dropped: else none helps."""
    fields = frozenset(each.field for each in adjustments)

    def moved(judged: Judgement) -> bool:
        return any(what_if.reads(judged.number, field) for field in fields)

    return what_if.problem.relaxable(moved, fields)


@dataclass(frozen=True)
class _From:
    """A request from which one adjustment is made."""

    what_if: WhatIf
    deadline: Deadline
    question: Question

    def opens(self, adjustment: Adjustment, setting: float) -> bool:
        """Whether a setting has a build."""
        return self.what_if.exists(with_adjustment(adjustment, self.question, setting))

    def nearest(self, adjustment: Adjustment) -> Remedy | None:
        """The smallest setting that opens a build."""
        bracket = self._bracket(adjustment)
        if bracket is None:
            return None
        short, setting = bracket
        if adjustment.continuous:
            while adjustment.apart(short, setting, FINE, FINE_STEP):
                if self.deadline.expired():
                    return None  # not the nearest: say that the time was up, not half a truth
                middle = adjustment.between(short, setting)
                if self.opens(adjustment, middle):
                    setting = middle
                else:
                    short = middle
            # A little further, so that rounding its figures does not undo it.
            further = adjustment.between(short, setting, 1.5)
            setting = further if self.opens(adjustment, further) else setting
        return self._confirmed(adjustment, short, setting)

    def _bracket(self, adjustment: Adjustment) -> tuple[float, float] | None:
        """The first setting that opens a build, and the one before it.

        Three settings far apart are tried first; where none of them opens anything, what lies
        between is left alone.
        """
        looks = _looks(adjustment)
        if not any(not self.deadline.expired() and self.opens(adjustment, at) for at in looks):
            return None
        before = math.nan if adjustment.at_rest is None else adjustment.at_rest
        for setting in adjustment.settings:
            if self.deadline.expired():
                return None
            if self.opens(adjustment, setting):
                return before, setting
            before = setting
        return None

    def _confirmed(self, adjustment: Adjustment, short: float, setting: float) -> Remedy | None:
        changed = with_adjustment(adjustment, self.question, setting)
        best = None if changed is None else self.what_if.best(changed)
        if changed is None or best is None:
            return None
        short_question = None
        if adjustment.continuous:
            short_question = with_adjustment(adjustment, self.question, short)
            if self.what_if.exists(short_question):
                return None
        state, parts = best
        return Remedy(
            moves=(Move(adjustment, setting, short),),
            builds=self.what_if.counts(changed).total,
            example={slot: part.name for slot, part in parts.items()},
            state=state.words,
            question=changed,
            short_question=short_question,
        )


def _pairs(
    what_if: WhatIf,
    adjustments: list[Adjustment],
    deadline: Deadline,
    progress: Progress,
) -> Iterator[Remedy]:
    """Two changes together: the first at a setting of its own, the second as near as it goes."""
    starts = {
        each: [with_adjustment(each, what_if.question, at) for at in _looks(each)]
        for each in adjustments
    }
    for first, second in combinations(adjustments, 2):
        if deadline.expired():
            return
        if first.field == second.field and first.continuous:
            continue
        if not _relaxable(what_if, (first, second)):
            continue
        progress(f"{first.title} with {second.title}")
        if not _promising(what_if, starts[first], second, deadline):
            continue
        found = _pair(what_if, first, second, deadline)
        if found is not None:
            yield found


def _pair(
    what_if: WhatIf, first: Adjustment, second: Adjustment, deadline: Deadline
) -> Remedy | None:
    """The smallest setting of the first that lets any of the second help, then that one."""
    for setting in first.settings:
        moved = with_adjustment(first, what_if.question, setting)
        if moved is None or deadline.expired():
            return None
        remedy = _From(what_if, deadline, moved).nearest(second)
        if remedy is not None:
            return replace(remedy, moves=(Move(first, setting), *remedy.moves))
    return None


def _promising(
    what_if: WhatIf, starts: Sequence[Question | None], second: Adjustment, deadline: Deadline
) -> bool:
    """Whether a few settings far apart open anything together with another change."""
    for moved in starts:
        if moved is None:
            continue
        start = _From(what_if, deadline, moved)
        if any(not deadline.expired() and start.opens(second, other) for other in _looks(second)):
            return True
    return False


def _looks(adjustment: Adjustment) -> list[float]:
    """Three settings far apart, the farthest first."""
    last = len(adjustment.settings) - 1
    places = sorted({last, last * 2 // 3, last // 3}, reverse=True)
    return [adjustment.settings[at] for at in places]
