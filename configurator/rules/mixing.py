"""Mixing: needed or not, how well, and the ratio."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from configurator.catalog.parts import Mixing
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.hardness import is_filled
from configurator.rules.mixed import viscosity_ratio
from configurator.rules.pressure import TIP_PARTS
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS, SPEED_PARTS
from configurator.units.interval import Basis
from configurator.units.kinds import FRACTION, NUMBER, PRESSURE, SHEAR_RATE

RATE_PARTS = (
    "mixing.bore",
    "mixing.volume",
    "mixing.chamber_diameter",
    "mixing.gap",
    "mixing.speed_max",
)
RATE_ASKS = (
    "component.flow",
    "process.deposit",
    "process.temperature",
    "process.production.cycle_time",
)
STATIC_PARTS = ("mixing.bore", "mixing.elements", "mixing.element_aspect", "mixing.void_share")


def _needed(case: Case, _side: Side) -> Callable[[Mixing], tuple[State, Words]] | None:
    if not case.material.two_part:
        return None

    def judged(part: Mixing) -> tuple[State, Words]:
        device = "no mixing device" if part.kind == "none" else f"mixing {part.name}"
        reason = f"a two-part material has to be mixed; this build has {device}"
        state = State.RULED_OUT if part.kind == "none" else State.FITS
        return state, Words("two components", device, reason, Basis.DATASHEET)

    return judged


def variation(case: Case, _side: Side) -> Comparison | None:
    """Coefficient of variation behind a static tube against the wanted one."""
    wanted = case.process.mixing_quality
    if not case.material.two_part or wanted is None:
        return None
    mixer = case.mixer
    demand = mixer.variation.each(lambda end: np.where(mixer.static, end, 0.0))
    # How well a chamber mixes is judged by the turns of its stirrer.
    return Comparison(demand, Bound.exact(np.where(mixer.static, wanted.low, np.inf)), FRACTION)


def unlike_viscosities(case: Case, _side: Side) -> Comparison | None:
    """Viscosity ratio of the components against what a static tube mixes at all."""
    if not case.material.two_part:
        return None
    nominal, worst = viscosity_ratio(case.subject.fluids)
    first, second = case.subject.fluids
    demand = Bound(nominal, nominal, worst, "unlike ends", first.estimated | second.estimated)
    ceiling = case.practice.viscosity_ratio_static.nominal
    limit = np.where(case.mixer.static, ceiling, np.inf)
    return Comparison(demand, Bound.exact(limit), NUMBER)


def wall_rate(case: Case, _side: Side) -> Comparison | None:
    """Shear rate at a static tube's wall against what filled materials should see.

    What they stand in a driven chamber is no figure of the trade.
    """
    if not case.material.two_part:
        return None
    first, second = (is_filled(side.component) for side in case.sides)
    filled = np.asarray(first) | second
    if not filled.any():
        return None
    static, most = case.mixer.static, case.practice.mixer_wall_rate_filled.nominal
    demand = Bound.exact(np.where(static, case.mixer.wall_rate, 0.0), "highest flow")
    limit = Bound.exact(np.where(static, most, np.inf))
    return Comparison(demand, limit, SHEAR_RATE, cap=State.MARGINAL, asked=filled)


def highest_rate(case: Case) -> Floats:
    """Highest shear rate in the mixing device; nothing where there is none. [1/s]"""
    mixer = case.mixer
    return np.where(mixer.static, mixer.wall_rate, np.where(mixer.chamber, mixer.stirrer_rate, 0.0))


def rating(case: Case, _side: Side) -> Comparison | None:
    """Pressure at the mixer's inlet against its rating."""
    if not case.material.two_part:
        return None
    limit = case.column("mixing", "pressure_max", "low")
    return Comparison(case.outlet.highest, Bound.exact(limit), PRESSURE, caution=case.caution)


