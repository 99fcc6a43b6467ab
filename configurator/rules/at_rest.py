"""At rest: what the feed pushes through a head that stands still, and what holds it back."""

from __future__ import annotations

import numpy as np

from configurator.physics.at_rest import cap_height, capillary_hold, hanging_drop, tilt_pressure
from configurator.physics.tube_flow import stress_pressure_drop
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.duty import AtEnds
from configurator.rules.filling import inlet_pressure
from configurator.rules.finding import State
from configurator.rules.fluid import AMBIENT_PRESSURE, Fluid
from configurator.rules.outlet import at_most
from configurator.rules.rotation import NOMINAL
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS
from configurator.units.interval import ENDS
from configurator.units.kinds import FRACTION, PRESSURE, TIME


def pushed_at_rest(case: Case, side: Side) -> Bound:
    """Pressure above ambient at which the feed has to stand, which pushes on at rest. [Pa]"""
    needed = inlet_pressure(case, side)
    kind, nominal, hard = (
        np.maximum(end - AMBIENT_PRESSURE, 0.0)
        for end in (needed.kind, needed.nominal, needed.hard)
    )
    return Bound(kind, nominal, hard, needed.corner, needed.estimated)


def yielding(fluid: Fluid) -> AtEnds:
    """Yield stress, lowest first; none where a curve does not show one. [Pa]"""
    ends = np.broadcast_arrays(*(np.nan_to_num(curve.yield_stress) for curve in fluid.curves))
    return AtEnds(np.minimum.reduce(ends), ends[NOMINAL], np.maximum.reduce(ends))


def _creeping(case: Case) -> AtEnds:
    """Stress of what leaves the tip by a bore in the longest stop, lowest first. [Pa]

    That of a liquid that yields, where nobody says how long it stands.
    """
    fluid, rate = case.subject.outlet_fluid, 8.0 / np.asarray(case.duty.longest_stop)
    ends = [np.asarray(curve.stress(np.nan_to_num(rate, posinf=0.0))) for curve in fluid.curves]
    held = yielding(fluid)
    low, nominal, high = (
        np.fmax(np.where(np.isnan(rate), 0.0, stress), stands)
        for stress, stands in zip(
            (np.minimum.reduce(ends), ends[NOMINAL], np.maximum.reduce(ends)), held, strict=True
        )
    )
    return AtEnds(low, nominal, high)


def _opening(side: Side) -> Floats:
    """Pressure that opens the closed stages of a cavity. [Pa]"""
    return side.column("cavity", "opening_pressure", "low") * side.column("cavity", "stages")


def rest_pressure(case: Case, side: Side) -> Comparison:
    """Feed pressure at rest against what closed stages and a paste in its line hold.

    A paste that yields stands in the feed line until that is pushed through as a plug. A rigid
    stator has a clearance and closes nothing, so that only its rating counts here: what weeps
    through it has a rule of its own.
    """
    closed = _opening(side)
    bore, length = (
        side.column("feed", "line_bore", "high"),
        side.column("feed", "line_length", "low"),
    )
    rigid = side.rotation.seals.rigid
    rated = side.column("cavity", "stage_pressure", "low") * side.column("cavity", "stages")
    kind, nominal, hard = (
        np.where(
            rigid,
            rated,
            case.practice.rest_pressure_share.nominal
            * (closed + np.asarray(stress_pressure_drop(stress=held, bore=bore, length=length))),
        )
        for held in reversed(yielding(side.fluid))
    )
    limit = Bound(kind=kind, nominal=nominal, hard=hard, corner="at rest")
    return Comparison(pushed_at_rest(case, side), limit, PRESSURE)


def weep_flow(case: Case, side: Side) -> Bound:
    """Flow through seal lines that the pressure at rest keeps open. [m^3/s]

    No rotor slides, so that the paste's own yield stress holds as far as it can.
    """
    pushed, rotation = pushed_at_rest(case, side), side.rotation
    opening, factor = _opening(side), rotation.seals.factor

    def leaks(pressure: Floats) -> Floats:
        slip = rotation.slip(np.asarray(pressure)[np.newaxis], 0.0).low
        return np.where(rotation.seals.rigid | (pressure > opening), slip, 0.0)

    return Bound(
        kind=leaks(pushed.kind).min(axis=0) / factor,
        nominal=leaks(pushed.nominal)[NOMINAL] / factor,
        hard=leaks(pushed.hard).max(axis=0) * factor,
        corner=f"{side.fluid.thin_words}, at rest",
        estimated=side.fluid.estimated,
    )


def weeps(case: Case, side: Side) -> Comparison:
    """Weep flow over the lowest flow against the shop's most."""
    weep, flow = weep_flow(case, side), side.rotation.flow_low
    share = Bound(
        kind=weep.kind / flow,
        nominal=weep.nominal / flow,
        hard=weep.hard / flow,
        corner=weep.corner,
        estimated=weep.estimated,
    )
    return Comparison(share, at_most(case.practice.weep_share), FRACTION)


def surface_tension(case: Case) -> AtEnds:
    """Of what leaves the tip, lowest first: a mix lies between its components. [N/m]"""
    found = [side.component.surface_tension for side in case.sides]
    low, nominal, high = (
        [np.nan if each is None else getattr(each, end) for each in found] for end in ENDS
    )
    return AtEnds(
        np.minimum.reduce(np.broadcast_arrays(*low)),
        np.asarray(sum(map(np.asarray, nominal), np.asarray(0.0)) / len(found)),
        np.maximum.reduce(np.broadcast_arrays(*high)),
    )


