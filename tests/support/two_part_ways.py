"""Ways of the rules that only two-part materials meet: mixing, ratio, the mixer's own parts.

The two-part world meters half a millilitre a second on each side through a static tube of 16
bores, 10 mm wide, into the base tip.
"""

from __future__ import annotations

import math
from typing import Any

from duty_ways import LEVER, NEWTON_METRES
from flow_ways import MU, STAGES, TIP, Q
from ways import Changes, Limit, Ways, ceiling, spelled

from configurator.rules.finding import State

TUBE, ELEMENTS = 10e-3, 16
VOLUME = math.pi / 4 * TUBE**2 * ELEMENTS * TUBE * 0.8
RESIDENCE = VOLUME / Q
POT_LIFE = 3600.0
GROWTH = math.log(2) * RESIDENCE / POT_LIFE
MIXER = 5 * 128 * MU * ELEMENTS * TUBE * Q / (math.pi * TUBE**4)
BEHIND = (TIP + MIXER) * math.expm1(GROWTH) / GROWTH
"""Tip and mixer, thickened by the mean of a cure that doubles in the pot life. [Pa]"""

VARIATION = math.sqrt((1 - 0.5) / 0.5) * 0.8**ELEMENTS

CHAMBER: Changes = {
    "mixing.kind": "chamber",
    "mixing.volume": "20 mL",
    "mixing.speed_max": "120 rpm",
}
FILLED: Changes = {"a.filler": {"name": "mystery", "d99": "100 um", "mohs": "3 Mohs"}}
HOLLOW: Changes = {"a.filler": {**FILLED["a.filler"], "hollow": True, "crush_pressure": "100 bar"}}

SLIPPING: Changes = {
    "cavity.opening_pressure": "0.1 bar",
    "process.back_pressure": "1 bar",
    "process.temperature": "0..40 degC",
    "a.flow.activation_energy": "40 kJ/mol",
    "b.flow.activation_energy": "40 kJ/mol",
}
"""Both sides leak over seal lines that open, and leak otherwise when it is warm."""

ONE_TURN = 0.5e-6


def _leak(factor: float, pressure: float) -> float:
    """Leakage of the opened lines at a viscosity factor, laminar: h^3 over the viscosity. [m^3/s]

    The lines open by the excess over the opening pressure; at the rated 40 bar a stage with
    10 Pa*s they leak 0.1 mL/s. Inertia is below a part in a million at these numbers.
    """
    opening, rated, at_rating = 0.1e5, 40e5, 0.1e-6
    stage = pressure / STAGES
    opened = (stage - opening) / (rated - opening)
    return at_rating * opened**3 * (stage / rated) / factor


def _ratio() -> float:
    """Both sides off by the change of their slip from cold to warm, times its uncertainty."""
    gas, energy, at = 8.314462618, 40e3, 293.15

    def factor(kelvin: float) -> float:
        return math.exp(energy / gas * (1 / kelvin - 1 / at))

    leaks = []
    warm = 3600.0 * 2 ** (-(313.15 - at) / 10)
    growth = math.log(2) * RESIDENCE / warm
    for kelvin in (273.15, at, 313.15):
        loss = (TIP + MIXER) * factor(kelvin) * math.expm1(growth) / growth + 1e5
        leaks.append(_leak(factor(kelvin), loss))
    return 2 * (max(leaks) - min(leaks)) * 2.0 / ONE_TURN


RATIO = _ratio()

MIXED = "asked of two-part materials, which need a mixing device by definition"


BY_NAME = "joints are alike or they are not"


def unlike(text: str) -> dict[str, Any]:
    """Component a at 10 Pa*s and b at some other viscosity."""
    return {"b.flow.viscosity": text}


def tolerance(share: float) -> dict[str, Any]:
    """A tolerance of the ratio."""
    return {"mix.ratio_tolerance": spelled(share * 100, "%")}


def heads(weight: float) -> dict[str, Any]:
    """Heads that bring both sides to a weight, with drives, feeds, tube and tip."""
    return {"size.dry_mass": spelled((weight - 2 * (0.5 + 0.3) - 0.03 - 0.02) / 2, "kg")}


def both_sides(rule: str, limit: Changes, scale: float, unknown: Changes | str) -> Ways:
    """Four kilograms, of which 20 % have to stay free."""
    return Ways(
        rule=rule,
        setting=limit,
        holds=heads(3.0),
        demand=3.0 * scale,
        fails=heads(4.1),
        unknown=unknown,
        limits=(
            Limit(heads(4.0), State.MARGINAL),
            Limit(heads(4.0001), State.RULED_OUT),
            Limit(heads(3.2), State.FITS),
            Limit(heads(3.2001), State.MARGINAL),
        ),
    )


