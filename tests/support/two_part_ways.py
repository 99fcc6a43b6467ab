"""Ways of the rules that only two-part materials meet: mixing, ratio, the mixer's own parts.

The two-part world meters half a millilitre a second on each side through a static tube of 16
bores, 10 mm wide, into the base tip: shots of 5 mL in 5 s, one in 30 s.
"""

from __future__ import annotations

import math
from typing import Any

from duty_ways import LEVER, NEWTON_METRES
from flow_ways import MU, STAGES, VISCOUS, Q, inertia
from supply_ways import DUAL_WAYS
from ways import Changes, Limit, Ways, ceiling, spelled

from configurator.rules.finding import State

TUBE, ELEMENTS = 10e-3, 16
VOLUME = math.pi / 4 * TUBE**2 * ELEMENTS * TUBE * 0.8
SHOT, SHOT_TIME, CYCLE = 5e-6, 5.0, 30.0
YOUNG = 1.2 * VOLUME / SHOT * CYCLE
"""Mean age of a shot behind layers that are hardly slower than the mean. [s]"""
MEAN = 1.35 * VOLUME / SHOT * CYCLE
AGE = 4 * CYCLE - (4 - 1.5 * VOLUME / SHOT) * SHOT_TIME
"""The slowest layers see three shots and a bit of a fourth, and three pauses. [s]"""
POT_LIFE = 3600.0
DOUBLINGS = 8
"""A gel time is eight doublings at most."""


def thick(age: float, doubling: float) -> tuple[float, float]:
    """Mean thickening in the mixer, and that of what leaves it."""
    growth = math.log(2) * age / doubling
    return math.expm1(growth) / growth, 2 ** (age / doubling)


MIXER = 5 * 128 * MU * ELEMENTS * TUBE * Q / (math.pi * TUBE**4)
IN_MIXER, AT_TIP = thick(AGE, POT_LIFE / DOUBLINGS)
BEHIND = VISCOUS * AT_TIP + MIXER * IN_MIXER + inertia(MU * AT_TIP)
"""The tip sees the mix as thick as it leaves, the mixer the mean of what is in it; it weighs the same.
[Pa]"""

VARIATION = math.sqrt((1 - 0.5) / 0.5) * 0.8**ELEMENTS

CHAMBER: Changes = {
    "mixing.kind": "chamber",
    "mixing.volume": "10 mL",
    "mixing.speed_max": "120 rpm",
}
FILLED: Changes = {"a.filler": {"name": "mystery", "d99": "100 um", "mohs": "3 Mohs"}}
HOLLOW: Changes = {"a.filler": {**FILLED["a.filler"], "hollow": True, "crush_pressure": "100 bar"}}

ENDLESS_FLOW: Changes = {"process.deposit.shot": None, "process.production.cycle_time": None}
WARM: Changes = {"process.temperature": "30 degC"}

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
    # From 0 to 40 degC a pot life stated at 20 degC is up to 2.5 squared times as long or short.
    most, least = 2.5**2 * POT_LIFE / 3, POT_LIFE / 2.5**2 / 8
    for kelvin, age, doubling in (
        (313.15, YOUNG, most),
        (at, MEAN, POT_LIFE / 5.5),
        (273.15, AGE, least),
    ):
        mean, last = thick(age, doubling)
        warm = factor(kelvin)
        loss = (VISCOUS * last + MIXER * mean) * warm + inertia(MU * warm * last) + 1e5
        leaks.append(_leak(factor(kelvin), loss))
    return 2 * (max(leaks) - min(leaks)) * 2.0 / ONE_TURN


RATIO = _ratio()

MIXED = "asked of two-part materials, which need a mixing device by definition"


BY_NAME = "joints are alike or they are not"


def unlike(text: str) -> dict[str, Any]:
    """Component a at 10 Pa*s and b at some other viscosity."""
    return {"b.flow.viscosity": text}


def chamber(volume: str) -> dict[str, Any]:
    """A chamber of some volume."""
    return {"mixing.volume": volume}


