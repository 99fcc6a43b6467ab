"""Metering: speed window, shot against one turn, volume error, filling of the cavity."""

from __future__ import annotations

import math

import numpy as np

from configurator.physics.cavity import cavity_shear_rate, hydraulic_diameter
from configurator.physics.drive import backlash_volume, encoder_step_volume
from configurator.physics.inlet import feed_line_loss, filling_pressure
from configurator.physics.stored_volume import trapped_air_volume
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.hardness import filler_class
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import FRACTION, NUMBER, PRESSURE, ROTATION, SHEAR_RATE, SPEED

SPEED_PARTS = (
    "cavity.displacement",
    "cavity.stages",
    "cavity.rated_elastomer",
    "cavity.seal_width",
    "cavity.seal_land",
    "cavity.opening_pressure",
    "stator.kind",
    "outlet.bore",
    "outlet.entry_bore",
    "outlet.length",
    "mixing.bore",
    "mixing.elements",
    "mixing.loss_factor",
)
"""What slip, and so the speed, depends on."""

FLOW_ASKS = ("component.flow", "component.density", "process.deposit", "process.temperature")


def _caution(case: Case) -> float:
    return case.practice.caution_margin.nominal


def speed_against_viscosity(case: Case, side: Side) -> Comparison:
    """Rotor speed against the rule-of-thumb cap for a viscosity, which guards the filling."""
    thickest = side.fluid.viscosity()[2]
    middle = side.fluid.viscosity()[1]
    nominal, hard = (_speed_cap(case, value) for value in (middle, thickest))
    limit = Bound(
        kind=np.asarray(nominal),
        nominal=np.asarray(nominal),
        hard=np.asarray(min(hard, nominal)),
        corner=side.fluid.thick_words,
        estimated=side.fluid.estimated,
    )
    return Comparison(side.speed, limit, ROTATION, caution=_caution(case))


def _speed_cap(case: Case, viscosity: float) -> float:
    for cap in case.practice.speed_caps:
        if viscosity <= cap.viscosity_up_to.nominal:
            return cap.speed.nominal
    return case.practice.speed_caps[-1].speed.nominal


def rubbing_speed(case: Case, side: Side) -> Comparison:
    """Rubbing between rotor and stator against what the filler allows."""
    speed = side.speed
    demand = Bound(
        kind=side.rubbing_speed(speed.kind),
        nominal=side.rubbing_speed(speed.nominal),
        hard=side.rubbing_speed(speed.hard),
        corner=speed.corner,
        estimated=speed.estimated,
    )
    filler = side.component.filler
    limits = case.practice.rubbing_speed
    if filler is not None and filler.hollow:
        limit = limits.hollow.nominal
    else:
        hardness = filler_class(side.component)
        limit = (
            {
                "clean": limits.clean,
                "mild": limits.mild,
                "hard": limits.hard,
                "very hard": limits.very_hard,
            }[hardness].nominal
            if hardness is not None
            else math.nan
        )
    return Comparison(demand, Bound.exact(limit), SPEED, caution=_caution(case))


def speed_against_drive(case: Case, side: Side) -> Comparison:
    """Rotor speed at the highest flow against the drive's top speed."""
    limit = Bound.exact(side.column("drive", "speed_max"))
    return Comparison(side.speed, limit, ROTATION, caution=_caution(case))


def speed_against_seal(case: Case, side: Side) -> Comparison:
    """Shaft speed against what the seal stands."""
    limit = Bound.exact(side.column("seal", "speed_max"))
    return Comparison(side.speed, limit, ROTATION, caution=_caution(case))


def slowest_speed(_case: Case, side: Side) -> Comparison:
    """Rotor speed at the lowest flow against the slowest that the drive turns smoothly."""
    demand = Bound.exact(
        side.flow_low / side.column("cavity", "displacement"), "lowest flow, no slip"
    )
    limit = Bound.exact(side.column("drive", "speed_min"))
    return Comparison(demand, limit, ROTATION, at_least=True)


