"""What to measure next: each missing or wide datum by the builds that knowing it would settle.

Exact: the request is solved again with the datum at either end of what it may be. A datum may
lie anywhere between, so what it settles for sure is what it settles at the worse end.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from configurator.explain.adjustment import pinned
from configurator.explain.counts import Counts
from configurator.explain.ends import wide_data
from configurator.explain.gap_cost import CountedEnds, DataGaps, Decision, End, Measurement
from configurator.explain.one_build import BuildLook, OneBuild
from configurator.explain.searches import Progress, Search, side_by_side
from configurator.explain.what_if import WhatIf
from configurator.physics.domain import PhysicsDomainError
from configurator.request.movable import movable_at
from configurator.rules.finding import State
from configurator.rules.subject import Subject
from configurator.units.display import show_interval
from configurator.units.interval import Basis, Interval
from configurator.units.path import value_at
from configurator.units.quantity import Quantity
from configurator.workshop.answer import Answer

FINE = 1e-3
"""Relative width down to which a deciding value is narrowed."""


@dataclass(frozen=True, slots=True)
class Measurements:
    """What could be measured, the most telling first."""

    now: Counts
    """Builds as things stand."""
    useful: tuple[Measurement, ...]
    """Those that settle builds or put some at stake, by builds settled per hour."""
    idle: tuple[Measurement, ...]
    """Those on which no build hangs here."""


def measurements(answer: Answer, progress: Progress = lambda _text: None) -> Measurements:
    """Solve a request again at the ends of every missing or wide datum.

    Parameters
    ----------
    answer : Answer
        The request.
    progress : callable, optional
        Told what is being settled.
    """
    what_if = WhatIf(answer)
    subject, material = answer.subject, what_if.question.material
    gaps, wide = DataGaps.of(answer), tuple(wide_data(material))
    counted = CountedEnds(
        what_if,
        (*gaps.ends, *(end for _, _, ends in wide for end in ends)),
        lambda done, of: progress(f"{done} of {of} ends"),
    )
    costs = gaps.costs(answer, counted)
    found: list[tuple[Measurement, object]] = []
    for gap in costs.gaps:
        value = value_at(*subject.filled_at(gap.field)) if gap.ends else None
        estimated = isinstance(value, Quantity) and value.basis is Basis.ESTIMATED
        found.append((gap, value if estimated else None))
    found += [(contact, None) for contact in costs.contacts]
    for field, says, supposed in wide:
        ends = tuple(End(each.text, counted.of(each)) for each in supposed)
        effort = movable_at(material, field).test
        made = Measurement(costs.now, field, says, f"measure it: {effort.method}", effort, ends)
        found.append((made, value_at(material, field)))
    every = _decided(answer, what_if, found)
    every.sort(
        key=lambda each: (-each.settled_per_hour, -each.at_stake_per_hour, each.field, each.says)
    )
    useful = tuple(each for each in every if each.settled or each.at_stake)
    return Measurements(costs.now, useful, tuple(each for each in every if each not in useful))


def _decided(
    answer: Answer, what_if: WhatIf, found: Sequence[tuple[Measurement, object]]
) -> list[Measurement]:
    """Measurements with the value that decides, of the data that are quantities."""
    first = answer.first
    if first is None:
        return [each for each, _ in found]
    searched = {
        number: _decision(what_if, each.field, value)
        for number, (each, value) in enumerate(found)
        if isinstance(value, Quantity)
    }
    build = OneBuild(first.parts, answer.subject)
    decisions = dict(zip(searched, side_by_side(build, list(searched.values())), strict=True))
    return [replace(each, decision=decisions.get(number)) for number, (each, _) in enumerate(found)]


def _decision(what_if: WhatIf, field: str, value: Quantity) -> Search[Decision | None]:
    """Where between the ends of a datum the build's state changes first, seen from the low one.

    Of a gap, the estimate that fills it.
    """
    kind, below, above = value.kind, value.low, value.high

    def at(place: float) -> Subject | None:
        question = what_if.question.having(pinned(field, kind, place).values)
        try:
            return what_if.subject(question)
        except PhysicsDomainError:
            return None

    start, end = map(_state, (yield [at(below), at(above)]))
    if start is None or end is None or start is end or not 0 < below < above:
        return None
    while math.log(above / below) > FINE:
        middle = math.sqrt(below * above)
        (reached,) = map(_state, (yield [at(middle)]))
        if reached is start:
            below = middle
        else:
            above, end = middle, reached or end
    text = show_interval(Interval.exact(above), kind)
    return Decision(above, text, kind.unit, start.words, end.words)


def _state(look: BuildLook | None) -> State | None:
    try:
        return None if look is None else look.state
    except PhysicsDomainError:
        return None
