"""Restart: what tip and mixer ask for after the longest stop, against every rating in the chain.

While it stands, a mix thickens and a thixotropic material builds its structure up again. A purge on
a clock or a slow start answers either, so that no head is ruled out by its restart.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS
from configurator.physics.cure import thickening, time_to_thicken
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.cure import MOST_DOUBLINGS
from configurator.rules.finding import State
from configurator.rules.pressure import FLOW_ASKS, STAGE_PARTS, TIP_PARTS, stage_pressure
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import PRESSURE

SMALLEST = 1e-9
"""Stands for no pressure left at all. [Pa]"""

Rating = Callable[[Case, Side], Floats]


def thixotropic(case: Case) -> NDArray[np.bool_]:
    """True where the structure of what is dispensed builds up again at rest."""
    found = np.asarray(False)
    for side in case.sides:
        found = found | np.asarray(side.component.flow.thixotropic)
    return found


def stiffened(case: Case) -> Floats:
    """What flows after the longest stop over what flows running; shape (3, ...), least first. [-]

    NaN for a mix of which nobody says how long it stands.
    """
    built, laid = case.practice.structure_rebuilt, (3,) + (1,) * case.frame.ndim
    ends = np.array([built.low, built.nominal, built.high]).reshape(laid)
    structure = np.where(thixotropic(case), ends, 1.0)
    if not case.material.two_part:
        return structure
    doubling = case.mixer.doubling
    stands = np.minimum(case.duty.longest_stop, MOST_DOUBLINGS * doubling)
    return np.asarray(structure * thickening(elapsed=stands, pot_life=doubling))


def restart_pressure(case: Case) -> Bound:
    """Pressure behind the outlet at the highest flow after the longest stop. [Pa]"""
    outlet = case.outlet
    ends = np.asarray((outlet.fast - outlet.mouth) * stiffened(case) + outlet.mouth)
    words = f"{outlet.fluid.thick_words}, after the longest stop"
    return Bound.highest(ends, words, estimated=True)


def least_rating(case: Case) -> Floats:
    """Smallest rating against the pressure behind the outlet; unknown if one of them is. [Pa]"""
    shared = ("mixing", "outlet") if case.material.two_part else ("outlet",)
    ratings = [case.column(slot, "pressure_max", "low") for slot in shared]
    for side in case.sides:
        ratings.append(_stages(case, side))
        ratings.extend(
            side.column(slot, "pressure_max", "low") for slot in ("size", "body", "seal")
        )
    return np.asarray(np.minimum.reduce(np.broadcast_arrays(*ratings)))


def stop_allowed(case: Case) -> Floats:
    """Longest stop that neither the pot life nor a rating forbids; NaN for one part. [s]"""
    if not case.material.two_part:
        return np.full(case.frame.shape(()), np.nan)
    mixer, outlet, practice = case.mixer, case.outlet, case.practice
    structure = np.where(thixotropic(case), practice.structure_rebuilt.high, 1.0)
    left = (
        np.maximum(least_rating(case) - outlet.mouth[2], SMALLEST) / (outlet.fast - outlet.mouth)[2]
    )
    by_pressure = time_to_thicken(factor=left / structure, pot_life=mixer.doubling[2])
    by_life = mixer.cure.share(practice.pot_life_stop_share.nominal).hard
    by_life = np.maximum(by_life - mixer.age(case.duty.flow).hard, 0.0)
    return np.asarray(np.minimum(by_pressure, by_life))


def _stages(case: Case, side: Side) -> Floats:
    return np.asarray(stage_pressure(case, side).limit.hard * side.column("cavity", "stages"))


def _rated(slot: str, _case: Case, side: Side) -> Floats:
    return side.column(slot, "pressure_max", "low")


def _check(rated: Rating, slot: str, case: Case, side: Side) -> Comparison | None:
    asked = np.asarray(case.material.two_part) | thixotropic(case)
    if not asked.any() or (slot == "mixing" and not case.material.two_part):
        return None
    return Comparison(
        restart_pressure(case),
        Bound.exact(rated(case, side)),
        PRESSURE,
        caution=case.caution,
        cap=State.MARGINAL,
        asked=asked,
    )


def _rule(name: str, slot: str, words: str, parts: tuple[str, ...] = ()) -> Rule:
    return Rule(
        name=name,
        family="pressure",
        parts=(*(parts or (f"{slot}.pressure_max",)), *TIP_PARTS),
        asks=(*RESTART_ASKS, *(("component.filler.mohs",) if parts else ())),
        practice=RESTART_PRACTICE,
        check=partial(_check, _stages if parts else partial(_rated, slot), slot),
        sentence=f"started after the longest stop, tip {{outlet}} needs {{demand}}; {words}",
        source="running loss times what cure and rebuilt structure add in the longest stop",
        whole=slot in SHARED_SLOTS,
    )


RESTART_PRACTICE = (
    "caution_margin",
    "structure_rebuilt",
    "pot_life_factor",
    "doublings_to_gel",
    "thin_below",
)
RESTART_ASKS = (*FLOW_ASKS, "process.longest_stop", "material.mix")

RULES: tuple[Rule, ...] = (
    _rule(
        "restart against the stages",
        "cavity",
        "the stages of {cavity} hold {limit} with stator {stator}",
        STAGE_PARTS,
    ),
    _rule("restart against the housing", "size", "size {size} is rated {limit}"),
    _rule("restart against the body", "body", "body {body} is rated {limit}"),
    _rule("restart against the shaft seal", "seal", "seal {seal} is rated {limit}"),
    _rule("restart against the mixer", "mixing", "{mixing} is rated {limit}"),
    _rule("restart against the tip joint", "outlet", "outlet {outlet} is rated {limit}"),
)
