"""At rest: what the feed pushes through a head that stands still, and what holds it back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from configurator.physics.tube_flow import stress_pressure_drop
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.filling import feed_pressure, head_pressure, inlet_pressure
from configurator.rules.finding import State
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.outlet import at_most
from configurator.rules.rotation import NOMINAL
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS
from configurator.rules.tip_at_rest import shut_off, yielding
from configurator.units.kinds import FRACTION, PRESSURE, TIME


def pushed_at_rest(case: Case, side: Side) -> Bound:
    """Pressure above ambient that pushes on at rest. [Pa]

    What the feed has to stand at to fill the cavity, as nothing is lost in a line that rests; or
    what a regulator at the head is set to, and locks up at. At least what a shop sets any feed to,
    and never more than there is: a feed that cannot fill the cavity is judged by a rule of its own.
    """
    least, there = case.practice.feed_least.nominal, feed_pressure(case, side)
    regulated = ~np.isnan(side.column("feed", "regulator_drop"))
    locked = 1.0 + case.practice.regulator_lock_up.high
    inlet = case.of_requests(inlet_pressure, side)
    feed = inlet.each(lambda end: end - AMBIENT_PRESSURE)
    head = head_pressure(side).each(lambda end: locked * (end - AMBIENT_PRESSURE))
    return feed.with_other(
        head,
        lambda end, set_to: np.minimum(np.maximum(np.where(regulated, set_to, end), least), there),
    )


def _opening(side: Side) -> Floats:
    """Pressure that opens the closed stages of a cavity. [Pa]"""
    return side.column("cavity", "opening_pressure", "low") * side.column("cavity", "stages")


def rest_pressure(case: Case, side: Side) -> Comparison:
    """Feed pressure at rest against what closed stages and a paste in its line hold.

    A paste that yields stands in the feed line until that is pushed through as a plug. A rigid
    stator has a clearance and closes nothing, so that only its rating counts here: what weeps
    through it has a rule of its own. A tip that shuts off holds as well.
    """
    closed, shut, rigid = _opening(side), shut_off(case), side.rotation.seals.rigid
    bore, length = (
        side.column("feed", "line_bore", "high"),
        side.column("feed", "line_length", "low"),
    )
    rated = side.column("cavity", "stage_pressure", "low") * side.column("cavity", "stages")
    share = case.practice.rest_pressure_share.nominal

    def holds(stress: Floats) -> Floats:
        held = closed + stress_pressure_drop(stress=stress, bore=bore, length=length)
        return np.maximum(np.where(rigid, rated, share * held), shut)

    limit = Bound.falling(yielding(side.fluid), "at rest").each(holds)
    return Comparison(case.of_requests(pushed_at_rest, side), limit, PRESSURE)


def weep_flow(case: Case, side: Side) -> Bound:
    """Flow through seal lines that the pressure at rest keeps open. [m^3/s]"""
    shut, pushed = shut_off(case), case.of_requests(pushed_at_rest, side)
    leaks = leak_flow(case, side)
    return leaks.with_other(pushed, lambda leak, push: np.where(push > shut, leak, 0.0))


def leak_flow(case: Case, side: Side) -> Bound:
    """The same behind an open tip. [m^3/s]

    No rotor slides, so that the paste's own yield stress holds as far as it can.
    """
    factor, leaks = side.rotation.seals.factor, case.of_requests(_leaks, side)
    kind, nominal = leaks.kind / factor, leaks.nominal / factor
    return replace(leaks, kind=kind, nominal=nominal, hard=leaks.hard * factor)


def _leaks(case: Case, side: Side) -> Bound:
    """The same before its own uncertainty. [m^3/s]"""
    pushed = case.of_requests(pushed_at_rest, side)
    return Bound(
        kind=_leaking(side, pushed.kind).min(axis=0),
        nominal=_leaking(side, pushed.nominal)[NOMINAL],
        hard=_leaking(side, pushed.hard).max(axis=0),
        corner=f"{side.fluid.thin_words}, at rest",
        estimated=side.fluid.estimated,
    )


def _leaking(side: Side, pressure: Floats) -> Floats:
    """Flow past a rotor at rest in each of the outlet's `slip_states`, at a pressure. [m^3/s]"""
    slip = side.rotation.slip(np.asarray(pressure)[np.newaxis], 0.0).low
    return np.where(side.rotation.seals.rigid | (pressure > _opening(side)), slip, 0.0)


