"""From all parts to the live ones: narrow rules first, so that wide ones see few parts.

A part that one rule leaves without any partner is in no build, whatever the other rules say
(generalised arc consistency of that rule), so dropping it early changes no count.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from configurator.rules.applied import (
    Applied,
    apply_rule,
    best_states,
    judgements,
    scope_of,
)
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import LISTED, State
from configurator.rules.losses import Loss
from configurator.rules.rule import Rule
from configurator.rules.side import Side

Places = NDArray[np.intp]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Judgement = tuple[Rule, Side]

NARROW_UP_TO = 20_000
"""Combinations up to which a rule is heard before the wide ones."""


@dataclass(frozen=True)
class Narrowing:
    """What is left after each rule has been heard by itself.

    Attributes
    ----------
    losses : dict
        By slot and place among all parts: the rules that leave the part no partner.
    live : dict of str to ndarray
        By slot, places of the parts that every rule leaves a partner.
    over_live : tuple of Applied
        All rules over a grid of the live parts alone.
    """

    losses: dict[tuple[str, int], tuple[Loss, ...]]
    live: dict[str, Places]
    over_live: tuple[Applied, ...]


def narrow(case: Case, rules: Sequence[Rule]) -> Narrowing:
    """Hear rules from the narrowest to the widest, dropping parts on the way.

    Parameters
    ----------
    case : Case
        Over a grid of all parts.
    rules : sequence of Rule
        The rulebook.
    """
    stages: tuple[list[Judgement], list[Judgement], list[Judgement]] = ([], [], [])
    for rule, side in judgements(case, rules):
        scope = scope_of(rule, case, side)
        stages[turn_of(scope, case)].append((rule, side))
    live = {slot: np.arange(len(parts)) for slot, parts in case.frame.parts.items()}
    heard: list[tuple[tuple[Applied, ...], dict[str, Places]]] = []
    losses: dict[tuple[str, int], list[Loss]] = {}
    for stage in stages:
        seen = dict(live)
        here = case if stage is stages[0] else case.only(seen)
        applied = _applied(here, stage)
        live = _dropped(live, applied, losses)
        heard.append((applied, seen))
    final = case.only(live)
    return Narrowing(
        losses={part: tuple(found) for part, found in losses.items()},
        live=live,
        over_live=tuple(
            entry for applied, seen in heard for entry in _over_live(applied, seen, live, final)
        ),
    )


def _over_live(
    heard: Sequence[Applied], seen: dict[str, Places], live: dict[str, Places], final: Case
) -> Iterator[Applied]:
    """Judgements over the parts that they saw, cut down to the live ones."""
    kept = {
        axis: np.flatnonzero(np.isin(seen[slot], live[slot]))
        for axis, slot in enumerate(final.frame.slots)
        if len(seen[slot]) != len(live[slot])
    }
    sides = {side.prefix: side for side in final.sides}
    for applied in heard:
        side, outcome = sides[applied.side.prefix], applied.outcome.cut(kept)
        yield replace(applied, case=final, side=side, outcome=outcome)


def _applied(case: Case, pairs: Sequence[Judgement]) -> tuple[Applied, ...]:
    sides = {side.prefix: side for side in case.sides}
    applied = (apply_rule(case, rule, sides[side.prefix]) for rule, side in pairs)
    return tuple(entry for entry in applied if entry is not None)


def _dropped(
    live: dict[str, Places],
    heard: Sequence[Applied],
    losses: dict[tuple[str, int], list[Loss]],
) -> dict[str, Places]:
    """The live parts without those that one of the rules leaves no partner."""
    kept = {slot: np.ones(len(places), dtype=np.bool_) for slot, places in live.items()}
    for applied in heard:
        if not all(len(live[slot]) for slot in applied.scope):
            continue  # a slot without parts leaves no build, and says nothing of the others
        for slot, out in without_partner(applied).items():
            kept[slot] &= ~out
            for place in np.flatnonzero(out):
                part = (slot, int(live[slot][place]))
                losses.setdefault(part, []).append(Loss(applied, slot, int(place)))
    return {slot: places[kept[slot]] for slot, places in live.items()}


def without_partner(applied: Applied) -> dict[str, Flags]:
    """For each slot of a rule's scope, True for the parts ruled out with every partner.

    A comparison is cut down first: what only the need moves with counts at its least, what only
    the allowance moves with at its most. So a rule over many slots is never laid out whole.
    """
    outcome = applied.outcome
    if not isinstance(outcome, Comparison):
        return {slot: best_states(applied, slot) == State.RULED_OUT for slot in applied.scope}
    frame = applied.case.frame
    out = {slot: np.ones(len(frame.parts[slot]), dtype=np.bool_) for slot in applied.scope}
    if outcome.cap <= State.UNPROVEN:
        return {slot: ~flags for slot, flags in out.items()}  # such a rule rules nothing out
    for level in reversed(LISTED):
        need, allow = (_full(values, frame.ndim) for values in outcome.sides(level))
        needs = tuple(at for at in range(frame.ndim) if need.shape[at] > allow.shape[at] == 1)
        allows = tuple(at for at in range(frame.ndim) if allow.shape[at] > need.shape[at] == 1)
        least = np.fmin.reduce(need, axis=needs, keepdims=True)
        most = np.fmax.reduce(allow, axis=allows, keepdims=True)
        passes = np.asarray(least <= most)
        for slot in out:
            axis = frame.slots.index(slot)
            others = tuple(at for at in range(frame.ndim) if at != axis)
            if axis in needs:
                kept = tuple(at for at in needs if at != axis)
                held = np.fmin.reduce(need, axis=kept, keepdims=True) <= most
            elif axis in allows:
                kept = tuple(at for at in allows if at != axis)
                held = least <= np.fmax.reduce(allow, axis=kept, keepdims=True)
            else:
                held = passes
            out[slot] &= ~held.any(axis=others)
        if not any(flags.any() for flags in out.values()):
            break
    return out


def _full(values: Floats, ndim: int) -> Floats:
    return values.reshape((1,) * (ndim - values.ndim) + values.shape)


def turn_of(scope: Sequence[str], case: Case) -> int:
    """When a rule is heard: 0 for one slot at most, 1 for few combinations, 2 for many."""
    if len(scope) <= 1:
        return 0
    return 1 if cells(case, scope) <= NARROW_UP_TO else 2


def cells(case: Case, scope: Sequence[str]) -> int:
    """Combinations of the parts of a scope."""
    return math.prod(len(case.frame.parts[slot]) for slot in scope)
