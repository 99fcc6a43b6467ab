"""Filling: whether the material comes into the turning cavity, and how it is sheared there."""

from __future__ import annotations

import math

import numpy as np

from configurator.physics.cavity import cavity_shear_rate, hydraulic_diameter
from configurator.physics.inlet import feed_line_loss, filling_pressure
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison
from configurator.rules.finding import State
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import PRESSURE, SHEAR_RATE


def cavity_filling(case: Case, side: Side) -> Comparison:
    """Pressure that brings the thickest material into the turning cavity, at the feed."""
    demand = inlet_pressure(case, side)
    available = np.minimum(case.duty.feed_pressure, side.column("feed", "pressure_max", "low"))
    return Comparison(
        demand,
        Bound.exact(available + AMBIENT_PRESSURE),
        PRESSURE,
        caution=case.practice.caution_margin.nominal,
    )


def without_suction(case: Case, side: Side) -> Comparison:
    """The same loss against the feed's own pressure, above ambient.

    What the feed does not push, the head sucks: it turns, but it draws air in at every joint and
    starves first, so that such a feed has to prove itself.
    """
    available = np.minimum(case.duty.feed_pressure, side.column("feed", "pressure_max", "low"))
    return Comparison(
        inlet_pressure(case, side), Bound.exact(available), PRESSURE, cap=State.MARGINAL
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
            flow_rate=side.rotation.flow_high,
            bore=side.column("feed", "line_bore", "low"),
            length=side.column("feed", "line_length", "high"),
        )
        filling = filling_pressure(
            curve=curve,
            hydraulic_diameter=wetted,
            stator_pitch=side.column("cavity", "pitch"),
            speed=side.rotation.turns,
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
    if stands is None and "shear" not in side.component.sensitive_to:
        return None
    rate = cavity_shear_rate(
        eccentricity=side.column("cavity", "eccentricity"),
        rotor_diameter=side.column("cavity", "rotor_diameter"),
        stator_pitch=side.column("cavity", "pitch"),
        speed=side.rotation.turns,
    )
    limit = math.nan if stands is None else stands.low
    # Of many materials, one that shear does not hurt and that states no limit stands any rate.
    asked = True if stands is None else ~np.isposinf(limit)
    return Comparison(Bound.exact(np.asarray(rate)), Bound.exact(limit), SHEAR_RATE, asked=asked)


INLET_ASKS = (
    "component.flow",
    "component.vapour_pressure",
    "process.deposit",
    "process.temperature",
    "process.feed_pressure",
)

RULES: tuple[Rule, ...] = (
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
        asks=INLET_ASKS,
        practice=("caution_margin",),
        check=cavity_filling,
        sentence="filling {cavity} through feed {feed} takes {demand} absolute; "
        "there are {limit} absolute",
        source="laminar loss of line and cavity; pressure available at the feed",
    ),
    Rule(
        name="filling without suction",
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
        asks=INLET_ASKS,
        check=without_suction,
        sentence="filling {cavity} through feed {feed} takes {demand}; the feed pushes with "
        "{limit}, and the head sucks the rest",
        source="common practice, no source: a head that sucks draws air and starves first",
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
        asks=("component.shear_rate_max", "component.sensitive_to", "process.deposit"),
        check=cavity_shear,
        sentence="{cavity} shears the material at {demand}; it stands {limit}",
        source="cavity shear rate 8 u / Dh (from memory)",
    ),
)
