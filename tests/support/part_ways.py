"""Ways of the rules about parts and deposits: fit, chemistry, heat, filler, outlet, carrier."""

from __future__ import annotations

from typing import Any

from flow_ways import MU, Q, TIP
from ways import FILLED, SPREAD, Changes, Limit, Ways, ceiling, spelled

from configurator.rules.finding import State

BY_NAME = "names match or they do not"
REQUIRED = "required of the part, so that a catalog without it is refused"

WETTED: dict[str, str] = {
    "body": "body.material",
    "rotor": "rotor.surface",
    "stator": "stator.material",
    "seal": "seal.materials",
    "outlet": "outlet.material",
    "feed": "feed.materials",
}
"""A field for each slot that states what the material touches."""


def made_of(slot: str, code: str) -> dict[str, Any]:
    """The slot's part made of a code of the small world."""
    return {WETTED[slot]: [code] if slot in ("seal", "feed") else code}


def title(slot: str) -> str:
    """The slot as rules name it."""
    return "tip" if slot == "outlet" else slot


FIT_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="cavity made for the size",
        holds={},
        fails={"cavity.size": "tall"},
        unknown=REQUIRED,
        limits=BY_NAME,
    ),
    *(
        Ways(
            rule=f"{slot} made for the size",
            holds={f"{slot}.sizes": ["tall", "small"]},
            fails={f"{slot}.sizes": ["tall"]},
            unknown=REQUIRED,
            limits=BY_NAME,
        )
        for slot in ("body", "rotor", "stator", "seal", "drive", "feed")
    ),
    Ways(
        rule="tip joint on the head",
        holds={},
        fails={"outlet.joint": "threaded"},
        unknown=REQUIRED,
        limits=BY_NAME,
    ),
)

HOT: Changes = {"process.temperature": "60 degC"}


def chemistry_ways(slot: str) -> Ways:
    """Verdicts of the small world's tables, up to the very temperature they were seen at."""
    return Ways(
        rule=f"chemistry of the {title(slot)}",
        holds=made_of(slot, "GOOD"),
        fails=made_of(slot, "BAD"),
        unknown=made_of(slot, "UNSEEN"),
        limits=(
            Limit({**made_of(slot, "WARM"), **HOT}, State.FITS),
            Limit({**made_of(slot, "WARM"), "process.temperature": "140 degF"}, State.FITS),
            Limit({**made_of(slot, "WARM"), "process.temperature": "61 degC"}, State.UNPROVEN),
            Limit(made_of(slot, "FAIR"), State.MARGINAL),
        ),
    )


def trace_of(name: str, share: str) -> list[dict[str, str]]:
    """A little of a constituent beside the base liquid."""
    return [
        {"name": "plainol", "mass_fraction": "99..100 %"},
        {"name": name, "mass_fraction": share},
    ]


def early_cure_ways(slot: str) -> Ways:
    """An anaerobic material on metals, and the share from which a monomer makes it one."""
    return Ways(
        rule=f"early cure in the {title(slot)}",
        setting={"material.trigger": "anaerobic"},
        holds=made_of(slot, "GOOD"),
        fails=made_of(slot, "BRASS"),
        unknown=made_of(slot, "NOT LISTED"),
        limits=(
            Limit(made_of(slot, "STEEL"), State.MARGINAL),
            Limit(
                {
                    **made_of(slot, "BRASS"),
                    "material.trigger": "none",
                    "component.constituents": trace_of("anaerol", "1 %"),
                },
                State.RULED_OUT,
            ),
            Limit(
                {
                    **made_of(slot, "BRASS"),
                    "material.trigger": "none",
                    "component.constituents": trace_of("anaerol", "0.99 %"),
                },
                State.FITS,
            ),
        ),
    )


def moisture_ways(slot: str, name: str) -> Ways:
    """A part that lets moisture in, and the share from which a constituent minds it."""
    lets_in = {f"{slot}.keeps_moisture_out": False}
    return Ways(
        rule=f"moisture at the {name}",
        setting={"material.trigger": "moisture"},
        holds={},
        fails=lets_in,
        unknown=REQUIRED,
        limits=(
            Limit(
                {
                    **lets_in,
                    "material.trigger": "none",
                    "component.constituents": trace_of("dampol", "1 %"),
                },
                State.MARGINAL,
            ),
            Limit(
                {
                    **lets_in,
                    "material.trigger": "none",
                    "component.sensitive_to": ["moisture"],
                },
                State.MARGINAL,
            ),
        ),
        absent_means={
            "component.sensitive_to": "nothing is said to harm it",
            "component.constituents": "asked by the chemistry of each part",
        },
    )


