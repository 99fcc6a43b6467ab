"""The pressure chain, from the tip back to the feed, at the thick end of the range."""

from __future__ import annotations

import numpy as np

from configurator.physics.domain import Floats as FloatsOrOne
from configurator.physics.tube_flow import reynolds_metzner_reed, wall_shear_rate
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.hardness import by_class
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import NUMBER, PRESSURE, SHEAR_RATE

LAMINAR_UP_TO = 2040.0
"""Reynolds number up to which tube flow stays laminar (value used by the `fluids` library,
`fluids.friction.LAMINAR_TRANSITION_PIPE`)."""

TIP_PARTS = (
    "outlet.bore",
    "outlet.entry_bore",
    "outlet.length",
    "mixing.bore",
    "mixing.elements",
    "mixing.loss_factor",
)
"""What the pressure behind the outlet depends on; a one-part head has no mixing part."""

STAGE_PARTS = (
    "cavity.stages",
    "cavity.stage_pressure",
    "cavity.stage_pressure_abrasive",
    "cavity.stage_pressure_thin",
    "stator.pressure_factor",
)

FLOW_ASKS = (
    "component.flow",
    "process.deposit",
    "process.temperature",
    "process.back_pressure",
)


def stage_pressure(case: Case, side: Side) -> Comparison:
    """Pressure over one stage against what rotor and stator hold in this material."""
    stages = side.column("cavity", "stages")
    demand = case.outlet.highest.each(lambda end: end / stages)
    allowed = _rating(case, side) * side.column("stator", "pressure_factor")
    return Comparison(demand, Bound.exact(allowed), PRESSURE, caution=case.caution)


def _rating(case: Case, side: Side) -> Floats:
    """Which of a cavity's three ratings holds: thin and abrasive materials get less. [Pa]"""
    ratings = ("stage_pressure", "stage_pressure_thin", "stage_pressure_abrasive")
    usual, when_thin, when_hard = (side.column("cavity", rating, "low") for rating in ratings)
    thin = np.asarray(side.fluid.apparent()[0] < case.practice.thin_below.nominal)
    hard = np.asarray(by_class(side.component, clean=0.0, mild=0.0, hard=1.0, very_hard=1.0))
    when_thin, when_hard = np.minimum(usual, when_thin), np.minimum(usual, when_hard)
    rating = np.where(hard == 1.0, when_hard, np.where(thin, when_thin, usual))
    return np.where(np.isnan(hard), np.nan, rating)


def against(slot: str) -> Rule:
    """The rule that compares the pressure behind the outlet with one part's rating."""
    names = {
        "size": "pressure in the housing",
        "body": "pressure in the body",
        "seal": "pressure at the shaft seal",
        "outlet": "pressure at the tip joint",
    }

    def check(case: Case, side: Side) -> Comparison:
        limit = Bound.exact(side.column(slot, "pressure_max", "low"))
        return Comparison(case.outlet.highest, limit, PRESSURE, caution=case.caution)

    return Rule(
        name=names[slot],
        family="pressure",
        parts=(f"{slot}.pressure_max", *TIP_PARTS),
        asks=FLOW_ASKS,
        practice=("caution_margin",),
        check=check,
        sentence=f"tip {{outlet}} needs {{demand}}; {slot} {{{slot}}} is rated {{limit}}",
        source="pressure loss of the tip by the Rabinowitsch relation, with jet and entrance; rating from "
        "the catalog",
        whole=slot == "outlet",
    )


def laminar_tip(case: Case, _side: Side) -> Comparison:
    """Reynolds number in the tip: the loss formulas hold for laminar flow only."""
    fluid = case.subject.outlet_fluid
    ends = (
        reynolds_metzner_reed(
            curve=curve,
            density=fluid.density_ends[1],
            flow_rate=case.duty.flow.high,
            bore=case.column("outlet", "bore", "low"),
        )
        for curve in fluid.curves
    )
    demand = Bound.highest(ends, fluid.thin_words, estimated=fluid.estimated)
    return Comparison(demand, Bound.exact(LAMINAR_UP_TO), NUMBER, cap=State.UNPROVEN)


def measured_rate(case: Case, _side: Side) -> Comparison | None:
    """Shear rate in the tip against the highest one that was measured."""
    fluid = case.subject.outlet_fluid
    measured = np.isfinite(fluid.highest_rate)
    if not measured.any():
        return None
    rates = wall_rates(case, case.duty.flow.high, case.column("outlet", "bore", "low"))
    demand = Bound.highest(rates, "highest flow", estimated=fluid.estimated)
    limit = Bound.exact(fluid.highest_rate)
    return Comparison(demand, limit, SHEAR_RATE, cap=State.MARGINAL, asked=measured)


def lowest_measured_rate(case: Case, _side: Side) -> Comparison | None:
    """Shear rate in the tip against the lowest one that was measured: below it nobody looked."""
    fluid = case.subject.outlet_fluid
    measured = np.greater(fluid.lowest_rate, 0.0)
    if not measured.any():
        return None
    rates = wall_rates(case, case.duty.flow.low, case.column("outlet", "bore", "high"))
    demand = Bound.lowest(rates, "lowest flow", estimated=fluid.estimated)
    limit = Bound.exact(fluid.lowest_rate)
    return Comparison(demand, limit, SHEAR_RATE, at_least=True, cap=State.MARGINAL, asked=measured)


def wall_rates(case: Case, flow: float, bore: Floats) -> list[FloatsOrOne]:
    """Shear rate at the wall of a tip, thin to thick. [1/s]"""
    curves = case.subject.outlet_fluid.curves
    return [wall_shear_rate(curve=curve, flow_rate=flow, bore=bore) for curve in curves]


RULES: tuple[Rule, ...] = (
    Rule(
        name="pressure on each stage",
        family="pressure",
        parts=(*STAGE_PARTS, *TIP_PARTS),
        asks=(*FLOW_ASKS, "component.filler.mohs"),
        practice=("caution_margin", "thin_below"),
        check=stage_pressure,
        comfort=(0.5, 0.7),
        sentence="tip {outlet} puts {demand} on each stage of {cavity}; "
        "with stator {stator} a stage holds {limit}",
        source="pressure loss of the tip by the Rabinowitsch relation, with jet and entrance; rating from "
        "the catalog",
    ),
    against("size"),
    against("body"),
    against("seal"),
    against("outlet"),
    Rule(
        name="laminar flow in the tip",
        family="pressure",
        parts=("outlet.bore",),
        asks=("component.flow", "component.density", "process.deposit", "process.temperature"),
        check=laminar_tip,
        whole=True,
        sentence="flow in tip {outlet} has a Reynolds number of {demand}; "
        "the loss formula holds up to {limit}",
        source="Metzner-Reed Reynolds number (from memory); transition as in the fluids library",
    ),
    Rule(
        name="flow curve reaches the tip",
        family="pressure",
        parts=("outlet.bore",),
        asks=("component.flow", "process.deposit"),
        check=measured_rate,
        whole=True,
        sentence="tip {outlet} shears the material at {demand}; it was measured up to {limit}",
        source="range of the measured flow curve",
    ),
    Rule(
        name="flow curve reaches down to the tip",
        family="pressure",
        parts=("outlet.bore",),
        asks=("component.flow", "process.deposit"),
        check=lowest_measured_rate,
        whole=True,
        sentence="tip {outlet} shears the material at {demand}; it was measured from {limit} on",
        source="range of the measured flow curve",
    ),
)
