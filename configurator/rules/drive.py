"""Drive: torque at work and at breakaway, control interface, temperature, atmosphere."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from configurator.catalog.parts import Drive, Part, Seal, Stator, wetted_codes
from configurator.physics.drive import (
    breakaway_torque,
    hydraulic_torque,
    running_torque,
    viscous_torque,
)
from configurator.rules.case import Case
from configurator.rules.chemistry import wetted_fields
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.pressure import FLOW_ASKS, TIP_PARTS
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.display import show_interval, show_value
from configurator.units.interval import Basis
from configurator.units.kinds import TEMPERATURE, TORQUE

TORQUE_PARTS = (
    "cavity.displacement",
    "cavity.eccentricity",
    "cavity.rotor_diameter",
    "cavity.pitch",
    "cavity.stages",
    "cavity.friction_torque",
    "stator.friction_factor",
    *TIP_PARTS,
)


def _friction(side: Side) -> Floats:
    return side.column("cavity", "friction_torque", "high") * side.column(
        "stator", "friction_factor"
    )


def torque_at_work(case: Case, side: Side) -> Bound:
    """Torque at the rotor at the highest flow, over the viscosity range. [N*m]"""
    rotor = side.column("cavity", "rotor_diameter")
    film = 2.0 * side.column("cavity", "eccentricity")
    rubbing = side.rotation.rubbing_speed(side.rotation.turns)
    ends = []
    for pressure, curve in zip(case.outlet.fast, side.fluid.curves, strict=True):
        drag = viscous_torque(
            viscosity=curve.viscosity(rubbing / film),
            speed=side.rotation.turns,
            rotor_diameter=rotor,
            stator_length=side.column("cavity", "pitch") * side.column("cavity", "stages"),
            gap=film,
        )
        against_pressure = hydraulic_torque(
            displacement=side.column("cavity", "displacement", "high"), pressure_difference=pressure
        )
        ends.append(
            running_torque(hydraulic=against_pressure, friction=_friction(side), viscous=drag)
        )
    words = f"{side.fluid.thick_words}, highest flow"
    return Bound.highest(ends, words, estimated=side.fluid.estimated)


def running(case: Case, side: Side) -> Comparison:
    """Torque at work against what the drive gives without end."""
    limit = Bound.exact(side.column("drive", "torque_continuous", "low"))
    return Comparison(torque_at_work(case, side), limit, TORQUE, caution=case.caution)


def breakaway(case: Case, side: Side) -> Comparison:
    """Torque that starts the rotor after a stop against the drive's peak torque."""
    needed = breakaway_torque(
        friction=_friction(side), factor=side.column("cavity", "breakaway_factor", "high")
    )
    demand = Bound.exact(np.asarray(needed), "after a stop")
    limit = Bound.exact(side.column("drive", "torque_peak", "low"))
    return Comparison(demand, limit, TORQUE, caution=case.caution)


def _control(case: Case, _side: Side) -> Callable[[Drive], tuple[State, Words]] | None:
    offered = case.process.control
    if not offered:
        return None

    def judged(drive: Drive) -> tuple[State, Words]:
        given, taken = " or ".join(offered), " or ".join(drive.control)
        reason = f"the machine gives {given}; drive {drive.name} takes {taken}"
        state = State.FITS if set(offered) & set(drive.control) else State.RULED_OUT
        return state, Words(given, taken, reason, Basis.INVENTED)

    return judged


def temperature_rule(slot: str, title: str, family: str) -> Rule:
    """The process temperatures, for a drive those of the room, against the range of a part.

    It fits if the whole range is inside, is marginal if the middle is, and ruled out if not. A
    drive on a head that is warmer than it stands is marginal: nobody knows what comes through.
    """

    def judge(case: Case, _side: Side) -> Callable[[Any], tuple[State, Words]]:
        head, slack = case.duty.temperature, 1e-6
        asked = case.duty.room if slot == "drive" else head
        runs = "process runs" if asked == head else "room is"
        unsaid = slot == "drive" and case.process.room_temperature is None
        wanted = show_interval(asked, TEMPERATURE)

        def judged(part: Drive | Stator | Seal) -> tuple[State, Words]:
            low, high = part.temperature_low.nominal, part.temperature_high.nominal
            state = State.RULED_OUT
            warm = head.high > high + slack
            if asked.low >= low - slack and asked.high <= high + slack:
                state = State.MARGINAL if warm else State.FITS
            elif low - slack <= asked.nominal <= high + slack:
                state = State.MARGINAL
            stands = f"{show_value(low, TEMPERATURE)} to {show_value(high, TEMPERATURE)}"
            reason = f"the {runs} at {wanted}; {title} {part.name} stands {stands}"
            if warm and asked != head:
                reason += f", and a head at {show_value(head.high, TEMPERATURE)} warms it"
            if unsaid and state is not State.FITS:
                reason += "; without a room_temperature the room counts as just so warm"
            return state, Words(wanted, stands, reason, Basis.INVENTED)

        return judged

    return Rule.of_parts(
        slot,
        judge,
        name="drive temperature" if slot == "drive" else f"temperature of the {title}",
        family=family,
        fields=("temperature_low", "temperature_high"),
        asks=("process.temperature", *(["process.room_temperature"] if slot == "drive" else [])),
        source="rating from the catalog",
    )


