"""Rotors that would have to turn too fast even if nothing slipped: slip is never negative.

Slip is the dearest figure of all, and half of the cavities are out whatever it is.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.explain.heard import Few
from configurator.explain.live import Live
from configurator.rules.applied import apply_rule
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.speed import RULES, SPEED_PARTS

SPEED_RULES = tuple(rule for rule in RULES if set(SPEED_PARTS) <= set(rule.parts))
"""Rules whose demand is a speed that grows with slip, against a limit that slip does not move."""


def too_fast_anyway(
    whole: Case, live: Live, among: Live, asked: Collection[tuple[str, str]]
) -> list[Few]:
    """What is ruled out for its speed at no slip at all: so with every slip that there may be.

    Parameters
    ----------
    whole : Case
        Over the parts of `among`; knows the pressures.
    live : Mapping[str, ndarray of bool]
        Parts in question.
    among : Mapping[str, ndarray of bool]
        Parts of the case.
    asked : collection of (str, str)
        Name of the rule and prefix of the side for each judgement that is asked about.

    Returns
    -------
    list of Few
        Over the parts of the case; nothing where some pressure is unknown, since an unknown slip
        rules nothing out.
    """
    if np.isnan(whole.back_pressure_fast).any():
        return []
    return list(_too_fast(whole, live, among, asked))


def _too_fast(
    whole: Case, live: Live, among: Live, asked: Collection[tuple[str, str]]
) -> Iterator[Few]:
    places = {slot: np.flatnonzero(mask[among[slot]]) for slot, mask in live.items()}
    places.update((slot, places[slot][:1]) for slot in SHARED_SLOTS)
    case = Case(whole.subject, whole.frame.only(places))
    closed = np.zeros((3,) + (1,) * case.frame.ndim)
    for side in case.sides:
        vars(side)["slip_fast"] = side.slip(closed, side.flow_high)
        for rule in SPEED_RULES:
            if (rule.name, side.prefix) not in asked:
                continue
            applied = apply_rule(case, rule, side)
            if applied is None:
                continue
            scope = tuple(slot for slot in applied.scope if slot not in SHARED_SLOTS)
            out = applied.states.reshape([len(places[slot]) for slot in scope])
            states = np.full([int(among[slot].sum()) for slot in scope], State.FITS, dtype=np.int8)
            states[np.ix_(*(places[slot] for slot in scope))] = np.where(
                out == State.RULED_OUT, State.RULED_OUT, State.FITS
            )
            yield Few(applied.title, scope, states)
