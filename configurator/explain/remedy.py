"""What brings a build back: the nearest change of one wish or datum, then of two.

Inverting the formula that failed is not enough, since other rules may forbid the same parts.
Every remedy here was solved again and has a build; the change just short of it has none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from configurator.explain.again import Again
from configurator.explain.clock import Clock, Progress
from configurator.explain.conflict import Board
from configurator.explain.knob import Knob, turned
from configurator.explain.knobs import knobs_of
from configurator.explain.standing import Judgement
from configurator.explain.wishes import could_read
from configurator.request.request import Request
from configurator.workshop.answer import Answer

BUDGET = 8.0
"""Processor time within which remedies are looked for. [s]"""

FINE = 2e-3
"""Relative width down to which a change is narrowed."""

FINE_STEP = 0.01
"""The same for steps of temperature, as a share of the step."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing moved.

    Attributes
    ----------
    field, title, now, becomes : str
        What it is, as stated, and what it would have to be, in words.
    short : str
        The change just short of it, which opens nothing; empty for choices.
    at_least : bool
        True if it has to be raised to at least that.
    choice : bool
        True if it is one choice out of several and no point on a scale.
    grants : str
        Who could allow it.
    setting, short_setting : float
        The same as factor or step.
    """

    field: str
    title: str
    now: str
    becomes: str
    short: str
    at_least: bool
    choice: bool
    grants: str
    setting: float
    short_setting: float


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that was solved again and has builds.

    Attributes
    ----------
    changes : tuple of Change
        One, or two where no single one helps.
    builds : int
        Builds that it opens, exactly.
    example : Mapping[str, str]
        The first of them, part by slot.
    state : str
        State of that one in words.
    request : Request
        The changed request.
    short_request : Request or None
        The change just short of it; None for choices.
    """

    changes: tuple[Change, ...]
    builds: int
    example: Mapping[str, str]
    state: str
    request: Request
    short_request: Request | None


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
    clock = Clock(budget)
    knobs = [knob for knob in knobs_of(again.request) if not _given(knob, again.given)]
    single: list[Remedy] = []
    tried: list[str] = []
    hopeful = []
    for knob in knobs:
        if clock.up():
            break
        tried.append(knob.title)
        if not _relaxable(board, (knob,)):
            continue
        hopeful.append(knob)
        progress(knob.title)
        remedy = _From(again, clock, again.request).nearest(knob)
        if remedy is not None:
            single.append(remedy)
    opened = {change.title for remedy in single for change in remedy.changes}
    hopeless = tuple(dict.fromkeys(title for title in tried if title not in opened))
    pairs: list[Remedy] = []
    if not single:
        pairs = list(_pairs(again, board, knobs, clock, progress))
    return Remedies(tuple(single), tuple(pairs), hopeless, complete=not clock.stopped)


def _given(knob: Knob, given: Mapping[str, str]) -> bool:
    return knob.field.startswith(("pick ", "without ")) and knob.field.split(" ", 1)[1] in given


def _relaxable(board: Board, knobs: tuple[Knob, ...]) -> bool:
    """Whether a build is left once all that the knobs could move is dropped: else none helps."""
    fields = [knob.field for knob in knobs]

    def moved(judged: Judgement) -> bool:
        return any(could_read(judged.rule.asks, field) for field in fields)

    return board.relaxable(moved, frozenset(fields))


