"""Ways of the rules about filler, deposit, machine and carrier."""

from __future__ import annotations

from math import pi
from typing import Any

from flow_ways import MU, TIP, Q
from ways import BY_NAME, FILLED, REQUIRED, SPREAD, Changes, Limit, Ways, ceiling, spelled

from configurator.rules.finding import State

FILLER_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="tip bore against largest particle",
        setting=FILLED,
        holds={},
        demand=20.0,
        fails={"component.filler.d99": "0.7 mm"},
        unknown={"component.filler.d99": None},
        limits=(
            Limit({"component.filler.d99": "0.4 mm"}, State.FITS),
            Limit({"component.filler.d99": "400 um"}, State.FITS),
            Limit({"component.filler.d99": "400.001 um"}, State.MARGINAL),
            Limit({"component.filler.d99": spelled(2e-3 / 3, "m")}, State.MARGINAL),
            Limit({"component.filler.d99": spelled(2e-3 / 3 * (1 + 1e-6), "m")}, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="largest particle against the cavity",
        setting=FILLED,
        holds={},
        demand=1e-4,
        fails={"component.filler.d99": "0.3 mm"},
        unknown={"component.filler.d99": None},
        limits=(
            Limit({"component.filler.d99": "0.2 mm"}, State.FITS),
            Limit({"component.filler.d99": "200 um"}, State.FITS),
            Limit({"component.filler.d99": "200.001 um"}, State.RULED_OUT),
            Limit(
                {"component.filler.d99": "100 um", "component.filler.mohs": "7 Mohs"}, State.FITS
            ),
            Limit(
                {"component.filler.d99": "101 um", "component.filler.mohs": "7 Mohs"},
                State.RULED_OUT,
            ),
        ),
    ),
    Ways(
        rule="rotor surface against filler hardness",
        setting=FILLED,
        holds={},
        demand=150.0,
        fails={"rotor.hardness": "180 HV"},
        failed=State.MARGINAL,
        unknown={"component.filler.mohs": None},
        limits=(
            Limit({"rotor.hardness": "187.5 HV"}, State.FITS),
            Limit({"rotor.hardness": "187.499 HV"}, State.MARGINAL),
        ),
    ),
    Ways(
        rule="shaft seal against filler",
        setting=FILLED,
        holds={},
        fails={"seal.filler_max": "clean", "component.filler.mohs": "7 Mohs"},
        unknown={"component.filler.mohs": None},
        limits=(
            Limit({"seal.filler_max": "mild", "component.filler.mohs": "4 Mohs"}, State.FITS),
            Limit(
                {"seal.filler_max": "mild", "component.filler.mohs": "4.001 Mohs"}, State.MARGINAL
            ),
        ),
    ),
    ceiling(
        "hollow spheres against pressure",
        "component.filler.crush_pressure",
        "Pa",
        TIP,
        setting={**FILLED, "component.filler.hollow": True},
        scale=4.0,
        unknown={"component.filler.crush_pressure": None},
        caution=None,
    ),
    Ways(
        rule="settling in the feed",
        setting={**FILLED, "component.sensitive_to": ["sedimentation"]},
        holds={},
        fails={"feed.stirred": False},
        failed=State.MARGINAL,
        unknown=REQUIRED,
        limits="a feed stirs or it does not",
        absent_means={"component.sensitive_to": "nothing is said to settle, and nothing is asked"},
    ),
)

BEAD: Changes = {
    "process.deposit": {
        "kind": "bead",
        "width": "4 mm",
        "contact_angle": "90 deg",
        "path_speed": "10 mm/s",
    }
}

POTTING: Changes = {
    "process.deposit": {
        "kind": "potting",
        "volume": "60 mL",
        "fill_time": "60 s",
        "free_area": "10 cm^2",
    }
}


def bead_ways(rule: str, holds: str, fails: str, limits: tuple[Limit, ...], **more: Any) -> Ways:
    """A bead of some width from a bore of 2 mm."""
    return Ways(
        rule=rule,
        setting=BEAD,
        holds={"process.deposit.width": holds},
        fails={"process.deposit.width": fails},
        demand=2.0,
        unknown="a bead cannot be stated without its width, nor a tip without its bore",
        limits=limits,
        **more,
    )


def width(text: str, state: State) -> Limit:
    """A bead's width and what it leads to."""
    return Limit({"process.deposit.width": text}, state)


DOT: Changes = {
    "process.deposit": {
        "kind": "dots",
        "diameter": "4 mm",
        "contact_angle": "90 deg",
        "dispense_time": "1 s",
    }
}

MOUTH = 4 * Q / (pi * 2e-3**2)
"""Speed at which the base flow leaves the base tip. [m/s]"""


def mouth(speed: float, state: State) -> Limit:
    """A flow that leaves the base tip at some speed."""
    return Limit({"process.deposit.flow": spelled(speed / MOUTH * Q, "m^3/s")}, state)