CHEMISTRY_WAYS: tuple[Ways, ...] = (
    *(chemistry_ways(slot) for slot in WETTED),
    Ways(
        rule="constituents that nobody names",
        holds={},
        held=None,
        fails={
            "component.complete": False,
            "component.constituents": [{"name": "plainol", "mass_fraction": "50 %"}],
        },
        failed=State.UNPROVEN,
        unknown={
            "component.complete": False,
            "component.constituents": [{"name": "plainol"}],
        },
        limits=(
            Limit(
                {
                    "component.complete": False,
                    "component.constituents": [{"name": "plainol", "mass_fraction": "97.9 %"}],
                },
                State.UNPROVEN,
            ),
        ),
    ),
    *(early_cure_ways(slot) for slot in WETTED),
    moisture_ways("seal", "shaft seal"),
    moisture_ways("feed", "feed"),
    Ways(
        rule="air over an anaerobic material",
        setting={"material.trigger": "anaerobic"},
        holds={},
        fails={"feed.air_over_material": False},
        failed=State.MARGINAL,
        unknown=REQUIRED,
        limits="there is air or there is none",
    ),
)


def temperature_ways(rule: str, slot: str, top: str) -> Ways:
    """A range of the process inside, across and beyond what a part stands."""
    return Ways(
        rule=rule,
        holds={},
        fails={"process.temperature": "150 degC"},
        unknown=REQUIRED,
        limits=(
            Limit({"process.temperature": f"0..{top} degC"}, State.FITS),
            Limit({"process.temperature": "0..60 degC", f"{slot}.temperature_high": "60 degC"},
                  State.FITS),
            Limit({"process.temperature": "60 degC", f"{slot}.temperature_high": "140 degF"},
                  State.FITS),
            Limit({"process.temperature": "20..60 degC", f"{slot}.temperature_high": "40 degC"},
                  State.MARGINAL),
            Limit({"process.temperature": "20..60 degC", f"{slot}.temperature_high": "39 degC"},
                  State.RULED_OUT),
            Limit({"process.temperature": "-1..20 degC"}, State.MARGINAL),
        ),
    )  # fmt: skip


HEAT_WAYS: tuple[Ways, ...] = (
    temperature_ways("temperature of the stator", "stator", "50"),
    temperature_ways("temperature of the shaft seal", "seal", "50"),
    temperature_ways("drive temperature", "drive", "50"),
    Ways(
        rule="fit of a warm stator",
        holds={},
        demand=20.0 - 23.0,
        fails={"process.temperature": "44 degC"},
        failed=State.MARGINAL,
        unknown="a process cannot be stated without its temperature",
        limits=(
            Limit({"process.temperature": "43 degC"}, State.FITS),
            Limit({"process.temperature": "20..43 degC"}, State.FITS),
            Limit({"process.temperature": "43.001 degC"}, State.MARGINAL),
            Limit({"process.temperature": "80 degC", "stator.kind": "rigid"}, State.FITS),
        ),
    ),
)

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
        "6.1 mm",
        (
            width("6 mm", State.FITS),
            width("0.6 cm", State.FITS),
            width("6.00001 mm", State.MARGINAL),
        ),
        failed=State.MARGINAL,
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
        "viscosity the feed can move", "feed.viscosity_max", "Pa*s", MU, unknown=SPREAD, caution=None
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
        limits=(
            Limit(head(2.0), State.MARGINAL),
            Limit(head(2.0001), State.RULED_OUT),
            Limit(head(1.6), State.FITS),
            Limit(head(1.6001), State.MARGINAL),
        ),
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

PART_WAYS = (
    *FIT_WAYS,
    *CHEMISTRY_WAYS,
    *HEAT_WAYS,
    *FILLER_WAYS,
    *OUTLET_WAYS,
    *CARRIER_WAYS,
)