def shot_turns(case: Case, side: Side) -> Comparison | None:
    """Turns of the rotor in one shot: less than a part of a turn shows the rotor's angle."""
    shot = case.duty.shot
    if shot is None:
        return None
    practice = case.practice
    tight = case.duty.tolerance <= practice.tight_tolerance.nominal * (1 + 1e-9)
    needed = practice.shot_turns_tight if tight else practice.shot_turns
    displacement = side.column("cavity", "displacement")
    demand = Bound(
        kind=shot.high * side.share / displacement,
        nominal=shot.nominal * side.share / displacement,
        hard=shot.low * side.share / displacement,
        corner="smallest shot",
    )
    return Comparison(demand, Bound.exact(needed.nominal), NUMBER, at_least=True)


def error_parts(case: Case, side: Side) -> dict[str, Bound]:
    """Parts of the volume error, each as a share of the volume.

    Returns
    -------
    dict
        `slip` over the stated range; for a shot also `encoder`, `backlash` and `stored`, the
        volume that the trapped air behind the tip lets out after the stop.
    """
    parts = {"slip": side.slip_error}
    shot = case.duty.shot
    if shot is None:
        return parts
    volume = shot.low * side.share
    displacement = side.column("cavity", "displacement")
    step = encoder_step_volume(
        displacement=displacement,
        counts_per_motor_turn=side.column("drive", "counts_per_turn"),
        gear_ratio=1.0,  # catalogs state counts at the rotor
    )
    play = backlash_volume(displacement=displacement, backlash=side.column("drive", "backlash"))
    parts["encoder"] = Bound.exact(np.asarray(step) / volume)
    parts["backlash"] = Bound.exact(np.asarray(play) / volume)
    parts["stored"] = Bound.exact(_stored_change(case) / volume, "thin to thick")
    return parts


def _stored_change(case: Case) -> Floats:
    """Change over the range of the volume that air in the tip gives back after a stop. [m^3]"""
    entry, length = case.column("outlet", "entry_bore"), case.column("outlet", "length")
    released = trapped_air_volume(
        volume=np.pi / 4 * entry**2 * length,
        air_share=case.practice.trapped_air.nominal,
        pressure_low=AMBIENT_PRESSURE,
        pressure_high=AMBIENT_PRESSURE + case.back_pressure_fast,
    )
    return np.asarray(np.ptp(np.asarray(released), axis=0))


def volume_error(case: Case, side: Side) -> Comparison:
    """Everything that moves the dispensed volume, against the tolerance."""
    parts = error_parts(case, side)
    slip = parts["slip"]
    random = [parts[name].hard for name in ("encoder", "backlash") if name in parts]
    one_sided = parts["stored"].hard if "stored" in parts else np.asarray(0.0)

    def total(slip_end: Floats) -> Floats:
        squares = slip_end**2 + sum((part**2 for part in random), np.asarray(0.0))
        return np.asarray(np.sqrt(squares) + one_sided)

    demand = Bound(
        kind=total(slip.kind),
        nominal=total(slip.nominal),
        hard=total(slip.hard),
        corner=slip.corner,
        estimated=slip.estimated,
    )
    return Comparison(demand, Bound.exact(case.duty.tolerance), FRACTION)


def cavity_filling(case: Case, side: Side) -> Comparison:
    """Pressure that brings the thickest material into the turning cavity, at the feed."""
    demand = inlet_pressure(case, side)
    available = np.minimum(case.duty.feed_pressure, side.column("feed", "pressure_max"))
    return Comparison(
        demand, Bound.exact(available + AMBIENT_PRESSURE), PRESSURE, caution=_caution(case)
    )


def inlet_pressure(_case: Case, side: Side) -> Bound:
    """Absolute pressure needed at the feed: line loss, filling loss, vapour pressure. [Pa]"""
    vapour = side.component.vapour_pressure
    floor = 0.0 if vapour is None else vapour.high
    wetted = hydraulic_diameter(
        eccentricity=side.column("cavity", "eccentricity"),
        rotor_diameter=side.column("cavity", "rotor_diameter"),
    )
    ends = []
    for curve in side.fluid.curves:
        line = feed_line_loss(
            curve=curve,
            flow_rate=side.flow_high,
            bore=side.column("feed", "line_bore"),
            length=side.column("feed", "line_length"),
        )
        filling = filling_pressure(
            curve=curve,
            hydraulic_diameter=wetted,
            stator_pitch=side.column("cavity", "pitch"),
            speed=side.turns,
        )
        ends.append(np.asarray(line) + np.asarray(filling) + floor)
    stacked = np.stack(np.broadcast_arrays(*ends))
    return Bound.highest(
        stacked,
        stacked[1],
        f"{side.fluid.thick_words}, highest flow",
        estimated=side.fluid.estimated,
    )