def _atmosphere(case: Case, _side: Side) -> Callable[[Drive], tuple[State, Words]] | None:
    if not case.process.explosive_atmosphere:
        return None
    rated = {
        True: (State.FITS, "rated for it"),
        False: (State.RULED_OUT, "not rated for it"),
        None: (State.UNPROVEN, "not said to be rated"),
    }

    def judged(drive: Drive) -> tuple[State, Words]:
        state, stands = rated[drive.explosive_atmosphere]
        reason = (
            f"the process declares an explosive atmosphere; drive {drive.name} is {stands}; "
            "the zone and the equipment are for licensed people to decide"
        )
        return state, Words("explosive atmosphere", stands, reason, Basis.INVENTED)

    return judged


def _charging_rule(slot: str) -> Rule:
    """Other parts where an explosive atmosphere is declared: further motors, and what may charge."""

    def judge(case: Case, _side: Side) -> Callable[[Part], tuple[State, Words]] | None:
        if not case.process.explosive_atmosphere:
            return None
        wetted = case.subject.catalog.substances.wetted

        def judged(part: Part) -> tuple[State, Words]:
            codes = [code for _, code in wetted_codes(part)]
            plastics = [c for c in codes if c not in wetted or wetted[c].family == "plastic"]
            if getattr(part, "stirred", False) or getattr(part, "kind", "") == "chamber":
                state, stands = State.UNPROVEN, "driven by a motor that nobody says is rated"
            elif plastics:
                state, stands = State.MARGINAL, f"of {' and '.join(plastics)}, which may charge"
            else:
                state, stands = State.FITS, "of nothing that charges, once it is bonded"
            reason = (
                f"the process declares an explosive atmosphere; {slot} {part.name} is {stands}; "
                "earthing, zone and equipment are for licensed people to decide"
            )
            return state, Words("explosive atmosphere", stands, reason, Basis.FROM_MEMORY)

        return judged

    return Rule.of_parts(
        slot,
        judge,
        name=f"explosive atmosphere at the {'tip' if slot == 'outlet' else slot}",
        family="drive",
        fields=(
            *wetted_fields(slot),
            *{"feed": ("stirred",), "mixing": ("kind",)}.get(slot, ()),
        ),
        asks=("process.explosive_atmosphere",),
        source="electrostatic charging of plastics, IEC TS 60079-32-1, from memory",
    )


RULES: tuple[Rule, ...] = (
    Rule(
        name="running torque",
        family="drive",
        parts=("drive.torque_continuous", *TORQUE_PARTS),
        asks=FLOW_ASKS,
        practice=("caution_margin",),
        check=running,
        sentence="{cavity} with stator {stator} and tip {outlet} takes {demand}; "
        "drive {drive} gives {limit} without end",
        source="V dp / (2 pi) plus catalog friction plus film drag",
    ),
    Rule(
        name="breakaway torque",
        family="drive",
        parts=(
            "drive.torque_peak",
            "cavity.friction_torque",
            "cavity.breakaway_factor",
            "stator.friction_factor",
        ),
        asks=(),
        practice=("caution_margin",),
        check=breakaway,
        sentence="{cavity} with stator {stator} breaks away at {demand}; "
        "drive {drive} gives {limit} for a moment",
        source="friction of the catalog times its breakaway factor (common practice, no source)",
    ),
    Rule.of_parts(
        "drive",
        _control,
        name="control interface",
        family="drive",
        fields=("control",),
        asks=("process.control",),
        source="interfaces of the machine and of the drive",
    ),
    temperature_rule("drive", "drive", "drive"),
    Rule.of_parts(
        "drive",
        _atmosphere,
        name="explosive atmosphere",
        family="drive",
        fields=("explosive_atmosphere",),
        asks=("process.explosive_atmosphere",),
        source="rating from the catalog; zones by IEC 60079-10-1 are not for this tool",
    ),
    *(_charging_rule(slot) for slot in ("body", "mixing", "outlet", "feed")),
)