def leak_share(side: Side, pressure: Floats) -> Floats:
    """The same over the lowest flow at the hard end, as `weeps` counts it. [-]"""
    hard = _leaking(side, pressure).max(axis=0) * side.rotation.seals.factor
    return np.asarray(hard / side.rotation.flow_low)


def weeps(case: Case, side: Side) -> Comparison:
    """Weep flow over the lowest flow against the shop's most."""
    weep, flow = weep_flow(case, side), side.rotation.flow_low
    share = weep.each(lambda end: end / flow)
    return Comparison(share, at_most(case.practice.weep_share), FRACTION)


def pushed_through(case: Case, side: Side) -> Comparison:
    """The same behind an open tip, over the lowest flow: the feed meters as well as the rotor.

    What tip and mixer press back is left out, so that it says no more than that a trial has to show
    it.
    """
    share = leak_flow(case, side).each(lambda end: end / side.rotation.flow_low)
    return Comparison(share, at_most(case.practice.weep_share), FRACTION, cap=State.UNPROVEN)


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
    "feed.pressure_max",
    "feed.regulator_drop",
    "outlet.shut_off_pressure",
)
REST_ASKS = (
    "component.flow",
    "component.vapour_pressure",
    "process.deposit",
    "process.temperature",
    "process.feed_pressure",
)
WEEP_PARTS = (
    *REST_PARTS,
    "cavity.rated_elastomer",
    "cavity.rated_rigid",
    "cavity.seal_width",
    "cavity.seal_land",
)
WEEP_ASKS = (*FLOW_ASKS, "component.vapour_pressure", "process.feed_pressure")
WEEP_PRACTICE = (
    "weep_share",
    "slip_factor_own",
    "slip_factor_other",
    "feed_least",
    "regulator_lock_up",
)

RULES: tuple[Rule, ...] = (
    Rule(
        name="no drip at rest",
        family="pressure",
        parts=(*REST_PARTS, "cavity.stage_pressure"),
        asks=REST_ASKS,
        practice=("rest_pressure_share", "feed_least", "regulator_lock_up"),
        check=rest_pressure,
        one_part=("outlet",),
        sentence="feed {feed}, set to fill {cavity}, pushes with {demand} at rest; stator {stator}, a paste in "
        "the line and a tip that shuts off hold {limit}",
        source="half of the opening pressure of the stages and of what the yield stress holds in the "
        "feed line (share from memory); of a rigid stator its rating; of a tip that shuts off its own",
    ),
    Rule(
        name="weep at rest",
        family="pressure",
        parts=WEEP_PARTS,
        asks=WEEP_ASKS,
        practice=WEEP_PRACTICE,
        check=weeps,
        one_part=("outlet",),
        sentence="at rest {demand} of the lowest flow weep through {cavity} with stator {stator} behind "
        "feed {feed}; beyond {limit} it has to prove itself, beyond {outer} it drips",
        source="slip of the seal lines at the feed's pressure, rotor at rest; shop practice",
    ),
    Rule(
        name="feed pushing through while it runs",
        family="metering",
        parts=tuple(part for part in WEEP_PARTS if not part.startswith("outlet.")),
        asks=WEEP_ASKS,
        practice=WEEP_PRACTICE,
        check=pushed_through,
        sentence="feed {feed} pushes {demand} of the lowest flow past the rotor of {cavity} with stator "
        "{stator}; beyond {limit} a trial has to show that it meters",
        source="slip of the seal lines at the feed's pressure, nothing pressing back; shop practice",
    ),
    Rule(
        name="long stop of an anaerobic material",
        family="chemistry",
        parts=(),
        asks=("component.constituents", "material.trigger", "process.longest_stop"),
        practice=("anaerobic_stop",),
        check=air_shy_stop,
        whole=True,
        sentence="it stands {demand} in the longest stop; without air in closed pockets it should stand "
        "{limit} at most before a purge",
        source="common practice, no source",
    ),
)
