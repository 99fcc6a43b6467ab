"""Figures of a case that hang on the flow alone, kept for a request that flows alike.

Pressures and slip are dear to work out, and most of what a request states does not move them.
"""

from __future__ import annotations

import math

from configurator.rules.case import Case, Subject
from configurator.rules.fluid import Fluid

OF_CASE = ("back_pressure_fast", "back_pressure_slow", "pressure", "tip_start")
OF_SIDE = ("turns", "slip_fast", "slip_slow", "speed", "slip_error")
"""Figures that are worked out from fluids, flows, mouth pressure, mix and parts, and no more."""

OF_PARTS = ("rigid", "slip_factor", "_clearance", "_compliance")
"""Figures of a side that are worked out from parts and shop practice alone."""


def flows_alike(first: Subject, second: Subject) -> bool:
    """Whether two requests have the same fluids, flows and pressure at the mouth."""
    return (
        first.catalog is second.catalog
        and first.shares == second.shares
        and first.duty.flow == second.duty.flow
        and first.duty.back_pressure == second.duty.back_pressure
        and _pot_life(first) == _pot_life(second)
        and all(map(_alike, first.fluids, second.fluids))
        and _alike(first.outlet_fluid, second.outlet_fluid)
    )


def _pot_life(subject: Subject) -> object:
    """What thickens the mix on its way out."""
    mix = subject.filled.material.mix
    if mix is None:
        return None
    pot_life = mix.pot_life
    return pot_life.value.low, pot_life.at.nominal, subject.duty.temperature.high


def _alike(first: Fluid, second: Fluid) -> bool:
    if first is second:
        return True
    density = first.density == second.density
    unknown = math.isnan(first.density) and math.isnan(second.density)
    return (
        (density or unknown)
        and first.curves == second.curves
        and first.highest_rate == second.highest_rate
        and first.estimated == second.estimated
        and (first.thin_words, first.thick_words) == (second.thin_words, second.thick_words)
    )


def keep_flow(case: Case, known: Case) -> None:
    """Take over what was worked out for another request over the same frame.

    Parameters
    ----------
    case : Case
        Takes it over; nothing that hangs on the flow where the two do not flow alike.
    known : Case
        Has worked it out.
    """
    alike = flows_alike(case.subject, known.subject)
    if alike:
        _copy(OF_CASE, case, known)
    if "sides" not in vars(known):
        return
    for side, other in zip(case.sides, known.sides, strict=True):
        _copy(OF_PARTS + OF_SIDE if alike else OF_PARTS, side, other)


def _copy(names: tuple[str, ...], onto: object, known: object) -> None:
    vars(onto).update((name, vars(known)[name]) for name in names if name in vars(known))
