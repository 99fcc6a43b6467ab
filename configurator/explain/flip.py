"""How far a build is from breaking: each quantity moved by itself until a rule gives way.

No solving is needed to find the point, since the build is known: its own findings are worked
out again under the changed request. Only what takes over behind the point is solved.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from configurator.catalog.parts import Part
from configurator.explain.again import Again
from configurator.explain.clock import Clock, Progress
from configurator.explain.crossing import root_of_line
from configurator.explain.knob import Knob, turned
from configurator.explain.knobs import knobs_of
from configurator.explain.one_build import Look, OneBuild
from configurator.explain.recount import Recount
from configurator.physics.domain import PhysicsDomainError
from configurator.request.request import Request
from configurator.rules.finding import Finding
from configurator.workshop.answer import Answer

BUDGET = 20.0
"""Processor time within which flip points are looked for. [s]"""

EASING = frozenset({("coldest temperature", True), ("warmest temperature", False)})

SUCCESSORS = 6
"""Points, the nearest ones, at which it is solved which build takes over."""

UNCERTAIN = ("flow", "temperature", "filler", "deposit", "back_pressure", "tolerance")
"""Words in the fields of what is least certain."""

FINE = 1e-3
"""Relative width down to which a point is narrowed."""

CLOSE = 1e-5
"""Share of the way between two settings to which it is worked out where a rule crosses."""


@dataclass(frozen=True, slots=True)
class Flip:
    """A quantity moved one way until the build breaks.

    Attributes
    ----------
    field, title, now : str
        What is moved, and what is stated.
    more : bool
        True if it is moved up.
    factor : float or None
        How many times the stated value it is there; None for temperatures and from zero.
    at : str
        The value there in words.
    setting, held : float
        The same as a setting of the knob, and the last one at which the build stands.
    finding : Finding
        The rule that breaks, with its numbers there.
    solved : bool
        True if what takes over was solved; only the nearest points are.
    takes_over : Mapping[str, str] or None
        The first build of the list there; None if none is left.
    differs : tuple of str
        Slots in which that one has another part.
    requests : tuple of Request
        The request just short of the point and the one at it.
    """

    field: str
    title: str
    now: str
    more: bool
    factor: float | None
    at: str
    setting: float
    held: float
    finding: Finding
    solved: bool
    takes_over: Mapping[str, str] | None
    differs: tuple[str, ...]
    requests: tuple[Request, Request]


@dataclass(frozen=True, slots=True)
class Holds:
    """A quantity that may be moved one way as far as was tried.

    Attributes
    ----------
    title, now, up_to : str
        What it is, what is stated, and the farthest value that was tried.
    more : bool
        True if it was moved up.
    """

    title: str
    now: str
    up_to: str
    more: bool


@dataclass(frozen=True, slots=True)
class Flips:
    """Flip points of one build, the nearest first, and what moves it nowhere."""

    points: tuple[Flip, ...]
    holds: tuple[Holds, ...]
    complete: bool


def flips_of(
    answer: Answer,
    parts: Mapping[str, Part],
    *,
    fields: Iterable[str] = (),
    budget: float = BUDGET,
    successors: bool = True,
    progress: Progress = lambda _text: None,
) -> Flips:
    """Find how far each quantity may move before a build that stands is ruled out.

    Parameters
    ----------
    answer : Answer
        The request.
    parts : Mapping[str, Part]
        The build, one part for every slot.
    fields : iterable of str
        Only these request fields; all if empty.
    budget : float
        Processor time to spend. [s]
    successors : bool
        True to solve which build takes over at each point.
    progress : callable, optional
        Told what is being moved.
    """
    again = Again(answer)
    build = OneBuild(parts, answer.subject)
    clock = Clock(budget)
    wanted = frozenset(fields)
    points: list[tuple[float, Flip]] = []
    holds = []
    for knob in sorted(knobs_of(again.request), key=_turn):
        if not knob.continuous or _eases(knob) or (wanted and knob.field not in wanted):
            continue
        if clock.up():
            break
        progress(knob.title)
        with np.errstate(all="ignore"):
            found = _point(again, build, knob, clock)
        if found is None:
            last = _last_sound(knob, again.request)
            if last is not None and not clock.stopped:
                holds.append(Holds(knob.title, knob.now, knob.shown(last), knob.more))
        else:
            flip = _told(again, build, knob, found)
            points.append((_distance(knob, found[1]), flip))
    recount = Recount(again)
    nearest = [flip for _, flip in sorted(points, key=lambda entry: entry[0])]
    complete = not clock.stopped
    for place, flip in enumerate(nearest[:SUCCESSORS] if successors else ()):
        if not clock.up():
            progress(f"what takes over behind {flip.title}")
            nearest[place] = _followed(recount, build, flip)
    return Flips(tuple(nearest), tuple(holds), complete)


def _turn(knob: Knob) -> int:
    """What is known worst comes first, in case the time is up before the rest."""
    places = (place for place, word in enumerate(UNCERTAIN) if word in knob.field)
    return next(places, len(UNCERTAIN))


def _eases(knob: Knob) -> bool:
    """Whether a knob only makes a stated range narrower, which no build minds."""
    return (knob.title, knob.more) in EASING


def _distance(knob: Knob, setting: float) -> float:
    """How large a move is, so that factors and steps can be put in one order."""
    if knob.at_rest:
        return abs(math.log(setting))
    return abs(setting) / max(abs(value) for value in knob.settings)


def _last_sound(knob: Knob, request: Request) -> float | None:
    sound = [setting for setting in knob.settings if turned(knob, request, setting) is not None]
    return sound[-1] if sound else None


def _look(again: Again, build: OneBuild, knob: Knob, setting: float) -> Look | None:
    """The build at a setting; None where that is no value."""
    changed = turned(knob, again.request, setting)
    return None if changed is None else build.under(again.subject(changed))


def _breaks(
    again: Again, build: OneBuild, knob: Knob, setting: float, suspects: tuple[int, ...] = ()
) -> bool | None:
    """Whether the build is ruled out at a setting; None where that is no value."""
    try:
        look = _look(again, build, knob, setting)
        return None if look is None else look.is_out(suspects)
    except PhysicsDomainError:
        return None


def _point(again: Again, build: OneBuild, knob: Knob, clock: Clock) -> tuple[float, float] | None:
    """The last setting at which a build stands and the first at which it does not."""
    assert knob.at_rest is not None  # choices have no points between
    held = knob.at_rest
    setting = None
    for each in knob.settings:
        broken = None if clock.up() else _breaks(again, build, knob, each)
        if broken is None:
            return None
        if broken:
            setting = each
            break
        held = each
    return None if setting is None else _narrowed(again, build, knob, held, setting)


def _narrowed(
    again: Again, build: OneBuild, knob: Knob, held: float, setting: float
) -> tuple[float, float]:
    """The same two settings, brought together by halving.

    Where the rules that break have numbers, these tell in a few steps where they cross; the
    halves are then taken on the way there, and only the last two settings are looked at.
    """
    at_end = _look(again, build, knob, setting)
    suspects = () if at_end is None else at_end.broken
    crossing = _crossing(again, build, knob, (held, setting), suspects)
    if crossing is not None:
        last, first = _halved(
            knob, held, setting, lambda middle: abs(middle - held) >= abs(crossing - held)
        )
        stands = last == held or _breaks(again, build, knob, last, suspects) is False
        falls = first == setting or _breaks(again, build, knob, first, suspects)
        if stands and falls:
            return last, first
    return _halved(
        knob, held, setting, lambda middle: bool(_breaks(again, build, knob, middle, suspects))
    )


def _halved(
    knob: Knob, held: float, setting: float, breaks: Callable[[float], bool]
) -> tuple[float, float]:
    while _apart(knob, held, setting):
        middle = _between(knob, held, setting, 0.5)
        if breaks(middle):
            setting = middle
        else:
            held = middle
    return held, setting


def _between(knob: Knob, held: float, setting: float, share: float) -> float:
    """A setting some share of the way between two: of the factor, or of the step."""
    if not knob.at_rest:
        return held + share * (setting - held)
    if share == 0.5:  # noqa: PLR2004 - halves are to be exact
        return math.sqrt(held * setting)
    return float(held * (setting / held) ** share)


def _crossing(
    again: Again,
    build: OneBuild,
    knob: Knob,
    ends: tuple[float, float],
    suspects: tuple[int, ...],
) -> float | None:
    """Where the first of some rules begins to fail, by its numbers; None if they do not tell."""

    def excess(share: float) -> float:
        look = _look(again, build, knob, _between(knob, *ends, share))
        return math.nan if look is None else max(look.excess(number) for number in suspects)

    try:
        found = root_of_line(excess, CLOSE) if suspects else None
    except PhysicsDomainError:
        return None
    return None if found is None else _between(knob, *ends, found)


def _apart(knob: Knob, held: float, setting: float) -> bool:
    if knob.at_rest:
        return abs(math.log(setting / held)) > FINE
    return abs(setting - held) > FINE * max(abs(setting), 1.0)


def _told(again: Again, build: OneBuild, knob: Knob, point: tuple[float, float]) -> Flip:
    held, setting = point
    before, after = (turned(knob, again.request, each) for each in (held, setting))
    assert before is not None  # both were asked about
    assert after is not None
    with np.errstate(all="ignore"):
        finding = build.under(again.subject(after)).first_broken
    return Flip(
        field=knob.field,
        title=knob.title,
        now=knob.now,
        more=knob.more,
        factor=setting if knob.at_rest else None,
        at=knob.shown(setting),
        setting=setting,
        held=held,
        finding=finding,
        solved=False,
        takes_over=None,
        differs=(),
        requests=(before, after),
    )


def _followed(recount: Recount, build: OneBuild, flip: Flip) -> Flip:
    """A flip point with the build that takes over behind it."""
    best = recount.best(flip.requests[1])
    if best is None:
        return replace(flip, solved=True)
    names = {slot: part.name for slot, part in best.parts.items()}
    differs = tuple(slot for slot, name in names.items() if build.parts[slot].name != name)
    return replace(flip, solved=True, takes_over=names, differs=differs)
