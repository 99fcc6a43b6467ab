"""Filling: whether the material comes into the turning cavity, and how it is sheared there."""

from __future__ import annotations

import math

import numpy as np

from configurator.physics.domain import Floats as FloatsOrOne
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.inlet import (
    cavity_shear_rate,
    feed_line_loss,
    filling_pressure,
    filling_speed,
    hydraulic_diameter,
)
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.mixing import RATE_ASKS, RATE_PARTS, highest_rate
from configurator.rules.pressure import wall_rates
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS, SPEED_PARTS
from configurator.units.kinds import PRESSURE, ROTATION, SHEAR_RATE


def feed_pressure(case: Case, side: Side) -> Floats:
    """Pressure of the feed above ambient: what is there, as far as the feed stands it. [Pa]"""
    rated = side.column("feed", "pressure_max", "low")
    return np.asarray(np.minimum(case.duty.feed_pressure, rated))


def cavity_filling(case: Case, side: Side) -> Comparison:
    """Pressure that brings the thickest material into the turning cavity, at the feed."""
    limit = Bound.exact(feed_pressure(case, side) + AMBIENT_PRESSURE)
    demand = case.of_requests(inlet_pressure, side)
    return Comparison(demand, limit, PRESSURE, caution=case.caution)


def speed_filled(case: Case, side: Side) -> Comparison:
    """Rotor speed, slip included, against the speed up to which the feed fills the cavity."""
    limit = case.of_requests(_speed_up_to, side)
    return Comparison(
        side.rotation.speed, limit, ROTATION, caution=case.practice.caution_margin.nominal
    )


def _speed_up_to(case: Case, side: Side) -> Bound:
    """Rotor speed up to which the feed fills the cavity. [1/s]"""
    available = feed_pressure(case, side)
    before, drop = available + AMBIENT_PRESSURE - _vapour(side), regulator_drop(side)
    ends = (
        filling_speed(
            curve=curve,
            hydraulic_diameter=_wetted(side),
            stator_pitch=side.column("cavity", "pitch"),
            pressure=np.maximum(before - _line_loss(curve, side) - drop, 0.0),
        )
        for curve in side.fluid.curves
    )
    return Bound.lowest(ends, side.fluid.thick_words, estimated=side.fluid.estimated)


def _vapour(side: Side) -> FloatsOrOne:
    """Vapour pressure, none where nobody states one. [Pa]"""
    stated = side.component.vapour_pressure
    return 0.0 if stated is None else stated.high


def without_suction(case: Case, side: Side) -> Comparison:
    """The same loss against the feed's own pressure, above ambient.

    What the feed does not push, the head sucks: it turns, but it draws air in at every joint and
    starves first, so that such a feed has to prove itself.
    """
    available = feed_pressure(case, side)
    demand = case.of_requests(inlet_pressure, side)
    return Comparison(demand, Bound.exact(available), PRESSURE, cap=State.MARGINAL)


def _wetted(side: Side) -> Floats:
    """Hydraulic diameter of the cavities. [m]"""
    return np.asarray(
        hydraulic_diameter(
            eccentricity=side.column("cavity", "eccentricity"),
            rotor_diameter=side.column("cavity", "rotor_diameter"),
        )
    )


def _line_loss(curve: FlowCurve, side: Side) -> Floats:
    """Loss of the feed line at the highest flow. [Pa]"""
    return np.asarray(
        feed_line_loss(
            curve=curve,
            flow_rate=side.rotation.flow_high,
            bore=side.column("feed", "line_bore", "low"),
            length=side.column("feed", "line_length", "high"),
        )
    )


def head_pressure(side: Side) -> Bound:
    """Absolute pressure needed at the head's inlet: filling loss and vapour pressure. [Pa]"""
    return _at_highest_flow(side, _filling(side))


def inlet_pressure(_case: Case, side: Side) -> Bound:
    """Absolute pressure needed at the feed: that at the head, loss of line and regulator. [Pa]"""
    drop, curves = regulator_drop(side), side.fluid.curves
    ends = zip(curves, _filling(side), strict=True)
    return _at_highest_flow(side, [_line_loss(curve, side) + drop + loss for curve, loss in ends])


def _filling(side: Side) -> list[Floats]:
    """At the thin, usual and thick end, of a rotor that loses nothing. [Pa]

    What slips back makes it turn faster, see `speed_filled`.
    """
    ends = (
        filling_pressure(
            curve=curve,
            hydraulic_diameter=_wetted(side),
            stator_pitch=side.column("cavity", "pitch"),
            speed=side.rotation.turns,
        )
        for curve in side.fluid.curves
    )
    return [np.asarray(loss) + _vapour(side) for loss in ends]


