"""Why a part is out: the rules that leave it no partner, each with its nearest miss."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import IntArray
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison, cut
from configurator.rules.finding import Finding
from configurator.rules.propagation import Dropped, Propagation
from configurator.rules.rule_tables import RuleTables
from configurator.rules.total import Total


@dataclass(frozen=True, eq=False)
class Loss:
    """One part that one rule rules out with every partner."""

    dropped: Dropped
    """What the rule took out of the parts of one slot."""
    place: int
    """The part's place among all parts of the slot."""

    @property
    def slot(self) -> str:
        """The part's slot."""
        return self.dropped.slot

    @property
    def title(self) -> str:
        """Name of the rule with its side."""
        return self.dropped.judgement.title


def losses_of(left: Propagation) -> dict[tuple[str, int], tuple[Loss, ...]]:
    """By slot and place among all parts: the rules that leave a part of one request no partner."""
    found: dict[tuple[str, int], list[Loss]] = {}
    for dropped in left.cuts():
        for place in np.flatnonzero(dropped.out[0]).tolist():
            found.setdefault((dropped.slot, place), []).append(Loss(dropped, place))
    return {part: tuple(losses) for part, losses in found.items()}


def findings_of(left: Propagation, losses: Sequence[Loss]) -> tuple[Finding, ...]:
    """What each rule says of its part with the partners that suit it best.

    Each rule is applied once, to all of its losses together.
    """
    by_rule: dict[int, list[int]] = {}
    for number, loss in enumerate(losses):
        by_rule.setdefault(loss.dropped.judgement.number, []).append(number)
    found: dict[int, Finding] = {}
    frame = left.evaluation.rules.frame
    for numbers in by_rule.values():
        judgement = losses[numbers[0]].dropped.judgement
        builds = list(_builds(left, [losses[number] for number in numbers]))
        rows = np.array([[places[slot] for slot in frame.slots] for places in builds])
        case = Case(left.evaluation.subjects[0], frame.with_rows(rows))
        side = case.side(judgement.prefix)
        again = apply_rule(case, judgement.rule, side)
        assert again is not None  # it was asked for over the grid too
        for row, (number, places) in enumerate(zip(numbers, builds, strict=True)):
            parts = {slot: frame.parts[slot][places[slot]] for slot in judgement.scope}
            found[number] = again.finding(row, parts)
    return tuple(found[number] for number in range(len(losses)))


def _builds(left: Propagation, losses: Iterable[Loss]) -> Iterator[dict[str, int]]:
    """For each loss, places of parts of which the rule's slots hold the best partners."""
    anything = dict.fromkeys(left.evaluation.rules.frame.slots, 0)
    for loss in losses:
        tables = loss.dropped.tables
        if tables is None:
            yield anything | {loss.slot: loss.place}
            continue
        assert tables.heard is not None  # it was heard for one request
        standing = {slot: _standing(left, loss.dropped, tables, slot) for slot in tables.scope}
        at = tables.places[loss.slot][left.evaluation.rules.kinds[loss.slot].of[loss.place]]
        along = {slot: np.array(list(first), dtype=np.intp) for slot, first in standing.items()}
        best = best_partners(tables.heard, loss.slot, int(at), along)
        parts = {slot: next(iter(first.values())) for slot, first in standing.items()}
        parts |= {slot: standing[slot][place] for slot, place in best.items()}
        yield anything | parts | {loss.slot: loss.place}


def _standing(left: Propagation, dropped: Dropped, tables: RuleTables, slot: str) -> dict[int, int]:
    """For each place along an axis of a rule, the first of the parts that stood there."""
    parts = np.flatnonzero(dropped.before[slot][0])
    places = tables.places[slot][left.evaluation.rules.kinds[slot].of[parts]]
    first: dict[int, int] = {}
    for part, place in zip(parts.tolist(), places.tolist(), strict=True):
        first.setdefault(place, part)
    return first


def nearest_finding(applied: Applied, slot: str, place: int) -> tuple[Applied, Finding]:
    """What a rule says of a part with the partners that suit it best, and the rule over that build.

    Parameters
    ----------
    applied : Applied
        Over a grid.
    slot : str
        The part's slot; any for a rule without slots.
    place : int
        The part's place in the grid.
    """
    frame = applied.case.frame
    partners = best_partners(applied, slot, place) if applied.scope else {}
    places = dict.fromkeys(frame.slots, 0) | partners
    rows = np.array([[places[each] for each in frame.slots]])
    case = Case(applied.case.subject, frame.with_rows(rows))
    side = case.side(applied.side.prefix)
    again = apply_rule(case, applied.rule, side)
    assert again is not None  # it was asked for over the grid too
    parts = {each: frame.parts[each][places[each]] for each in applied.scope}
    return again, again.finding(0, parts)


def best_partners(
    applied: Applied, slot: str, place: int, along: Mapping[str, IntArray] | None = None
) -> dict[str, int]:
    """Places of the partners with the best state, and of those the widest margin.

    Parameters
    ----------
    applied : Applied
        A rule over a grid.
    slot : str
        Slot of the part that is out.
    place : int
        Its place along the axis of the slot.
    along : Mapping of str to ndarray of int, optional
        By slot, the places of the partners that stand, the first of equals in front; all of the
        grid without it.
    """
    outcome = applied.outcome
    if isinstance(outcome, Total):
        return _lightest(applied, outcome, slot, place, along or {})
    if not applied.is_wide:
        return _best(applied, slot, place, along)
    kept = {slot: np.array([place])}
    kept |= {each: along[each] for each in applied.scope if along and each not in kept}
    best = _best(applied.only(kept), slot, 0)
    return {each: int(kept[each][at]) if each in kept else at for each, at in best.items()}


def _best(
    applied: Applied, slot: str, place: int, along: Mapping[str, IntArray] | None = None
) -> dict[str, int]:
    outcome, scope = applied.outcome, applied.scope
    axis = scope.index(slot)
    others = [each for each in scope if each != slot]
    states = np.take(applied.states, place, axis=axis)
    order = states.astype(np.float64)
    if isinstance(outcome, Comparison):
        margins = np.take(applied.table(outcome.margins), place, axis=axis)
        order = order - 1e-3 * np.tanh(np.nan_to_num(margins, nan=-1.0))
    if along is not None:
        for at, other in enumerate(others):
            order = np.take(order, along[other], axis=at)
    best = np.unravel_index(int(np.argmin(order)), order.shape) if order.ndim else ()
    found = {
        other: int(at if along is None else along[other][at])
        for other, at in zip(others, best, strict=True)
    }
    return {slot: place} | found


def _lightest(
    applied: Applied, total: Total, slot: str, place: int, along: Mapping[str, IntArray]
) -> dict[str, int]:
    slots = applied.case.frame.slots
    kept = {slots.index(other): places for other, places in along.items()}
    kept[slots.index(slot)] = np.array([place])
    found = {slot: place}
    for summand in total.summands:
        taken = cut(summand, kept)
        best = np.unravel_index(int(np.argmin(taken)), taken.shape)
        for at, least in enumerate(best):
            if taken.shape[at] > 1:
                other = slots[at]
                found[other] = int(along[other][least] if other in along else least)
    return found