OUTLET_WAYS: tuple[Ways, ...] = (
    bead_ways(
        "bore fine enough for the deposit",
        "4 mm",
        "1.9 mm",
        (
            width("2 mm", State.FITS),
            width("2000 um", State.FITS),
            width("1.99999 mm", State.RULED_OUT),
        ),
    ),
    bead_ways(
        "bore wide enough for the deposit",
        "4 mm",
        "10.1 mm",
        (
            width("6 mm", State.FITS),
            width("0.6 cm", State.FITS),
            width("6.00001 mm", State.MARGINAL),
            width("10 mm", State.MARGINAL),
            width("10.0001 mm", State.RULED_OUT),
        ),
    ),
    Ways(
        rule="tip narrower than the dot",
        setting=DOT,
        holds={},
        demand=3e-3,
        fails={"process.deposit.diameter": "2.9 mm"},
        unknown={
            "process.deposit": {"kind": "dots", "volume": "10 uL", "dispense_time": "1 s"},
        },
        limits=(
            Limit({"process.deposit.diameter": "3 mm"}, State.FITS),
            Limit({"outlet.outside_diameter": "4000 um"}, State.FITS),
            Limit({"outlet.outside_diameter": "4.00001 mm"}, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="speed at the mouth",
        holds={},
        demand=MOUTH,
        fails={"outlet.bore": "0.6 mm"},
        unknown="a potting or flow cannot be stated without its flow, nor a tip without its bore",
        limits=(
            mouth(0.5, State.FITS),
            mouth(0.50001, State.MARGINAL),
            mouth(3.0, State.MARGINAL),
            mouth(3.00001, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="mouth not too wide for the flow",
        holds={},
        demand=MOUTH,
        fails={"process.deposit.flow": spelled(0.1e-3 / MOUTH * Q, "m^3/s")},
        unknown="a potting or flow cannot be stated without its flow, nor a tip without its bore",
        limits=(
            mouth(1e-3, State.FITS),
            mouth(0.99999e-3, State.MARGINAL),
            mouth(0.2e-3, State.MARGINAL),
            mouth(0.19999e-3, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="reach of the tip",
        holds={"process.reach": "5 mm"},
        demand=10e-3,
        fails={"process.reach": "11 mm"},
        unknown="asked only where a reach is stated; the length is required of the tip",
        limits=(
            Limit({"process.reach": "10 mm"}, State.FITS),
            Limit({"process.reach": "1 cm"}, State.FITS),
            Limit({"process.reach": "10.0001 mm"}, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="room for the tip",
        holds={"process.tip_outside_diameter_max": "6 mm"},
        demand=3e-3,
        fails={"process.tip_outside_diameter_max": "2.9 mm"},
        unknown="asked only where the room is stated; the diameter is required of the tip",
        limits=(
            Limit({"process.tip_outside_diameter_max": "3 mm"}, State.FITS),
            Limit({"process.tip_outside_diameter_max": "3000 um"}, State.FITS),
            Limit({"process.tip_outside_diameter_max": "2.99999 mm"}, State.RULED_OUT),
        ),
    ),
    ceiling(
        "rise rate in the potting",
        "process.deposit.rise_rate_max",
        "m/s",
        Q / 10e-4,
        setting=POTTING,
        unknown={"process.deposit.free_area": None},
        caution=None,
    ),
    ceiling(
        "viscosity the feed can move",
        "feed.viscosity_max",
        "Pa*s",
        MU,
        unknown=SPREAD,
        caution=None,
    ),
)

WEIGHT = 1.0 * 1.0 + 0.5 + 0.3 + 0.02
"""Head, drive, filled feed and tip of the small world. [kg]"""

LEVER = {"process.carrier.lever": "100 mm"}
NEWTON_METRES = 9.80665 * 0.1
"""Moment of a kilogram on that lever. [N*m]"""


def head(weight: float) -> dict[str, str]:
    """A head that brings the whole to a weight; 20 g, a step in which masses may count."""
    return {"size.dry_mass": spelled(weight - WEIGHT + 1.0, "kg")}


def carried_ways(rule: str, limit: Changes, scale: float, unknown: Changes | str) -> Ways:
    """Two kilograms, of which 20 % have to stay free."""
    return Ways(
        rule=rule,
        setting=limit,
        holds=head(1.5),
        demand=1.5 * scale,
        fails=head(2.1),
        unknown=unknown,
        absent_means={"feed.second_capacity": "no dual cartridge"},
        limits=(
            Limit(head(2.0), State.MARGINAL),
            Limit(head(2.0001), State.RULED_OUT),
            Limit(head(1.6), State.FITS),
            Limit(head(1.6001), State.MARGINAL),
        ),
    )


def charging_ways(slot: str, fails: Changes, *, unknown: Any = REQUIRED, **more: Any) -> Ways:
    """A part of plastic where an explosive atmosphere is declared, or one with a motor."""
    return Ways(
        rule=f"explosive atmosphere at the {slot}",
        setting={"process.explosive_atmosphere": True},
        fails=fails,
        failed=State.MARGINAL,
        unknown=unknown,
        limits=BY_NAME,
        **({"holds": {}} | more),
    )


CARRIER_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="control interface",
        setting={"process.control": ["0-10 V", "step and direction"]},
        holds={},
        fails={"drive.control": ["fieldbus"]},
        unknown=REQUIRED,
        limits=BY_NAME,
    ),
    Ways(
        rule="explosive atmosphere",
        setting={"process.explosive_atmosphere": True},
        holds={},
        fails={"drive.explosive_atmosphere": False},
        unknown={"drive.explosive_atmosphere": None},
        limits="a drive is rated or it is not",
    ),
    charging_ways("body", {"body.material": "PLASTIC"}),
    charging_ways("tip", {"outlet.material": "PLASTIC"}),
    charging_ways(
        "feed",
        {"feed.stirred": False, "feed.materials": ["PLASTIC"]},
        holds={"feed.stirred": False},
        unknown={"feed.stirred": True},
    ),
    carried_ways(
        "carried mass",
        {"process.carrier.payload": "2 kg"},
        1.0,
        "every part states its mass, and the rule is asked only where a payload is stated",
    ),
    carried_ways(
        "carried moment",
        {"process.carrier.moment": spelled(2 * NEWTON_METRES, "N*m")} | LEVER,
        NEWTON_METRES,
        {"process.carrier.lever": None},
    ),
)

DUTY_WAYS = (*FILLER_WAYS, *OUTLET_WAYS, *CARRIER_WAYS)
