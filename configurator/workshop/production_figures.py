"""Figures of a shift: containers, waste, and how many shots and shifts a head lasts."""

from __future__ import annotations

import numpy as np

from configurator.physics.cure import share_older_stirred
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Floats
from configurator.rules.side import Side
from configurator.rules.supply import container_time, usable, wasted
from configurator.workshop.process_figures import wear_high, wear_low


def shots_per_container(case: Case, side: Side) -> Floats:
    """Largest shots that a container gives."""
    shot = case.duty.shot
    return usable(case, side) / (np.nan if shot is None else shot.high * side.share.high)


def refills(case: Case, side: Side) -> Floats:
    """Containers that a shift takes, at most."""
    laid = case.duty.laid_down
    return (np.nan if laid is None else laid.high * side.share.high) / usable(case, side)


def container_lasts(case: Case, side: Side) -> Floats:
    """Time from one change of a container to the next, at least, min."""
    lasts = container_time(case, side)
    return np.full(case.frame.shape(()), np.nan) if lasts is None else lasts[0] / 60.0


def waste_share(case: Case) -> Floats:
    """Waste of a shift over what it lays down, at most, per cent."""
    return np.asarray(_wasted(case).hard * 100.0)


def waste_volume(case: Case) -> Floats:
    """Waste of a shift of nominal size, mL."""
    laid = case.duty.laid_down
    return np.asarray(_wasted(case).nominal * (np.nan if laid is None else laid.nominal) * 1e6)


def _wasted(case: Case) -> Bound:
    heels, rest = wasted(case)
    return heels.plus(rest)


def overaged(case: Case) -> Floats:
    """Share of a driven chamber's mix that is older than the pot life at the worst, per cent."""
    if not case.material.two_part:
        return np.full(case.frame.shape(()), np.nan)
    mixer = case.mixer
    age = np.where(mixer.chamber, mixer.age(case.duty.flow).hard, np.nan)
    share = share_older_stirred(age=mixer.cure.pot_life[2], mean_residence=age)
    return np.asarray(share) * 100.0


def wear_low_shots(case: Case) -> Floats:
    """Lower end of the wear band in shots."""
    return wear_low(case) / _hours_a_shot(case)


def wear_high_shots(case: Case) -> Floats:
    """Upper end of the wear band in shots."""
    return wear_high(case) / _hours_a_shot(case)


def wear_low_shifts(case: Case) -> Floats:
    """Lower end of the wear band in shifts."""
    return wear_low(case) / _hours_a_shift(case)


def wear_high_shifts(case: Case) -> Floats:
    """Upper end of the wear band in shifts."""
    return wear_high(case) / _hours_a_shift(case)


def _hours_a_shot(case: Case) -> float:
    time = case.duty.shot_time
    return np.nan if time is None else time.nominal / 3600.0


def _hours_a_shift(case: Case) -> float:
    """Time in which the rotor turns: it stands between two shots. [h]"""
    duty = case.duty
    if duty.shot is None:
        return np.nan if duty.shift is None else duty.shift.nominal / 3600.0
    return np.nan if duty.parts is None else duty.parts.nominal * _hours_a_shot(case)