def _spheres(case: Case, _side: Side) -> Callable[[Mixing], tuple[State, Words]] | None:
    hollow = any(
        side.component.filler is not None and side.component.filler.hollow for side in case.sides
    )
    if not case.material.two_part or not hollow:
        return None

    def judged(part: Mixing) -> tuple[State, Words]:
        breaks = part.kind == "chamber"
        reason = f"mixing {part.name} {'breaks' if breaks else 'spares'} hollow spheres"
        words = Words("hollow spheres", part.kind, reason, Basis.FROM_MEMORY)
        return State.RULED_OUT if breaks else State.FITS, words

    return judged


def ratio_error(case: Case, _side: Side) -> Comparison | None:
    """Errors of both sides, opposite at worst, against the wanted ratio tolerance."""
    mix = case.material.mix
    if mix is None:
        return None
    first, second = (side.rotation.slip_error for side in case.sides)
    # An estimate on either side makes the sum one, so both halves have to say so.
    estimated = first.estimated | second.estimated
    return Comparison(
        replace(first, corner="both sides, opposite", estimated=estimated),
        Bound.exact(mix.ratio_tolerance.low),
        FRACTION,
        rest=replace(second, estimated=estimated),
    )


RULES: tuple[Rule, ...] = (
    Rule.of_parts(
        "mixing",
        _needed,
        name="mixing needed",
        family="mixing",
        fields=("kind",),
        asks=("material.trigger",),
        source="definition",
        whole=True,
    ),
    Rule(
        name="mixed well enough",
        family="mixing",
        parts=(*STATIC_PARTS[:3], "mixing.mixing_rate"),
        asks=(
            "material.mix.ratio",
            "process.mixing_quality",
            "component.flow",
            "process.temperature",
        ),
        practice=("mixing_reserve_above_10", "mixing_reserve_above_100"),
        check=variation,
        sentence="behind {mixing} the coefficient of variation is {demand}; wanted is {limit}",
        source="sqrt((1-x)/x) Ki^(L/D), laminar, Handbook of Industrial Mixing (2004) as cited "
        "by the fluids library; reserve of shop practice",
        whole=True,
    ),
    Rule(
        name="unlike viscosities",
        family="mixing",
        parts=("mixing.kind",),
        asks=("component.flow", "process.temperature"),
        practice=("viscosity_ratio_static",),
        check=unlike_viscosities,
        sentence="one component is {demand} times as thick as the other; {mixing} mixes up to "
        "{limit}",
        source="shop practice",
        whole=True,
    ),
    Rule(
        name="shear of the filler in the mixer",
        family="mixing",
        parts=("mixing.bore",),
        asks=("component.filler", "component.flow", "process.deposit", "process.temperature"),
        practice=("mixer_wall_rate_filled",),
        check=wall_rate,
        sentence="{mixing} shears the filled material at {demand}; it should see {limit}",
        source="shop practice",
        whole=True,
    ),
    Rule(
        name="pressure at the mixer",
        family="mixing",
        parts=("mixing.pressure_max", *TIP_PARTS),
        asks=FLOW_ASKS,
        practice=("caution_margin",),
        check=rating,
        sentence="{mixing} with tip {outlet} needs {demand}; it is rated {limit}",
        source="multiple of the empty tube's loss; rating from the catalog",
        whole=True,
    ),
    Rule.of_parts(
        "mixing",
        _spheres,
        name="hollow spheres in a driven mixer",
        family="mixing",
        fields=("kind",),
        asks=("component.filler",),
        source="shop practice (from memory)",
        whole=True,
    ),
    Rule(
        name="ratio of the two sides",
        family="ratio",
        parts=SPEED_PARTS,
        asks=(*FLOW_ASKS, "material.mix.ratio_tolerance"),
        practice=("slip_factor_own", "slip_factor_other"),
        check=ratio_error,
        sentence="slip moves the two sides apart by up to {demand}; the ratio tolerance is {limit}",
        source="slip of both sides over the stated range, added linearly",
        whole=True,
    ),
)
