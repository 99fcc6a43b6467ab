"""Ways of the rules about single parts: fit, chemistry, early cure, heat."""

from __future__ import annotations

from typing import Any

from swelling_ways import SWELLING_WAYS, soaked
from ways import BY_NAME, REQUIRED, Changes, Limit, Ways

from configurator.rules.finding import State

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


def holding(*names_and_shares: str) -> Changes:
    """Constituents with their shares, beside as much of the plain one as makes no odds."""
    pairs = zip(names_and_shares[::2], names_and_shares[1::2], strict=True)
    named = [{"name": name, "mass_fraction": share} for name, share in pairs]
    return {"component.complete": False, "component.constituents": named}


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
    Ways(
        rule="small shares known by class",
        # Stator and seal were soaked in the whole product.
        holds={
            **soaked(0.5, material="GOOD", substance="plain"),
            "stator.material": "GOOD",
            **holding("plainol", "99.5 %", "additol", "0.5 %"),
        },
        fails=holding("plainol", "99.5 %", "additol", "0.5 %"),
        failed=State.MARGINAL,
        unknown="what has no share is no small one, and the contacts say that they are unknown",
        limits=(
            Limit(holding("plainol", "99 %", "additol", "0.999 %"), State.MARGINAL),
            Limit(holding("plainol", "99 %", "additol", "0.1 %"), State.MARGINAL),
        ),
    ),
    Ways(
        rule="constituents against each other",
        holds=holding("isol", "90 %"),
        held=None,
        fails=holding("isol", "90 %", "wetol", "9 %"),
        unknown=holding("isol", "90 %", "alcol", "9 %"),
        limits=(Limit(holding("isol", "98 %", "wetol", "1 %"), State.RULED_OUT),),
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
        absent_means={"process.room_temperature": "a room as warm as the material"}
        if slot == "drive"
        else {},
    )  # fmt: skip


HEAT_WAYS: tuple[Ways, ...] = (
    temperature_ways("temperature of the stator", "stator", "50"),
    temperature_ways("temperature of the shaft seal", "seal", "50"),
    temperature_ways("drive temperature", "drive", "50"),
    Ways(
        rule="temperature kept by the feed",
        setting={"process.temperature": "45..50 degC", "process.room_temperature": "18..30 degC"},
        holds={"feed.heated": True},
        fails={"feed.heated": False},
        unknown={"feed.heated": None},
        limits=(
            Limit({"process.temperature": "29 degC", "feed.heated": False}, State.RULED_OUT),
            Limit(
                {"process.room_temperature": "34.9..61 degC", "feed.heated": True}, State.UNPROVEN
            ),
            Limit(
                {"process.room_temperature": "34..60 degC", "feed.heated": False}, State.RULED_OUT
            ),
        ),
        absent_means={"process.room_temperature": "a room as warm as the material"},
    ),
)

PART_WAYS = (*FIT_WAYS, *CHEMISTRY_WAYS, *SWELLING_WAYS, *HEAT_WAYS)