def cavity_shear(_case: Case, side: Side) -> Comparison | None:
    """Shear rate in the cavity against what the material stands."""
    stands = side.component.shear_rate_max
    if stands is None:
        return None
    rate = cavity_shear_rate(
        eccentricity=side.column("cavity", "eccentricity"),
        rotor_diameter=side.column("cavity", "rotor_diameter"),
        stator_pitch=side.column("cavity", "pitch"),
        speed=side.turns,
    )
    return Comparison(Bound.exact(np.asarray(rate)), Bound.exact(stands.low), SHEAR_RATE)


RULES: tuple[Rule, ...] = (
    Rule(
        name="rotor speed against viscosity",
        family="metering",
        parts=SPEED_PARTS,
        asks=FLOW_ASKS,
        practice=("speed_caps", "caution_margin"),
        check=speed_against_viscosity,
        sentence="{cavity} has to turn at {demand} with stator {stator} and tip {outlet}; "
        "so thick a material allows {limit}",
        source="speed caps of shop practice; speed from displacement and slip",
    ),
    Rule(
        name="rubbing speed against filler",
        family="metering",
        parts=("cavity.eccentricity", "cavity.rotor_diameter", *SPEED_PARTS),
        asks=(*FLOW_ASKS, "component.filler.mohs"),
        practice=("rubbing_speed", "caution_margin"),
        check=rubbing_speed,
        sentence="rotor of {cavity} rubs at {demand}; this filler allows {limit}",
        source="largest rubbing speed pi n (D + 4e), own derivation; limits of shop practice",
    ),
    Rule(
        name="rotor speed against the drive",
        family="metering",
        parts=("drive.speed_max", *SPEED_PARTS),
        asks=FLOW_ASKS,
        practice=("caution_margin",),
        check=speed_against_drive,
        sentence="{cavity} has to turn at {demand} with tip {outlet}; drive {drive} reaches {limit}",
        source="speed from displacement and slip; rating from the catalog",
    ),
    Rule(
        name="rotor speed against the shaft seal",
        family="metering",
        parts=("seal.speed_max", *SPEED_PARTS),
        asks=FLOW_ASKS,
        practice=("caution_margin",),
        check=speed_against_seal,
        sentence="{cavity} has to turn at {demand} with tip {outlet}; seal {seal} stands {limit}",
        source="speed from displacement and slip; rating from the catalog",
    ),
    Rule(
        name="slowest smooth speed",
        family="metering",
        parts=("cavity.displacement", "drive.speed_min"),
        asks=("process.deposit",),
        check=slowest_speed,
        sentence="{cavity} turns at {demand} at the lowest flow; "
        "drive {drive} turns smoothly from {limit}",
        source="speed from displacement; rating from the catalog",
    ),
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
    Rule(
        name="filling of the cavity",
        family="metering",
        parts=(
            "cavity.displacement",
            "cavity.eccentricity",
            "cavity.rotor_diameter",
            "cavity.pitch",
            "feed.line_bore",
            "feed.line_length",
            "feed.pressure_max",
        ),
        asks=("component.flow", "process.deposit", "process.temperature", "process.feed_pressure"),
        practice=("caution_margin",),
        check=cavity_filling,
        sentence="filling {cavity} through feed {feed} takes {demand} absolute; "
        "there are {limit} absolute",
        source="laminar loss of line and cavity; pressure available at the feed",
    ),
    Rule(
        name="shear in the cavity",
        family="metering",
        parts=(
            "cavity.displacement",
            "cavity.eccentricity",
            "cavity.rotor_diameter",
            "cavity.pitch",
        ),
        asks=("component.shear_rate_max", "process.deposit"),
        check=cavity_shear,
        sentence="{cavity} shears the material at {demand}; it stands {limit}",
        source="cavity shear rate 8 u / Dh (from memory)",
    ),
)
