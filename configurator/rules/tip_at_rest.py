"""A tip at rest: what its mouth and a shut-off hold, and the drop that hangs from it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from configurator.catalog.parts import Outlet
from configurator.physics.at_rest import cap_height, capillary_hold, hanging_drop, tilt_pressure
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.duty import AtEnds
from configurator.rules.finding import State
from configurator.rules.fluid import Fluid
from configurator.rules.rotation import NOMINAL
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import ENDS, Basis
from configurator.units.kinds import PRESSURE


def shut_off(case: Case) -> Floats:
    """Pressure that the tip of a one-part head holds shut. [Pa]

    Two-part heads would push into one another behind a mixer that is shut.
    """
    if case.material.two_part:
        return np.asarray(0.0)
    return np.nan_to_num(case.column("outlet", "shut_off_pressure", "low"))


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
    demand = Bound.spread(
        tilt_pressure(density=light, bore=fine),
        tilt_pressure(density=fluid.density, bore=usual),
        tilt_pressure(density=heavy, bore=wide),
        "heaviest",
    )
    return Comparison(demand, _mouth_holds(case), PRESSURE, cap=State.MARGINAL)


def _mouth_holds(case: Case) -> Bound:
    """What surface tension, stiffness and a shut-off hold at the mouth. [Pa]"""
    shut = shut_off(case)
    bores = (case.column("outlet", "bore", end) for end in ("high", "nominal", "low"))
    ends = zip(surface_tension(case), _creeping(case), bores, strict=True)
    hard, nominal, kind = (
        np.asarray(capillary_hold(surface_tension=tension, bore=bore) + 4.0 * stress + shut)
        for tension, stress, bore in ends
    )
    return Bound(kind=kind, nominal=nominal, hard=hard)


def mouth_hold(case: Case) -> Floats:
    """The same at its low end. [Pa]"""
    return _mouth_holds(case).hard


def _shut_behind_mixer(case: Case, _side: Side) -> Callable[[Outlet], tuple[State, Words]] | None:
    """A shut-off through which mixed material goes: it sets in the seat unless it is flushed."""
    if not case.material.two_part:
        return None

    def judged(tip: Outlet) -> tuple[State, Words]:
        shuts = tip.shut_off_pressure is not None
        open_tip = "has no seat in which mixed material sets"
        shut = (
            "shuts off behind the mixer, where mixed material sets in its seat; flush it in a stop"
        )
        reason = f"tip {tip.name} {shut if shuts else open_tip}"
        demand, limit = "shut-off" if shuts else "open tip", "none behind a mixer"
        state = State.MARGINAL if shuts else State.FITS
        return state, Words(demand, limit, reason, Basis.COMMON_PRACTICE)

    return judged


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


RULES: tuple[Rule, ...] = (
    Rule(
        name="liquid held at the mouth",
        family="outlet",
        parts=("outlet.bore", "outlet.shut_off_pressure"),
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
    Rule.of_parts(
        "outlet",
        _shut_behind_mixer,
        name="shut-off behind a mixer",
        family="outlet",
        fields=("shut_off_pressure",),
        asks=("material.trigger",),
        whole=True,
        source="common practice, no source",
    ),
)
