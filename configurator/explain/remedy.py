"""What brings a build back: the nearest change of one wish or datum, then of two.

Inverting the formula that failed is not enough, since other rules may forbid the same parts.
Every remedy here was solved again and has a build; the change just short of it has none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

from configurator.explain.adjustment import Adjustment, adjustments_of, with_adjustment
from configurator.explain.again import Again
from configurator.explain.conflict import Board
from configurator.explain.deadline import Deadline, Progress
from configurator.explain.standing import Judgement
from configurator.explain.wishes import could_read
from configurator.request.question import Question
from configurator.workshop.answer import Answer

BUDGET = 8.0
"""Processor time within which remedies are looked for. [s]"""

FINE, FINE_STEP = 2e-3, 0.01
"""Relative width down to which a change is narrowed; for steps of temperature, of the step."""


@dataclass(frozen=True, slots=True)
class Move:
    """One adjustment made.

    Attributes
    ----------
    adjustment : Adjustment
        What is moved, and who could allow it.
    setting : float
        How far.
    short : float
        The setting just short of it, which opens nothing; NaN where there is none.
    """

    adjustment: Adjustment
    setting: float
    short: float = math.nan

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
    """A change that was solved again and has builds.

    Attributes
    ----------
    moves : tuple of Move
        One, or two where no single one helps.
    builds : int
        Builds that it opens, exactly.
    example : Mapping[str, str]
        The first of them, part by slot.
    state : str
        State of that one in words.
    question : Question
        The changed request.
    short_question : Question or None
        The change just short of it; None for choices.
    """

    moves: tuple[Move, ...]
    builds: int
    example: Mapping[str, str]
    state: str
    question: Question
    short_question: Question | None


@dataclass(frozen=True, slots=True)
class Remedies:
    """What was found.

    Attributes
    ----------
    single : tuple of Remedy
        Changes of one thing, those that open something.
    pairs : tuple of Remedy
        Changes of two; only looked for where no single one helps.
    hopeless : tuple of str
        Fields that were tried and open nothing at any setting.
    complete : bool
        False if the time ran out before everything was tried.
    """

    single: tuple[Remedy, ...]
    pairs: tuple[Remedy, ...]
    hopeless: tuple[str, ...]
    complete: bool


def remedies_for(
    answer: Answer,
    board: Board,
    *,
    given: Mapping[str, str] | None = None,
    budget: float = BUDGET,
    progress: Progress = lambda _text: None,
) -> Remedies:
    """Find the nearest changes that open at least one build.

    Parameters
    ----------
    answer : Answer
        The request without builds.
    board : Board
        Its rules and picks: tells early which fields can help at all.
    given : Mapping[str, str], optional
        Parts that stay, by slot.
    budget : float
        Processor time to spend. [s]
    progress : callable, optional
        Told what is being tried.
    """
    again = Again(answer, given)
    deadline = Deadline(budget)
    every = [each for each in adjustments_of(again.question) if not _given(each, again.given)]
    single: list[Remedy] = []
    tried: list[str] = []
    for adjustment in every:
        if deadline.expired():
            break
        tried.append(adjustment.title)
        if not _relaxable(board, (adjustment,)):
            continue
        progress(adjustment.title)
        remedy = _From(again, deadline, again.question).nearest(adjustment)
        if remedy is not None:
            single.append(remedy)
    opened = {move.adjustment.title for remedy in single for move in remedy.moves}
    hopeless = tuple(dict.fromkeys(title for title in tried if title not in opened))
    pairs: list[Remedy] = []
    if not single:
        pairs = list(_pairs(again, board, every, deadline, progress))
    return Remedies(tuple(single), tuple(pairs), hopeless, complete=not deadline.met)


def _given(adjustment: Adjustment, given: Mapping[str, str]) -> bool:
    kind, _, slot = adjustment.field.partition(" ")
    return kind in ("pick", "without") and slot in given


def _relaxable(board: Board, adjustments: tuple[Adjustment, ...]) -> bool:
    """Whether a build is left once all that they could move is dropped: else none helps."""
    fields = frozenset(each.field for each in adjustments)

    def moved(judged: Judgement) -> bool:
        return any(could_read(judged.rule.asks, field) for field in fields)

    return board.relaxable(moved, fields)


@dataclass(frozen=True)
class _From:
    """A request from which one adjustment is made.

    Attributes
    ----------
    again : Again
        What solves it.
    deadline : Deadline
        When to stop.
    question : Question
        Where it starts.
    """

    again: Again
    deadline: Deadline
    question: Question

    def opens(self, adjustment: Adjustment, setting: float) -> bool:
        """Whether a setting has a build."""
        return self.again.exists(with_adjustment(adjustment, self.question, setting))

    def nearest(self, adjustment: Adjustment) -> Remedy | None:
        """The smallest setting that opens a build, confirmed by the one path."""
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
        found = self.again.answer(changed)
        if found is None or changed is None or not found.count:
            return None
        short_question = None
        if adjustment.continuous:
            short_question = with_adjustment(adjustment, self.question, short)
            if self.again.count(short_question):
                return None
        best = found.first
        assert best is not None  # there are some
        return Remedy(
            moves=(Move(adjustment, setting, short),),
            builds=found.count,
            example={slot: part.name for slot, part in best.parts.items()},
            state=best.state.words,
            question=changed,
            short_question=short_question,
        )


def _pairs(
    again: Again,
    board: Board,
    adjustments: list[Adjustment],
    deadline: Deadline,
    progress: Progress,
) -> Iterator[Remedy]:
    """Two changes together: the first at a setting of its own, the second as near as it goes."""
    for first, second in combinations(adjustments, 2):
        if deadline.expired():
            return
        if first.field == second.field and first.continuous:
            continue
        if not _relaxable(board, (first, second)):
            continue
        progress(f"{first.title} with {second.title}")
        found = _pair(again, first, second, deadline)
        if found is not None:
            yield found


def _pair(again: Again, first: Adjustment, second: Adjustment, deadline: Deadline) -> Remedy | None:
    """The smallest setting of the first that lets any of the second help, then that one."""
    if not _promising(again, first, second, deadline):
        return None
    for setting in first.settings:
        moved = with_adjustment(first, again.question, setting)
        if moved is None or deadline.expired():
            return None
        remedy = _From(again, deadline, moved).nearest(second)
        if remedy is not None:
            return replace(remedy, moves=(Move(first, setting), *remedy.moves))
    return None


def _promising(again: Again, first: Adjustment, second: Adjustment, deadline: Deadline) -> bool:
    """Whether a few settings far apart open anything together."""
    for setting in _looks(first):
        moved = with_adjustment(first, again.question, setting)
        if moved is None:
            continue
        start = _From(again, deadline, moved)
        if any(not deadline.expired() and start.opens(second, other) for other in _looks(second)):
            return True
    return False


def _looks(adjustment: Adjustment) -> list[float]:
    """Three settings far apart, the farthest first."""
    last = len(adjustment.settings) - 1
    places = sorted({last, last * 2 // 3, last // 3}, reverse=True)
    return [adjustment.settings[at] for at in places]