def held_at_mouth(case: Case, _side: Side) -> Comparison | None:
    """Static pressure over the mouth against what its surface and a stiff material hold.

    A closed head holds its column however long it is, until air rises into the mouth. Sucking back
    or a finer mouth answers it, so that no head is ruled out by it. What runs after a potting or a
    plain flow falls where the rest is.
    """
    if case.duty.shot is None or case.duty.kind not in ("dots", "bead"):
        return None
    fluid = case.subject.outlet_fluid
    light, heavy = fluid.density_ends
    fine, usual, wide = (case.column("outlet", "bore", end) for end in ENDS)
    demand = Bound(
        kind=np.asarray(tilt_pressure(density=light, bore=fine)),
        nominal=np.asarray(tilt_pressure(density=fluid.density, bore=usual)),
        hard=np.asarray(tilt_pressure(density=heavy, bore=wide)),
        corner="heaviest",
    )
    return Comparison(demand, _mouth_holds(case), PRESSURE, cap=State.MARGINAL)


def _mouth_holds(case: Case) -> Bound:
    """What surface tension and stiffness hold at the mouth. [Pa]"""
    bores = (case.column("outlet", "bore", end) for end in ("high", "nominal", "low"))
    ends = zip(surface_tension(case), _creeping(case), bores, strict=True)
    hard, nominal, kind = (
        np.asarray(capillary_hold(surface_tension=tension, bore=bore) + 4.0 * stress)
        for tension, stress, bore in ends
    )
    return Bound(kind=kind, nominal=nominal, hard=hard)


def mouth_hold(case: Case) -> Floats:
    """The same at its low end. [Pa]"""
    return _mouth_holds(case).hard


def air_shy_stop(case: Case, _side: Side) -> Comparison | None:
    """Longest stop of an anaerobic material against what it stands in pockets without air."""
    anaerobic = case.subject.anaerobic
    if not np.any(anaerobic):
        return None
    stop = Bound.exact(np.broadcast_arrays(case.duty.longest_stop, anaerobic)[0])
    stands = Bound.exact(case.practice.anaerobic_stop.low)
    # A purge on a clock answers it.
    return Comparison(stop, stands, TIME, cap=State.MARGINAL, asked=anaerobic)


def largest_weep(case: Case, side: Side) -> Floats:
    """Weep flow at the hard end, uL/min."""
    return weep_flow(case, side).hard * 60e9


def falling_drop(case: Case) -> Floats:
    """Largest drop that may hang before it falls: from the whole face of the tip. [m^3]"""
    return np.asarray(
        hanging_drop(
            surface_tension=surface_tension(case).high,
            density=case.subject.outlet_fluid.density_ends[0],
            wetted_diameter=case.column("outlet", "outside_diameter", "high"),
            share=1.0,
        )
    )


def touch_height(case: Case) -> Floats:
    """Height over the part at which the smallest shot still touches it; NaN if it falls. [m]"""
    shot = case.duty.shot
    if shot is None:
        return np.full(case.frame.shape(()), np.nan)
    face = case.column("outlet", "outside_diameter", "high")
    height = np.asarray(cap_height(volume=shot.low, diameter=face))
    return np.where(shot.low < falling_drop(case), height, np.nan)


REST_PARTS = (
    "cavity.opening_pressure",
    "cavity.stages",
    "cavity.displacement",
    "cavity.eccentricity",
    "cavity.rotor_diameter",
    "cavity.pitch",
    "stator.kind",
    "feed.line_bore",
    "feed.line_length",
)
REST_ASKS = (
    "component.flow",
    "component.vapour_pressure",
    "process.deposit",
    "process.temperature",
)

RULES: tuple[Rule, ...] = (
    Rule(
        name="no drip at rest",
        family="pressure",
        parts=(*REST_PARTS, "cavity.stage_pressure"),
        asks=REST_ASKS,
        practice=("rest_pressure_share",),
        check=rest_pressure,
        sentence="feed {feed} has to stand at {demand} to fill {cavity}; at rest stator {stator}, and a "
        "paste in the line, should see no more than {limit}",
        source="half of the opening pressure of the stages and of what the yield stress holds in the "
        "feed line (share from memory); of a rigid stator its rating",
    ),
    Rule(
        name="weep at rest",
        family="pressure",
        parts=(
            *REST_PARTS,
            "cavity.rated_elastomer",
            "cavity.rated_rigid",
            "cavity.seal_width",
            "cavity.seal_land",
        ),
        asks=(*FLOW_ASKS, "component.vapour_pressure"),
        practice=("weep_share", "slip_factor_own", "slip_factor_other"),
        check=weeps,
        sentence="at rest {demand} of the lowest flow weep through {cavity} with stator {stator} behind "
        "feed {feed}; beyond {limit} it has to prove itself, beyond {outer} it drips",
        source="slip of the seal lines at the feed's pressure, rotor at rest; shop practice",
    ),
    Rule(
        name="liquid held at the mouth",
        family="outlet",
        parts=("outlet.bore",),
        asks=(
            "process.longest_stop",
            "component.surface_tension",
            "component.density",
            "component.flow",
            "process.deposit",
            "process.temperature",
        ),
        check=held_at_mouth,
        whole=True,
        sentence="the static pressure over the mouth of tip {outlet} is {demand}; surface tension and "
        "stiffness hold {limit}, beyond which air rises and the tip runs out in a stop",
        source="static pressure over the bore against 4 gamma / D and the stress of a flow by one bore "
        "in the longest stop (from memory)",
    ),
    Rule(
        name="long stop of an anaerobic material",
        family="chemistry",
        parts=(),
        asks=("material.trigger", "process.longest_stop"),
        practice=("anaerobic_stop",),
        check=air_shy_stop,
        whole=True,
        sentence="it stands {demand} in the longest stop; without air in closed pockets it should stand "
        "{limit} at most before a purge",
        source="common practice, no source",
    ),
)
