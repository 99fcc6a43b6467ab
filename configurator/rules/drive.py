"""Drive: torque at work and at breakaway, control interface, temperature, atmosphere."""

from __future__ import annotations

import numpy as np

from configurator.catalog.parts import Drive, Part
from configurator.physics.drive import (
    breakaway_torque,
    hydraulic_torque,
    running_torque,
    viscous_torque,
)
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats, Grades
from configurator.rules.finding import State
from configurator.rules.pressure import FLOW_ASKS, TIP_PARTS
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side
from configurator.units.display import show_interval, show_value
from configurator.units.interval import Basis, Interval
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


def _caution(case: Case) -> float:
    return case.practice.caution_margin.nominal


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
        total = running_torque(hydraulic=against_pressure, friction=_friction(side), viscous=drag)
        ends.append(np.asarray(total))
    stacked = np.stack(np.broadcast_arrays(*ends))
    return Bound.highest(
        stacked,
        stacked[1],
        f"{side.fluid.thick_words}, highest flow",
        estimated=side.fluid.estimated,
    )


def running(case: Case, side: Side) -> Comparison:
    """Torque at work against what the drive gives without end."""
    limit = Bound.exact(side.column("drive", "torque_continuous", "low"))
    return Comparison(torque_at_work(case, side), limit, TORQUE, caution=_caution(case))


def breakaway(case: Case, side: Side) -> Comparison:
    """Torque that starts the rotor after a stop against the drive's peak torque."""
    needed = breakaway_torque(
        friction=_friction(side), factor=side.column("cavity", "breakaway_factor", "high")
    )
    demand = Bound.exact(np.asarray(needed), "after a stop")
    limit = Bound.exact(side.column("drive", "torque_peak", "low"))
    return Comparison(demand, limit, TORQUE, caution=_caution(case))


def control(case: Case, side: Side) -> Grades | None:
    """Whether the drive takes a signal that the machine gives."""
    offered = set(case.process.control)
    if not offered:
        return None

    def state(part: Part) -> int:
        assert isinstance(part, Drive)
        return State.FITS if offered & set(part.control) else State.RULED_OUT

    return Grades(case.frame.codes(side.slot("drive"), state))


def _control_words(case: Case, side: Side, build: Build) -> Words:
    drive = build[side.slot("drive")]
    assert isinstance(drive, Drive)
    offered, taken = " or ".join(case.process.control), " or ".join(drive.control)
    return Words(
        demand=offered,
        limit=taken,
        reason=f"the machine gives {offered}; drive {drive.name} takes {taken}",
        basis=Basis.INVENTED,
    )


def drive_temperature(case: Case, side: Side) -> Grades:
    """Room temperature against the drive's range."""
    room = case.duty.temperature

    def state(part: Part) -> int:
        assert isinstance(part, Drive)
        low, high = part.temperature_low.nominal, part.temperature_high.nominal
        return temperature_state(room, low, high)

    return Grades(case.frame.codes(side.slot("drive"), state))


def temperature_state(asked: Interval, low: float, high: float) -> State:
    """Fits if the whole range is inside, marginal if the middle is, ruled out if not."""
    slack = 1e-6
    if asked.low >= low - slack and asked.high <= high + slack:
        return State.FITS
    inside = low - slack <= asked.nominal <= high + slack
    return State.MARGINAL if inside else State.RULED_OUT


def temperature_words(asked: Interval, part: Part, low: float, high: float, slot: str) -> Words:
    """The same in words."""
    wanted = show_interval(asked, TEMPERATURE)
    stands = f"{show_value(low, TEMPERATURE)} to {show_value(high, TEMPERATURE)}"
    return Words(
        demand=wanted,
        limit=stands,
        reason=f"the process runs at {wanted}; {slot} {part.name} stands {stands}",
        basis=Basis.INVENTED,
    )


def _drive_temperature_words(case: Case, side: Side, build: Build) -> Words:
    drive = build[side.slot("drive")]
    assert isinstance(drive, Drive)
    low, high = drive.temperature_low.nominal, drive.temperature_high.nominal
    return temperature_words(case.duty.temperature, drive, low, high, "drive")


def atmosphere(case: Case, side: Side) -> Grades | None:
    """Whether the drive is rated for an explosive atmosphere, where one is declared."""
    if not case.process.explosive_atmosphere:
        return None

    def state(part: Part) -> int:
        assert isinstance(part, Drive)
        if part.explosive_atmosphere is None:
            return State.UNPROVEN
        return State.FITS if part.explosive_atmosphere else State.RULED_OUT

    return Grades(case.frame.codes(side.slot("drive"), state))


def _atmosphere_words(_case: Case, side: Side, build: Build) -> Words:
    drive = build[side.slot("drive")]
    assert isinstance(drive, Drive)
    rated = {True: "rated for it", False: "not rated for it", None: "not said to be rated"}
    stands = rated[drive.explosive_atmosphere]
    return Words(
        demand="explosive atmosphere",
        limit=stands,
        reason=f"the process declares an explosive atmosphere; drive {drive.name} is {stands}; "
        "the zone and the equipment are for licensed people to decide",
        basis=Basis.INVENTED,
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
    Rule(
        name="control interface",
        family="drive",
        parts=("drive.control",),
        asks=("process.control",),
        check=control,
        words=_control_words,
        source="interfaces of the machine and of the drive",
    ),
    Rule(
        name="drive temperature",
        family="drive",
        parts=("drive.temperature_low", "drive.temperature_high"),
        asks=("process.temperature",),
        check=drive_temperature,
        words=_drive_temperature_words,
        source="rating from the catalog",
    ),
    Rule(
        name="explosive atmosphere",
        family="drive",
        parts=("drive.explosive_atmosphere",),
        asks=("process.explosive_atmosphere",),
        check=atmosphere,
        words=_atmosphere_words,
        source="rating from the catalog; zones by IEC 60079-10-1 are not for this tool",
    ),
)
