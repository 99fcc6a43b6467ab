"""What brings a build back: the nearest change of one wish or datum, then of two.

Inverting the formula that failed is not enough, since other rules may forbid the same parts.
Every remedy here was solved again and has a build; the change just short of it has none.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from configurator.answer import Answer
from configurator.explain.again import Again
from configurator.explain.conflict import Board
from configurator.explain.knobs import Knob, knobs_of, turned
from configurator.explain.standing import Judgement
from configurator.explain.wishes import could_read
from configurator.request.request import Request

BUDGET = 8.0
"""Processor time within which remedies are looked for. [s]"""

FINE = 2e-3
"""Relative width down to which a change is narrowed."""

FINE_STEP = 0.01
"""The same for steps of temperature, as a share of the step."""

Progress = Callable[[str], None]
"""Told what is being tried."""


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


class _Clock:
    def __init__(self, budget: float) -> None:
        self._end = time.process_time() + budget
        self.stopped = False

    def up(self) -> bool:
        if time.process_time() > self._end:
            self.stopped = True
        return self.stopped


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
    clock = _Clock(budget)
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
        remedy = _nearest(again, knob, again.request, clock)
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


def _nearest(again: Again, knob: Knob, request: Request, clock: _Clock) -> Remedy | None:
    """The smallest setting of a knob that opens a build, confirmed by the one path."""
    bracket = _bracket(again, knob, request, clock)
    if bracket is None:
        return None
    short, setting = bracket
    if knob.continuous:
        short, setting = _narrowed(again, knob, request, short, setting, clock)
        setting = _rounded(again, knob, request, short, setting)
    return _confirmed(again, knob, request, short, setting)


def _opens(again: Again, knob: Knob, request: Request, setting: float) -> bool:
    fields = {knob.field, *_moved_before(again, request)}
    return again.exists(turned(knob, request, setting), fields)


def _bracket(
    again: Again, knob: Knob, request: Request, clock: _Clock
) -> tuple[float, float] | None:
    before = knob.at_rest if knob.at_rest is not None else math.nan
    for setting in knob.settings:
        if clock.up():
            return None
        if _opens(again, knob, request, setting):
            return before, setting
        before = setting
    return None


def _narrowed(
    again: Again, knob: Knob, request: Request, short: float, setting: float, clock: _Clock
) -> tuple[float, float]:
    while _apart(knob, short, setting) and not clock.up():
        middle = math.sqrt(short * setting) if knob.at_rest else (short + setting) / 2.0
        if _opens(again, knob, request, middle):
            setting = middle
        else:
            short = middle
    return short, setting


def _apart(knob: Knob, short: float, setting: float) -> bool:
    if knob.at_rest:
        return abs(math.log(setting / short)) > FINE
    return abs(setting - short) > FINE_STEP * max(abs(setting), 1.0)


def _rounded(again: Again, knob: Knob, request: Request, short: float, setting: float) -> float:
    """A setting a little further that reads the same in three figures, if it still opens."""
    step = (setting / short) ** 0.5 if knob.at_rest else (setting - short) / 2.0
    further = setting * step if knob.at_rest else setting + step
    return further if _opens(again, knob, request, further) else setting


def _confirmed(
    again: Again, knob: Knob, request: Request, short: float, setting: float
) -> Remedy | None:
    changed = turned(knob, request, setting)
    found = again.answer(changed)
    if found is None or changed is None or not found.count:
        return None
    short_request = turned(knob, request, short) if knob.continuous else None
    if short_request is not None and again.count(short_request):
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


def _pairs(
    again: Again,
    board: Board,
    knobs: list[Knob],
    clock: _Clock,
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


def _pair(again: Again, first: Knob, second: Knob, clock: _Clock) -> Remedy | None:
    """The smallest setting of the first that lets any of the second help, then that one."""
    for setting in first.settings:
        moved = turned(first, again.request, setting)
        if moved is None or clock.up():
            return None
        remedy = _nearest(again, second, moved, clock)
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
            return Remedy(
                (lead, *remedy.changes),
                remedy.builds,
                remedy.example,
                remedy.state,
                remedy.request,
                remedy.short_request,
            )
    return None
