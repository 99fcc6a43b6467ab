"""Rotors that would have to turn too fast even if nothing slipped: slip is never negative.

Slip is the dearest figure of all, and half of the cavities are out whatever it is.
"""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from configurator.catalog.parts import SHARED_SLOTS
from configurator.explain.heard import Few
from configurator.explain.live import Live
from configurator.rules.applied import apply_rule, judgements
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.rulebook import RULEBOOK


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
        Over the parts of the case.
    """
    places = {slot: np.flatnonzero(mask[among[slot]]) for slot, mask in live.items()}
    places.update((slot, np.flatnonzero(among[slot][among[slot]])) for slot in SHARED_SLOTS)
    case = whole.only(places).without_slip
    found = []
    for rule, side in judgements(case, RULEBOOK):
        if not rule.grows_with_slip or (rule.name, side.prefix) not in asked:
            continue
        applied = apply_rule(case, rule, side)
        if applied is None:
            continue
        scope = tuple(slot for slot in applied.scope if slot not in SHARED_SLOTS)
        # Without slip no mixer and no tip moves a speed.
        found_states = np.broadcast_to(applied.outcome.states, case.frame.shape(scope))
        out = found_states.reshape([len(places[slot]) for slot in scope]) == State.RULED_OUT
        states = np.full([int(among[slot].sum()) for slot in scope], State.FITS, dtype=np.int8)
        states[np.ix_(*(places[slot] for slot in scope))] = np.where(
            out, State.RULED_OUT, State.FITS
        )
        found.append(Few(applied.title, scope, states))
    return found
