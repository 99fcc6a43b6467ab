"""Figures beside metering: what time-pressure would do, mixing, waste and wear."""

from __future__ import annotations

import numpy as np

from configurator.catalog.parts import Rotor
from configurator.physics.cure import share_older_stirred
from configurator.physics.tube_flow import flow_from_pressure, tube_pressure_drop
from configurator.physics.wear import decade_band, filler_factor, life_hours, life_revolutions
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Floats
from configurator.rules.hardness import hardness_in_vickers
from configurator.rules.side import Side
from configurator.rules.speed import rubbing_speed
from configurator.rules.supply import container_time, usable, wasted
from configurator.rules.tip_at_rest import falling_drop, touch_height

MOST_CHANGE = 10.0
"""Change of volume beyond which no dispenser has been set at all. Where a curve is estimated from
one reading, its thin end may flow thousands of times as fast at the same pressure: such a number
says how far the estimate reaches, and nothing of a dispenser (chosen for this tool). [-]"""


def time_pressure_error(case: Case) -> Floats:
    """Volume change of a time-pressure dispenser over the same range, per cent.

    Tip, pressure and opening time stay as they would be set at the nominal material; the thin
    and the thick one then flow as they do in a straight tube of that bore. A change of air
    pressure would come on top. `MOST_CHANGE` stands for itself and for whatever is larger.
    """
    bore, length = case.column("outlet", "bore"), case.column("outlet", "length")
    flow = case.duty.flow.nominal
    thin, nominal, thick = case.subject.outlet_fluid.curves
    pressure = tube_pressure_drop(curve=nominal, flow_rate=flow, bore=bore, length=length)
    changes = [
        np.abs(
            np.asarray(
                flow_from_pressure(curve=curve, pressure_drop=pressure, bore=bore, length=length)
            )
            / flow
            - 1.0
        )
        for curve in (thin, thick)
    ]
    return np.asarray(np.minimum(np.maximum(*changes), MOST_CHANGE) * 100.0)


def mixing_variation(case: Case) -> Floats:
    """Coefficient of variation behind a static mixer; NaN where none is stated or needed."""
    if not case.material.two_part:
        return np.full(case.frame.shape(()), np.nan)
    return np.where(case.mixer.static, case.mixer.variation.hard, np.nan)


def residence(case: Case) -> Floats:
    """Age of the oldest mix that leaves the mixer while the line runs. [s]"""
    if not case.material.two_part:
        return np.full(case.frame.shape(()), np.nan)
    return case.mixer.age(case.duty.flow).hard


def purge_waste(case: Case) -> Floats:
    """Volume that one purge of the mixer takes, mL."""
    if not case.material.two_part:
        return np.full(case.frame.shape(()), np.nan)
    return np.asarray(case.mixer.volume * case.practice.purge_volumes.nominal * 1e6)


def drop_volume(case: Case) -> Floats:
    """Largest drop that hangs at the tip, uL."""
    return falling_drop(case) * 1e9


def touching(case: Case) -> Floats:
    """Height over the part at which the smallest shot still touches it, mm."""
    return touch_height(case) * 1e3


def wear_low_of_side(case: Case, side: Side) -> Floats:
    """Lower end of the wear band of one side, hours at the highest flow; invented constants."""
    return _side_band(case, side)[0]


def wear_low(case: Case) -> Floats:
    """Lower end of the wear band, hours at the highest flow; invented constants."""
    return _wear_band(case)[0]


def wear_high(case: Case) -> Floats:
    """Upper end of the wear band, hours at the highest flow; invented constants."""
    return _wear_band(case)[1]


def _wear_band(case: Case) -> tuple[Floats, Floats]:
    bands = [_side_band(case, side) for side in case.sides]
    lows, highs = zip(*bands, strict=True)
    return (
        np.asarray(np.minimum.reduce(np.broadcast_arrays(*lows))),
        np.asarray(np.minimum.reduce(np.broadcast_arrays(*highs))),
    )


def _side_band(case: Case, side: Side) -> tuple[Floats, Floats]:
    filler = side.component.filler
    known = filler is None or (filler.mohs is not None and filler.volume_fraction is not None)
    if not known:
        unknown = np.full(case.frame.shape(()), np.nan)
        return unknown, unknown
    hardness, content, factor = 0.0, 0.0, 1.0
    if filler is not None and filler.mohs is not None and filler.volume_fraction is not None:
        hardness = float(hardness_in_vickers(filler.mohs.nominal))
        content = filler.volume_fraction.nominal
        factor = float(filler_factor(mohs_hardness=filler.mohs.nominal))
    rubbing = rubbing_speed(case, side)
    revolutions = life_revolutions(
        filler_factor=factor,
        filler_fraction=content,
        rubbing_speed=rubbing.demand.nominal,
        rubbing_limit=rubbing.limit.nominal,
        pressure_per_stage=case.outlet.highest.nominal / side.column("cavity", "stages"),
        rotor_factor=case.frame.numbers(side.slot("rotor"), _RotorFactor(hardness)),
    )
    hours = life_hours(revolutions=revolutions, speed=side.rotation.speed.nominal)
    low, high = decade_band(middle=hours)
    return np.asarray(low), np.asarray(high)


class _RotorFactor:
    """Life with a rotor surface over life with hard chrome, by hardness (invented)."""

    def __init__(self, filler_hardness: float) -> None:
        self._filler = filler_hardness

    def __call__(self, part: object) -> float:
        assert isinstance(part, Rotor)
        if self._filler <= part.hardness.nominal * 0.8:
            return 1.0
        return max(0.3, min(1.0, part.hardness.nominal / self._filler))


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
