"""Rotor speed: what the flow asks for, against material, filler, drive and shaft seal."""

from __future__ import annotations

import math

import numpy as np

from configurator.physics.domain import Floats as FloatsOrOne
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.hardness import by_class
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import ROTATION, SPEED

SPEED_PARTS = (
    "cavity.displacement",
    "cavity.stages",
    "cavity.rated_elastomer",
    "cavity.rated_rigid",
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

FLOW_ASKS = (
    "component.flow",
    "component.density",
    "process.deposit",
    "process.temperature",
    "process.back_pressure",
)


def speed_against_viscosity(case: Case, side: Side) -> Comparison:
    """Rotor speed against the rule-of-thumb cap for a viscosity, which guards the filling."""
    kind, nominal, hard = (_speed_cap(case, side, each) for each in side.fluid.apparent())
    limit = Bound(
        kind=np.maximum(kind, nominal),
        nominal=nominal,
        hard=np.minimum(hard, nominal),
        corner=side.fluid.thick_words,
        estimated=side.fluid.estimated,
    )
    return Comparison(side.rotation.speed, limit, ROTATION, caution=case.caution)


def _speed_cap(case: Case, side: Side, viscosity: FloatsOrOne) -> Floats:
    """Top speed for a viscosity; very hard fillers have one of their own. [1/s]"""
    steps = case.practice.speed_caps
    # What is thicker than the last step, or unknown, gets the last one.
    cap = np.full(np.shape(viscosity), steps[-1].speed.nominal)
    for step in reversed(steps):
        within = np.less_equal(viscosity, step.viscosity_up_to.nominal)
        cap = np.where(within, step.speed.nominal, cap)
    # A filler of unknown hardness is held back by other rules, not by this one.
    usual = math.inf
    most = by_class(
        side.component,
        clean=usual,
        mild=usual,
        hard=usual,
        very_hard=case.practice.speed_cap_very_hard.nominal,
    )
    return np.asarray(np.fmin(cap, most))


def rubbing_speed(case: Case, side: Side) -> Comparison:
    """Rubbing between rotor and stator against what the filler allows."""
    demand = side.rotation.speed.each(side.rotation.rubbing_speed)
    filler = side.component.filler
    limits = case.practice.rubbing_speed
    limit = by_class(
        side.component,
        clean=limits.clean.nominal,
        mild=limits.mild.nominal,
        hard=limits.hard.nominal,
        very_hard=limits.very_hard.nominal,
    )
    if filler is not None:
        limit = np.where(filler.hollow, limits.hollow.nominal, limit)
    return Comparison(demand, Bound.exact(limit), SPEED, caution=case.caution)


def _against(slot: str, title: str, stands: str) -> Rule:
    """Rotor speed at the highest flow against what a part reaches or stands."""

    def check(case: Case, side: Side) -> Comparison:
        limit = Bound.exact(side.column(slot, "speed_max", "low"))
        return Comparison(side.rotation.speed, limit, ROTATION, caution=case.caution)

    return Rule(
        name=f"rotor speed against the {title}",
        family="metering",
        parts=(f"{slot}.speed_max", *SPEED_PARTS),
        asks=FLOW_ASKS,
        practice=("caution_margin",),
        check=check,
        grows_with_slip=True,
        sentence=f"{{cavity}} has to turn at {{demand}} with tip {{outlet}}; {stands} {{limit}}",
        source="speed from displacement and slip; rating from the catalog",
    )


def slowest_speed(_case: Case, side: Side) -> Comparison:
    """Rotor speed at the lowest flow against the slowest that the drive turns smoothly."""
    demand = Bound.exact(
        side.rotation.flow_low / side.column("cavity", "displacement", "high"),
        "lowest flow, no slip",
    )
    limit = Bound.exact(side.column("drive", "speed_min", "high"))
    return Comparison(demand, limit, ROTATION, at_least=True)


RULES: tuple[Rule, ...] = (
    Rule(
        name="rotor speed against viscosity",
        family="metering",
        parts=SPEED_PARTS,
        asks=(*FLOW_ASKS, "component.filler.mohs"),
        practice=("speed_caps", "speed_cap_very_hard", "caution_margin"),
        check=speed_against_viscosity,
        comfort=(0.5, 0.7),
        grows_with_slip=True,
        sentence="{cavity} has to turn at {demand} with stator {stator} and tip {outlet}; "
        "so thick a material allows {limit}",
        source="speed caps of shop practice; speed from displacement and slip",
    ),
    Rule(
        name="rubbing speed against filler",
        family="metering",
        parts=("cavity.eccentricity", "cavity.rotor_diameter", *SPEED_PARTS),
        asks=(*FLOW_ASKS, "component.filler.mohs", "component.filler.hollow"),
        practice=("rubbing_speed", "caution_margin"),
        check=rubbing_speed,
        grows_with_slip=True,
        sentence="rotor of {cavity} rubs at {demand}; this filler allows {limit}",
        source="largest rubbing speed pi n (D + 4e), own derivation; limits of shop practice",
    ),
    _against("drive", "drive", "drive {drive} reaches"),
    _against("seal", "shaft seal", "seal {seal} stands"),
    Rule(
        name="slowest smooth speed",
        family="metering",
        parts=("cavity.displacement", "drive.speed_min"),
        asks=("process.deposit",),
        check=slowest_speed,
        comfort=(0.5, 0.8),
        sentence="{cavity} turns at {demand} at the lowest flow; "
        "drive {drive} turns smoothly from {limit}",
        source="speed from displacement; rating from the catalog",
    ),
)