TWO_PART_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="mixing needed",
        holds={},
        fails={"mixing.kind": "none"},
        unknown=MIXED,
        limits="there is a device or there is none",
    ),
    ceiling(
        "mixed well enough",
        "process.mixing_quality",
        "%",
        VARIATION,
        scale=100,
        caution=None,
        unknown={"mixing.mixing_rate": None},
    ),
    Ways(
        rule="turns of the driven mixer",
        setting=CHAMBER,
        holds={},
        demand=2 * 20,
        fails={"mixing.speed_max": "59 rpm"},
        unknown={"mixing.speed_max": None},
        limits=(
            Limit({"mixing.speed_max": "60 rpm"}, State.FITS),
            Limit({"mixing.speed_max": "1 rev/s"}, State.FITS),
            Limit({"mixing.speed_max": "59.9999 rpm"}, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="unlike viscosities",
        holds=unlike("1 Pa*s"),
        demand=10.0,
        fails=unlike("9 mPa*s"),
        unknown={
            **unlike("11 mPa*s"),
            "a.flow.activation_energy": None,
            "process.temperature": "0..40 degC",
        },
        limits=(
            Limit(unlike("10 mPa*s"), State.FITS),
            Limit(unlike("0.01 Pa*s"), State.FITS),
            Limit(unlike("9.99999 mPa*s"), State.RULED_OUT),
        ),
    ),
    ceiling(
        "residence against pot life",
        "mix.pot_life.value",
        "s",
        RESIDENCE,
        scale=10,
        caution=None,
        unknown={"mixing.void_share": None},
    ),
    ceiling(
        "longest stop against pot life",
        "mix.pot_life.value",
        "s",
        RESIDENCE + 60,
        scale=1 / 0.3,
        caution=None,
        failed=State.MARGINAL,
        unknown={"process.longest_stop": None},
    ),
    ceiling(
        "shear of the filler in the mixer",
        "practice.mixer_wall_rate_filled",
        "1/s",
        32 * Q / (math.pi * TUBE**3),
        setting=FILLED,
        caution=None,
        failed=State.MARGINAL,
        unknown={"mixing.bore": None},
    ),
    ceiling(
        "pressure at the mixer",
        "mixing.pressure_max",
        "Pa",
        BEHIND,
        unknown={"mixing.pressure_max": None},
    ),
    Ways(
        rule="hollow spheres in a driven mixer",
        setting=HOLLOW,
        holds={},
        fails={"mixing.kind": "chamber", "mixing.volume": "1 mL", "mixing.speed_max": "60 rpm"},
        unknown="spheres are hollow or they are not, and a mixer states its kind",
        limits="a mixer is driven or it is not",
    ),
    Ways(
        rule="ratio of the two sides",
        setting=SLIPPING,
        holds=tolerance(2 * RATIO),
        demand=RATIO,
        accuracy=1e-6,
        # The slip's own uncertainty, a factor of two either way, decides between these two.
        fails=tolerance(RATIO / 4 * (1 - 1e-5)),
        unknown={"a.density": None},
        limits=(
            Limit(tolerance(RATIO * (1 + 1e-5)), State.FITS),
            Limit(tolerance(RATIO * (1 - 1e-5)), State.MARGINAL),
            Limit(tolerance(RATIO / 4 * (1 + 1e-5)), State.MARGINAL),
        ),
    ),
    both_sides(
        "carried mass of both sides",
        {"process.carrier.payload": "4 kg"},
        1.0,
        "every part states its mass, and the rule is asked only where a payload is stated",
    ),
    both_sides(
        "carried moment of both sides",
        {"process.carrier.moment": spelled(4 * NEWTON_METRES, "N*m"), **LEVER},
        NEWTON_METRES,
        {"process.carrier.lever": None},
    ),
    Ways(
        rule="mixer joint on the head",
        holds={},
        fails={"mixing.joint": "threaded"},
        unknown={"mixing.joint": None},
        limits=BY_NAME,
    ),
    Ways(
        rule="tip joint on the mixer",
        holds={},
        fails={"mixing.tip_joint": "threaded"},
        unknown={"mixing.tip_joint": None},
        limits=BY_NAME,
    ),
    Ways(
        rule="chemistry of the mixing",
        holds={},
        fails={"mixing.material": "BAD"},
        unknown={"mixing.material": "UNSEEN"},
        limits=(Limit({"mixing.material": "FAIR"}, State.MARGINAL),),
    ),
    Ways(
        rule="early cure in the mixing",
        setting={"a.constituents": [{"name": "anaerol"}]},
        holds={},
        fails={"mixing.material": "BRASS"},
        unknown={"mixing.material": "NOT LISTED"},
        limits=(Limit({"mixing.material": "STEEL"}, State.MARGINAL),),
    ),
)

TWO_PART_RULES = tuple(ways.rule for ways in TWO_PART_WAYS)