def life(seconds: float) -> dict[str, Any]:
    """A pot life, stated at the temperature of the process."""
    return {"mix.pot_life.value": spelled(seconds, "s")}


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
        demand=2 * (30 - 5),
        fails={"mixing.speed_max": "47 rpm"},
        unknown={"mixing.speed_max": "60 rpm", "process.production.cycle_time": None},
        limits=(
            Limit({"mixing.speed_max": "48 rpm"}, State.FITS),
            Limit({"mixing.speed_max": "0.8 rev/s"}, State.FITS),
            Limit({"mixing.speed_max": "47.9999 rpm"}, State.RULED_OUT),
            # 10 mL at 1 mL/s are inside for 10 s at the very least, however short the pause.
            Limit({"process.production.cycle_time": None}, State.FITS),
            Limit({"process.production.cycle_time": "5 s"}, State.FITS),
        ),
    ),
    Ways(
        rule="chamber small enough for the shot",
        setting=CHAMBER,
        holds={},
        demand=2.0,
        fails=chamber("16 mL"),
        failed=State.MARGINAL,
        unknown={"mixing.volume": None},
        limits=(
            Limit(chamber("15 mL"), State.FITS),
            Limit(chamber("15 cc"), State.FITS),
            Limit(chamber("15.0001 mL"), State.MARGINAL),
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
    Ways(
        rule="residence against pot life",
        holds={},
        demand=AGE,
        fails=life(9 * YOUNG),
        unknown={"process.production.cycle_time": None},
        limits=(
            Limit(life(10 * AGE), State.FITS),
            Limit(life(10 * AGE * (1 - 1e-6)), State.UNPROVEN),
            Limit(life(10 * YOUNG), State.UNPROVEN),
            Limit(life(10 * YOUNG * (1 - 1e-6)), State.RULED_OUT),
            Limit({**life(10 * AGE), "mixing.void_share": None}, State.UNPROVEN),
            Limit({**life(20 * AGE), "process.production.cycle_time": "30..90 s"}, State.UNPROVEN),
            # Stirred well, so that the mean of 10 mL is told: two shots, one in 30 s.
            Limit({**CHAMBER, **life(600.0)}, State.FITS),
            Limit({**CHAMBER, **life(599.9999)}, State.RULED_OUT),
            # A flow without an end needs no cycle: one filling a turn of the tap.
            Limit({**ENDLESS_FLOW, **life(15 * VOLUME / Q)}, State.FITS),
            Limit({**ENDLESS_FLOW, **life(15 * VOLUME / Q * (1 - 1e-6))}, State.UNPROVEN),
            # At 30 degC what is stated at 20 degC is 1.5 to 2.5 times as short.
            Limit({**WARM, **life(25 * AGE)}, State.FITS),
            Limit({**WARM, **life(25 * AGE * (1 - 1e-6))}, State.UNPROVEN),
            Limit({**WARM, **life(15 * YOUNG * (1 - 1e-6))}, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="shot against pot life",
        holds={},
        demand=SHOT_TIME,
        fails=life(0.9 * SHOT_TIME),
        failed=State.MARGINAL,
        unknown="a shot has its time, and a mix its pot life; no part is read",
        limits=(
            Limit(life(SHOT_TIME), State.FITS),
            Limit(life(SHOT_TIME * (1 - 1e-6)), State.MARGINAL),
        ),
    ),
    ceiling(
        "longest stop against pot life",
        "mix.pot_life.value",
        "s",
        AGE + 60,
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
        "shear in the mixer",
        "a.shear_rate_max",
        "1/s",
        32 * Q / (math.pi * TUBE**3),
        caution=None,
        unknown={"a.shear_rate_max": None, "a.sensitive_to": ["shear"]},
    ),
    ceiling(
        "pressure at the mixer",
        "mixing.pressure_max",
        "Pa",
        BEHIND,
        # How thick the mix gets is an estimate: a gel time is three to eight doublings.
        failed=State.UNPROVEN,
        unknown={"mixing.pressure_max": None},
    ),
    ceiling(
        "restart against the mixer",
        "mixing.pressure_max",
        "Pa",
        # A minute more, at the quickest doubling.
        BEHIND * 2 ** (60 * DOUBLINGS / POT_LIFE),
        failed=State.MARGINAL,
        unknown={"process.longest_stop": None},
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
        rule="shut-off behind a mixer",
        holds={},
        fails={"outlet.shut_off_pressure": "20 bar"},
        failed=State.MARGINAL,
        unknown="a tip shuts off or it does not",
        absent_means={"outlet.shut_off_pressure": "the tip stays open"},
        limits="a tip shuts off or it does not",
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
    Ways(
        rule="explosive atmosphere at the mixing",
        setting={"process.explosive_atmosphere": True},
        holds={},
        fails={"mixing.material": "PLASTIC"},
        failed=State.MARGINAL,
        unknown=CHAMBER,
        limits=BY_NAME,
    ),
    *DUAL_WAYS,
)

TWO_PART_RULES = tuple(ways.rule for ways in TWO_PART_WAYS)