@dataclass(frozen=True)
class _From:
    """A request from which one knob is turned.

    Attributes
    ----------
    again : Again
        What solves it.
    clock : Clock
        When to stop.
    request : Request
        Where it starts.
    """

    again: Again
    clock: Clock
    request: Request

    def opens(self, knob: Knob, setting: float) -> bool:
        """Whether a setting has a build."""
        changed = turned(knob, self.request, setting)
        return self.again.exists(changed)

    def nearest(self, knob: Knob) -> Remedy | None:
        """The smallest setting of a knob that opens a build, confirmed by the one path."""
        bracket = self._bracket(knob)
        if bracket is None:
            return None
        short, setting = bracket
        if knob.continuous:
            short, setting = self._narrowed(knob, short, setting)
            if self.clock.stopped and _apart(knob, short, setting):
                return None  # not the nearest: say that the time was up, not half a truth
            setting = self._rounded(knob, short, setting)
        return self._confirmed(knob, short, setting)

    def _bracket(self, knob: Knob) -> tuple[float, float] | None:
        """The first setting that opens a build, and the one before it.

        Three settings far apart are tried first; where none of them opens anything, what lies
        between is left alone.
        """
        if not any(not self.clock.up() and self.opens(knob, each) for each in _looks(knob)):
            return None
        before = knob.at_rest if knob.at_rest is not None else math.nan
        for setting in knob.settings:
            if self.clock.up():
                return None
            if self.opens(knob, setting):
                return before, setting
            before = setting
        return None

    def _narrowed(self, knob: Knob, short: float, setting: float) -> tuple[float, float]:
        while _apart(knob, short, setting) and not self.clock.up():
            middle = math.sqrt(short * setting) if knob.at_rest else (short + setting) / 2.0
            if self.opens(knob, middle):
                setting = middle
            else:
                short = middle
        return short, setting

    def _rounded(self, knob: Knob, short: float, setting: float) -> float:
        """A setting a little further, so that rounding its figures does not undo it."""
        step = (setting / short) ** 0.5 if knob.at_rest else (setting - short) / 2.0
        further = setting * step if knob.at_rest else setting + step
        return further if self.opens(knob, further) else setting

    def _confirmed(self, knob: Knob, short: float, setting: float) -> Remedy | None:
        changed = turned(knob, self.request, setting)
        found = self.again.answer(changed)
        if found is None or changed is None or not found.count:
            return None
        short_request = turned(knob, self.request, short) if knob.continuous else None
        if short_request is not None and self.again.count(short_request):
            return None
        best = found.builds(limit=1)[0]
        change = Change(
            field=knob.field,
            title=knob.title,
            now=knob.now,
            becomes=knob.shown(setting),
            short=knob.shown(short) if knob.continuous else "",
            at_least=knob.more,
            choice=not knob.continuous,
            grants=knob.grants,
            setting=setting,
            short_setting=short,
        )
        return Remedy(
            changes=(change,),
            builds=found.count,
            example={slot: part.name for slot, part in best.parts.items()},
            state=best.state.words,
            request=changed,
            short_request=short_request,
        )


def _apart(knob: Knob, short: float, setting: float) -> bool:
    if knob.at_rest:
        return abs(math.log(setting / short)) > FINE
    return abs(setting - short) > FINE_STEP * max(abs(setting), 1.0)


def _pairs(
    again: Again,
    board: Board,
    knobs: list[Knob],
    clock: Clock,
    progress: Progress,
) -> Iterator[Remedy]:
    """Two changes together: the first at a setting of its own, the second as near as it goes."""
    for place, first in enumerate(knobs):
        for second in knobs[place + 1 :]:
            if clock.up():
                return
            if first.field == second.field and first.continuous:
                continue
            if not _relaxable(board, (first, second)):
                continue
            progress(f"{first.title} with {second.title}")
            found = _pair(again, first, second, clock)
            if found is not None:
                yield found


def _pair(again: Again, first: Knob, second: Knob, clock: Clock) -> Remedy | None:
    """The smallest setting of the first that lets any of the second help, then that one."""
    if not _promising(again, first, second, clock):
        return None
    for setting in first.settings:
        moved = turned(first, again.request, setting)
        if moved is None or clock.up():
            return None
        remedy = _From(again, clock, moved).nearest(second)
        if remedy is not None:
            lead = Change(
                field=first.field,
                title=first.title,
                now=first.now,
                becomes=first.shown(setting),
                short="",
                at_least=first.more,
                choice=not first.continuous,
                grants=first.grants,
                setting=setting,
                short_setting=math.nan,
            )
            return replace(remedy, changes=(lead, *remedy.changes))
    return None


def _promising(again: Again, first: Knob, second: Knob, clock: Clock) -> bool:
    """Whether a few settings far apart open anything together."""
    for setting in _looks(first):
        moved = turned(first, again.request, setting)
        if moved is None:
            continue
        start = _From(again, clock, moved)
        if any(not clock.up() and start.opens(second, other) for other in _looks(second)):
            return True
    return False


def _looks(knob: Knob) -> list[float]:
    """Three settings far apart, the farthest first."""
    last = len(knob.settings) - 1
    return [knob.settings[at] for at in sorted({last, last * 2 // 3, last // 3}, reverse=True)]