def regulator_drop(side: Side) -> Floats:
    """Least drop over the regulator of the feed; nothing where it has none. [Pa]"""
    return np.nan_to_num(side.column("feed", "regulator_drop", "high"))


def _at_highest_flow(side: Side, ends: list[Floats]) -> Bound:
    words = f"{side.fluid.thick_words}, highest flow"
    return Bound.highest(ends, words, estimated=side.fluid.estimated)


def cavity_shear(_case: Case, side: Side) -> Comparison | None:
    """Shear rate in the cavity against what the material stands."""
    rate = cavity_shear_rate(
        eccentricity=side.column("cavity", "eccentricity"),
        rotor_diameter=side.column("cavity", "rotor_diameter"),
        stator_pitch=side.column("cavity", "pitch"),
        speed=side.rotation.turns,
    )
    return _against_shear(side, Bound.exact(np.asarray(rate)))


def tip_shear(case: Case, side: Side) -> Comparison | None:
    """Shear rate at the wall of the tip against what the material stands; it usually governs."""
    ends = wall_rates(case, case.duty.flow.high, case.column("outlet", "bore"))
    estimated = case.subject.outlet_fluid.estimated
    return _against_shear(side, Bound.highest(ends, "highest flow", estimated=estimated))


def mixer_shear(case: Case, side: Side) -> Comparison | None:
    """Shear rate in the mixing device against what a component stands."""
    if not case.material.two_part:
        return None
    return _against_shear(side, Bound.exact(highest_rate(case), "highest flow"))


def _against_shear(side: Side, rate: Bound) -> Comparison | None:
    """A shear rate against the most that a component stands, if that is asked."""
    stands = side.component.shear_rate_max
    if stands is None and "shear" not in side.component.sensitive_to:
        return None
    limit = math.nan if stands is None else stands.low
    # Of many materials, one that shear does not hurt and that states no limit stands any rate.
    asked = True if stands is None else ~np.isposinf(limit)
    return Comparison(rate, Bound.exact(limit), SHEAR_RATE, asked=asked)


CAVITY_PARTS = ("cavity.eccentricity", "cavity.rotor_diameter", "cavity.pitch")
FEED_PARTS = ("feed.line_bore", "feed.line_length", "feed.pressure_max", "feed.regulator_drop")
INLET_PARTS = ("cavity.displacement", *CAVITY_PARTS, *FEED_PARTS)
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
        parts=INLET_PARTS,
        asks=INLET_ASKS,
        practice=("caution_margin",),
        check=cavity_filling,
        sentence="filling {cavity} through feed {feed} takes {demand} absolute; "
        "there are {limit} absolute",
        source="laminar loss of line and cavity; pressure available at the feed",
    ),
    Rule(
        name="rotor speed the feed can fill",
        family="metering",
        parts=(*CAVITY_PARTS, *FEED_PARTS, *SPEED_PARTS),
        asks=(*FLOW_ASKS, *INLET_ASKS),
        practice=("caution_margin",),
        check=speed_filled,
        grows_with_slip=True,
        sentence="{cavity} has to turn at {demand} with tip {outlet}; through feed {feed} it fills "
        "up to {limit}",
        source="laminar loss of line and cavity; speed from displacement and slip",
    ),
    Rule(
        name="filling without suction",
        family="metering",
        parts=INLET_PARTS,
        asks=INLET_ASKS,
        check=without_suction,
        sentence="filling {cavity} through feed {feed} takes {demand}; the feed pushes with "
        "{limit}, and the head sucks the rest",
        source="common practice, no source: a head that sucks draws air and starves first",
    ),
    Rule(
        name="shear in the cavity",
        family="metering",
        parts=("cavity.displacement", *CAVITY_PARTS),
        asks=("component.shear_rate_max", "component.sensitive_to", "process.deposit"),
        check=cavity_shear,
        sentence="{cavity} shears the material at {demand}; it stands {limit}",
        source="cavity shear rate 8 u / Dh (from memory)",
    ),
    Rule(
        name="shear in the tip",
        family="metering",
        parts=("outlet.bore",),
        asks=(
            "component.shear_rate_max",
            "component.sensitive_to",
            "component.flow",
            "process.deposit",
            "process.temperature",
        ),
        check=tip_shear,
        sentence="tip {outlet} shears the material at {demand}; it stands {limit}",
        source="wall shear rate by the Rabinowitsch relation",
    ),
    Rule(
        name="shear in the mixer",
        family="metering",
        parts=RATE_PARTS,
        asks=("component.shear_rate_max", "component.sensitive_to", *RATE_ASKS),
        practice=("chamber_turns",),
        check=mixer_shear,
        sentence="{mixing} shears the material at {demand}; it stands {limit}",
        source="wall of the empty tube, or gap of the stirrer at the speed that gives the turns asked for",
    ),
)
