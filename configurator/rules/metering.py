"""Metering: a shot against one turn of the rotor, and everything that moves the volume."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from configurator.physics.drive import backlash_volume, encoder_step_volume
from configurator.physics.stored_volume import trapped_air_volume
from configurator.rules.case import Case
from configurator.rules.comparison import RELATIVE_SLACK, Bound, Comparison, Floats
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS, SPEED_PARTS
from configurator.units.interval import ENDS
from configurator.units.kinds import FRACTION, NUMBER


def shot_turns(case: Case, side: Side) -> Comparison | None:
    """Turns of the rotor in one shot: less than a part of a turn shows the rotor's angle."""
    shot = case.duty.shot
    if shot is None:
        return None
    practice = case.practice
    tight = case.duty.tolerance <= practice.tight_tolerance.nominal * (1 + 1e-9)
    needed = np.where(tight, practice.shot_turns_tight.nominal, practice.shot_turns.nominal)
    least, usual, most = (side.column("cavity", "displacement", end) for end in ENDS)
    demand = Bound(
        kind=shot.high * side.share.high / least,
        nominal=shot.nominal * side.share.nominal / usual,
        hard=shot.low * side.share.low / most,
        corner="smallest shot",
    )
    return Comparison(demand, Bound.exact(needed), NUMBER, at_least=True)


def error_parts(case: Case, side: Side) -> dict[str, Bound]:
    """Parts of the volume error, each as a share of the volume.

    Returns
    -------
    dict
        `slip` over the stated range; for a shot also `encoder`, `backlash` and `stored`, the
        volume that the trapped air behind the tip lets out after the stop.
    """
    parts = {"slip": side.rotation.slip_error}
    shot = case.duty.shot
    if shot is None:
        return parts
    volume = shot.low * side.share.low
    displacement = side.column("cavity", "displacement", "high")
    step = encoder_step_volume(
        displacement=displacement,
        counts_per_motor_turn=side.column("drive", "counts_per_turn"),
        gear_ratio=1.0,  # catalogs state counts at the rotor
    )
    play = backlash_volume(
        displacement=displacement, backlash=side.column("drive", "backlash", "high")
    )
    parts["encoder"] = Bound.exact(np.asarray(step) / volume)
    parts["backlash"] = Bound.exact(np.asarray(play) / volume)
    parts["stored"] = Bound.exact(_stored_change(case) / volume, "thin to thick")
    return parts


def _stored_change(case: Case) -> Floats:
    """Change over the range of the volume that air in the tip gives back after a stop. [m^3]"""
    entry, length = (case.column("outlet", name, "high") for name in ("entry_bore", "length"))
    released = trapped_air_volume(
        volume=np.pi / 4 * entry**2 * length,
        air_share=case.practice.trapped_air.nominal,
        pressure_low=AMBIENT_PRESSURE,
        pressure_high=AMBIENT_PRESSURE + case.outlet.fast,
    )
    return np.asarray(np.ptp(np.asarray(released), axis=0))


def volume_error(case: Case, side: Side) -> Comparison:
    """Everything that moves the dispensed volume, against the tolerance.

    Over a grid the parts that the drive makes stand on the side of the limit, which is the
    same statement squared, so that no array spans all the slots at once.
    """
    slip, random, one_sided = _combined(error_parts(case, side))
    tolerance = np.asarray(case.duty.tolerance)
    if case.frame.is_grid:
        left = np.maximum(tolerance * (1.0 + RELATIVE_SLACK) - one_sided, 0.0) ** 2 - random
        squared = np.asarray(slip.nominal**2)
        demand = replace(slip, kind=squared, nominal=squared, hard=np.asarray(slip.hard**2))
        return Comparison(demand, Bound.exact(left), FRACTION)
    nominal = np.asarray(np.sqrt(slip.nominal**2 + random) + one_sided)
    demand = replace(slip, kind=nominal, nominal=nominal, hard=largest_error(case, side))
    return Comparison(demand, Bound.exact(tolerance), FRACTION)


def largest_error(case: Case, side: Side) -> Floats:
    """Volume error at the hard end, as a share of the volume. [-]"""
    slip, random, one_sided = _combined(error_parts(case, side))
    return np.asarray(np.sqrt(slip.hard**2 + random) + one_sided)


def _combined(parts: dict[str, Bound]) -> tuple[Bound, Floats, Floats]:
    """Slip, the sum of the squares of random parts, and the sum of one-sided ones."""
    squares = [parts[name].hard ** 2 for name in ("encoder", "backlash") if name in parts]
    random = np.asarray(sum(squares, np.asarray(0.0)))
    one_sided = parts["stored"].hard if "stored" in parts else np.asarray(0.0)
    return parts["slip"], random, one_sided


RULES: tuple[Rule, ...] = (
    Rule(
        name="shot in rotor turns",
        family="metering",
        parts=("cavity.displacement",),
        asks=("process.deposit", "process.tolerance"),
        practice=("shot_turns", "shot_turns_tight", "tight_tolerance"),
        check=shot_turns,
        sentence="the smallest shot is {demand} turns of {cavity}; "
        "this tolerance needs {limit} turns",
        source="least share of a turn, shop practice",
    ),
    Rule(
        name="volume error",
        family="metering",
        parts=(*SPEED_PARTS, "drive.counts_per_turn", "drive.backlash"),
        asks=(*FLOW_ASKS, "process.tolerance"),
        practice=("slip_factor_own", "slip_factor_other", "trapped_air"),
        check=volume_error,
        sentence="{cavity} with stator {stator}, tip {outlet} and drive {drive} is off by up to "
        "{demand}; the tolerance is {limit}",
        source="slip over the stated range, encoder step and backlash in quadrature, stored "
        "volume added; combination as in JCGM 100",
    ),
)
