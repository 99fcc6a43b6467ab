"""Ways of the rules about flow: pressure, torque, speed, volume, filling. Demands by hand.

The hand formulas are textbook ones for a Newtonian liquid, written out here once more so that
they share nothing with `configurator.physics`.
"""

from __future__ import annotations

import math

from ways import FILLED, NO_DENSITY, NO_HARDNESS, SPREAD, Changes, Limit, Ways, ceiling, spelled

from configurator.rules.finding import State

MU, Q, RHO = 10.0, 1e-6, 1000.0
"""Viscosity [Pa*s], flow [m^3/s] and density [kg/m^3] of the small world."""

BORE, LENGTH = 2e-3, 10e-3
E, D, PITCH, V, STAGES = 1e-3, 10e-3, 25e-3, 1e-6, 2

TURNS = Q / V
SHOT = 5e-6
AMBIENT = 101_325.0

VISCOUS = 128 * MU * LENGTH * Q / (math.pi * BORE**4) + 3 * MU * Q / (BORE / 2) ** 3
"""Hagen-Poiseuille, and the two ends after Sampson. [Pa]"""


def inertia(viscosity: float) -> float:
    """The jet of the base tip, and the profile that develops in it after Shah. [Pa]"""
    reach = LENGTH / BORE / (4 * RHO * Q / (math.pi * viscosity * BORE))
    steep = 3.44 / math.sqrt(reach)
    more = steep + (16 + 1.25 / (4 * reach) - steep) / (1 + 0.00021 / reach**2) - 16
    return (1 + 4 * reach * more) * 8 * RHO * (Q / (math.pi * BORE**2)) ** 2


TIP = VISCOUS + inertia(MU)

FILM = 2 * math.pi * MU * (2 * math.pi * TURNS) * (D / 2) ** 3 * PITCH * STAGES / (2 * E)
TORQUE = V * TIP / (2 * math.pi) + 0.1 + FILM
"""Work of one turn, 0.1 N*m of friction, and Petroff's film as thick as twice e. [N*m]"""

HYDRAULIC = 4 * (4 * E * D) / (2 * math.pi * D + 8 * E)
FILLING = 32 * MU * (PITCH * TURNS) * PITCH / HYDRAULIC**2
LONG = 10.0
LONG_LINE: dict[str, str] = {"feed.line_length": spelled(LONG, "m")}
PUSHED = LONG_LINE | {"process.feed_pressure": "60 bar", "feed.pressure_max": "60 bar"}
LINE = 128 * MU * LONG * Q / (math.pi * 10e-3**4)
INLET = FILLING + LINE
"""Absolute pressure at the end of ten metres of line, 10 mm wide. [Pa]"""

WEEP = 2.0 * 0.1 * V * (INLET - AMBIENT) / 80e5 / Q
"""Rated at 80 bar a rigid stator loses a tenth of a turn; twice that is possible. [-]"""


def weep_share(times: float) -> dict[str, str]:
    """A single weep share of practice, as a multiple of the base weep."""
    return {"practice.weep_share": spelled(times * WEEP * 100, "%")}


def weep_limit(times: float, state: State) -> Limit:
    """The base weep at a multiple of the share, from half to twice what was rated."""
    return Limit(weep_share(times), state)


ENCODER = V / 1000 / SHOT
BACKLASH = V * math.radians(0.1) / (2 * math.pi) / SHOT
RIPPLE = 0.003 / (math.pi * SHOT / V)
ANEW = math.sqrt(ENCODER**2 + BACKLASH**2 + RIPPLE**2)
STORED = (
    math.pi / 4 * BORE**2 * LENGTH * (TIP / 1e9 + 0.001 * (1 - AMBIENT / (AMBIENT + TIP))) / SHOT
)
"""A liquid of 1 GPa at least, with a thousandth of air, in the tip; against the shot. [-]"""


def in_steps(share: float) -> float:
    """Rounded up to whole steps of 0.001 %."""
    return math.ceil(share * 1e5) / 1e5


ERROR = in_steps(0.001 + ANEW)
UNWEIGHED = in_steps(0.004 + STORED + ANEW)
"""The volume error that a weighing leaves, and that of a head that nobody has weighed. [-]"""

WALL_RATE = 32 * Q / (math.pi * BORE**3)
LAMINAR_VISCOSITY = 4 * RHO * Q / (math.pi * BORE * 2040.0)
"""Viscosity at which the Reynolds number in the tip is 2,040. [Pa*s]"""

RATINGS = (
    "a part cannot be made without its rating and its sizes, nor a request without a flow; "
    "a spread that nobody states is tried as the unknown of the other flow rules"
)

OPEN_AIR = {
    "process.back_pressure": "open air at the tip's mouth",
    "mixing.bore": "a one-part head mixes nothing",
    "mixing.elements": "a one-part head mixes nothing",
    "mixing.loss_factor": "a one-part head mixes nothing",
}


def points_to(rate: float) -> dict[str, object]:
    """A measured Newtonian curve up to a shear rate."""
    rates = (rate / 1000, rate / 100, rate / 10, rate)
    return {
        "component.flow.model": "points",
        "component.flow.viscosity": None,
        "component.flow.points": [
            {"rate": spelled(each, "1/s"), "viscosity": "10 Pa*s"} for each in rates
        ],
    }


def caps(text: str) -> dict[str, object]:
    """One speed cap for any viscosity."""
    return {"practice.speed_caps": [{"viscosity_up_to": "1000 Pa*s", "speed": text}]}


STANDS: Changes = {"component.flow.thixotropic": True}
NO_CURE = {
    **OPEN_AIR,
    "process.longest_stop": "a structure is built up again after any stop",
    "material.mix": "a material of one part does not thicken by itself",
}


def restarts(rule: str, rating: str) -> Ways:
    """A thixotropic liquid is up to three times as stiff when it starts; purging answers it."""
    return ceiling(
        rule,
        rating,
        "Pa",
        3.0 * TIP,
        setting=STANDS,
        failed=State.MARGINAL,
        unknown=RATINGS,
        absent_means=NO_CURE,
    )


RESTART_WAYS: tuple[Ways, ...] = (
    ceiling(
        "restart against the stages",
        "cavity.stage_pressure",
        "Pa",
        3.0 * TIP,
        scale=1.0 / STAGES,
        setting=STANDS,
        failed=State.MARGINAL,
        unknown=NO_HARDNESS,
    ),
    restarts("restart against the housing", "size.pressure_max"),
    restarts("restart against the body", "body.pressure_max"),
    restarts("restart against the shaft seal", "seal.pressure_max"),
    restarts("restart against the tip joint", "outlet.pressure_max"),
)

PRESSURE_WAYS: tuple[Ways, ...] = (
    ceiling(
        "pressure on each stage", "cavity.stage_pressure", "Pa", TIP / STAGES, unknown=NO_HARDNESS
    ),
    ceiling("pressure in the housing", "size.pressure_max", "Pa", TIP, unknown=SPREAD),
    ceiling("pressure in the body", "body.pressure_max", "Pa", TIP, unknown=SPREAD),
    ceiling("pressure at the shaft seal", "seal.pressure_max", "Pa", TIP, unknown=SPREAD),
    ceiling("pressure at the tip joint", "outlet.pressure_max", "Pa", TIP, unknown=SPREAD),
    ceiling(
        # Half of what two stages hold is what one holds.
        "no drip at rest",
        "cavity.opening_pressure",
        "Pa",
        INLET - AMBIENT,
        setting=PUSHED,
        unknown=SPREAD,
        caution=None,
    ),
    Ways(
        rule="weep at rest",
        setting=PUSHED | {"stator.kind": "rigid"},
        holds={},
        demand=WEEP,
        accuracy=1e-4,  # the inertia of the gap
        fails=weep_share(0.2),
        unknown=NO_DENSITY,
        limits=(
            weep_limit(1.001, State.FITS),
            weep_limit(0.999, State.MARGINAL),
            weep_limit(0.2501, State.MARGINAL),
            weep_limit(0.2499, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="feed pushing through while it runs",
        setting=PUSHED | {"stator.kind": "rigid"},
        holds={},
        demand=WEEP,
        accuracy=1e-4,  # the inertia of the gap
        fails=weep_share(0.2),
        failed=State.UNPROVEN,
        unknown=NO_DENSITY,
        limits=(
            weep_limit(1.001, State.FITS),
            weep_limit(0.999, State.MARGINAL),
            weep_limit(0.2501, State.MARGINAL),
            weep_limit(0.2499, State.UNPROVEN),
        ),
    ),
    ceiling(
        # A surface holds 4 gamma / D against rho g D.
        "liquid held at the mouth",
        "component.surface_tension",
        "N/m",
        RHO * 9.80665 * BORE,
        setting={
            "process.deposit": {
                "kind": "dots",
                "diameter": "4 mm",
                "contact_angle": "90 deg",
                "dispense_time": "1 s",
            }
        },
        scale=BORE / 4,
        unknown=NO_DENSITY,
        caution=None,
        failed=State.MARGINAL,
    ),
    Ways(
        rule="long stop of an anaerobic material",
        setting={"material.trigger": "anaerobic", "process.longest_stop": "1 h"},
        holds={},
        demand=3600.0,
        fails={"process.longest_stop": "3 h"},
        failed=State.MARGINAL,
        unknown={"process.longest_stop": None},
        limits=(
            Limit({"process.longest_stop": "2 h"}, State.FITS),
            Limit({"process.longest_stop": "120 min"}, State.FITS),
            Limit({"process.longest_stop": "120.001 min"}, State.MARGINAL),
        ),
    ),
    Ways(
        rule="laminar flow in the tip",
        holds={},
        demand=4 * RHO * Q / (math.pi * MU * BORE),
        fails={"component.flow.viscosity": "0.1 mPa*s"},
        failed=State.UNPROVEN,
        unknown=NO_DENSITY,
        limits=(
            Limit({"component.flow.viscosity": spelled(LAMINAR_VISCOSITY, "Pa*s")}, State.FITS),
            Limit(
                {"component.flow.viscosity": spelled(LAMINAR_VISCOSITY * 1e3, "mPa*s")}, State.FITS
            ),
            Limit(
                {"component.flow.viscosity": spelled(LAMINAR_VISCOSITY * (1 - 1e-6), "Pa*s")},
                State.UNPROVEN,
            ),
        ),
    ),
    Ways(
        rule="flow curve reaches the tip",
        holds=points_to(2 * WALL_RATE),
        demand=WALL_RATE,
        fails=points_to(0.9 * WALL_RATE),
        failed=State.MARGINAL,
        unknown="asked only where a curve was measured, and each point has its rate",
        limits=(
            Limit(points_to(WALL_RATE * (1 + 1e-6)), State.FITS),
            Limit(points_to(WALL_RATE * (1 - 1e-6)), State.MARGINAL),
        ),
    ),
    Ways(
        rule="flow curve reaches down to the tip",
        holds=points_to(500 * WALL_RATE),
        demand=WALL_RATE,
        fails=points_to(1100 * WALL_RATE),
        failed=State.MARGINAL,
        unknown="asked only where a curve was measured, and each point has its rate",
        limits=(
            Limit(points_to(1000 * WALL_RATE * (1 - 1e-6)), State.FITS),
            Limit(points_to(1000 * WALL_RATE * (1 + 1e-6)), State.MARGINAL),
        ),
    ),
)

DRIVE_WAYS: tuple[Ways, ...] = (
    ceiling("running torque", "drive.torque_continuous", "N*m", TORQUE, unknown=SPREAD),
    ceiling(
        "breakaway torque",
        "drive.torque_peak",
        "N*m",
        0.1 * 2,
        unknown="friction, its factors and the drive's torque are all required of the parts",
    ),
)

CAPACITY = "asked only where there is a shot; capacity is required of the feed"
HEEL = {
    "feed.heel": "shop practice says what stays behind where the part does not",
    "feed.second_capacity": "no dual cartridge",
}
PACE: Changes = {"process.production.cycle_time": "30 s", "feed.capacity": "100 mL"}
CONTAINER = 0.96 * 100e-6 / SHOT * 30
"""A shot of 5 mL in 30 s from a container of 100 mL. [s]"""
ENDLESS: Changes = {"process.deposit.shot": None, "process.production.cycle_time": None}

METERING_WAYS: tuple[Ways, ...] = (
    ceiling("rotor speed against viscosity", caps, "rev/s", TURNS, unknown=NO_DENSITY),
    ceiling(
        "rubbing speed against filler",
        "practice.rubbing_speed.mild",
        "m/s",
        math.pi * TURNS * (D + 4 * E),
        setting=FILLED,
        unknown=NO_HARDNESS,
    ),
    ceiling("rotor speed against the drive", "drive.speed_max", "rev/s", TURNS, unknown=NO_DENSITY),
    ceiling(
        "rotor speed against the shaft seal", "seal.speed_max", "rev/s", TURNS, unknown=NO_DENSITY
    ),
    Ways(
        rule="slowest smooth speed",
        holds={},
        demand=TURNS,
        fails={"drive.speed_min": "61 rpm"},
        unknown="displacement and slowest speed are required of the parts, a flow of the process",
        limits=(
            Limit({"drive.speed_min": "60 rpm"}, State.FITS),
            Limit({"drive.speed_min": "1 rev/s"}, State.FITS),
            Limit({"drive.speed_min": "60.0001 rpm"}, State.RULED_OUT),
        ),
    ),
    Ways(
        rule="shot in rotor turns",
        holds={},
        demand=SHOT / V,
        fails={"process.deposit.shot": "0.9 mL"},
        unknown="asked only where there is a shot; displacement is required of the cavity",
        limits=(
            Limit({"process.deposit.shot": "1 mL"}, State.FITS),
            Limit({"process.deposit.shot": "1000 uL"}, State.FITS),
            Limit({"process.deposit.shot": "0.999999 mL"}, State.RULED_OUT),
            # Above 1 % a quarter of a turn will do.
            Limit({"process.deposit.shot": "0.25 mL", "process.tolerance": "1.1 %"}, State.FITS),
        ),
    ),
    ceiling(
        "volume error", "process.tolerance", "%", ERROR, scale=100, unknown=NO_DENSITY, caution=None
    ),
    ceiling(
        "volume error before weighing",
        "process.tolerance",
        "%",
        UNWEIGHED,
        scale=100,
        unknown=NO_DENSITY,
        caution=None,
        failed=State.MARGINAL,
    ),
    ceiling(
        "filling of the cavity",
        lambda text: {"process.feed_pressure": f"{float(text.split()[0]) - AMBIENT!r} Pa"},
        "Pa",
        INLET,
        setting=LONG_LINE,
        unknown=SPREAD,
    ),
    ceiling(
        # What the line leaves turns the rotor in proportion.
        "rotor speed the feed can fill",
        lambda text: {
            "process.feed_pressure": spelled(
                LINE + FILLING * float(text.split()[0]) / TURNS - AMBIENT, "Pa"
            )
        },
        "rev/s",
        TURNS,
        setting=LONG_LINE,
        unknown=NO_DENSITY,
    ),
    ceiling(
        "filling without suction",
        "process.feed_pressure",
        "Pa",
        INLET,
        setting=LONG_LINE,
        unknown="estimates only widen the pressure, and this rule says marginal at worst",
        absent_means={
            "component.vapour_pressure": "no vapour is known of that would push back",
            "feed.regulator_drop": "the feed has no regulator",
        },
        caution=None,
        failed=State.MARGINAL,
    ),
    ceiling(
        "one shot from the feed",
        "feed.capacity",
        "mL",
        SHOT,
        # 4 % of a container stay behind.
        scale=1e6 / 0.96,
        unknown=CAPACITY,
        absent_means=HEEL,
        caution=None,
    ),
    ceiling(
        "share of the feed in one shot",
        "feed.capacity",
        "mL",
        SHOT,
        scale=1e6 / 0.96 / 0.3,
        unknown=CAPACITY,
        absent_means=HEEL,
        caution=None,
        failed=State.MARGINAL,
    ),
    Ways(
        rule="time between two changes of the feed",
        setting=PACE,
        holds={},
        demand=CONTAINER,
        fails={"process.production.cycle_time": "5 s"},
        failed=State.MARGINAL,
        unknown="asked only where somebody says how often; capacity is required of the feed",
        limits=(
            Limit({"feed.capacity": spelled(120 * SHOT / 30 * 1e6 / 0.96, "mL")}, State.FITS),
            Limit(
                {"feed.capacity": spelled(119.999 * SHOT / 30 * 1e6 / 0.96, "mL")}, State.MARGINAL
            ),
            # 60 mL/min without an end: 120 mL last two minutes.
            Limit({**ENDLESS, "feed.capacity": spelled(120 / 0.96, "mL")}, State.FITS),
            Limit({**ENDLESS, "feed.capacity": spelled(119.999 / 0.96, "mL")}, State.MARGINAL),
        ),
        absent_means=HEEL | {"process.deposit.shot": "a flow without an end"},
    ),
    Ways(
        rule="feed on shots of unknown pace",
        holds={},
        demand=0.96 * 300.0,
        fails={"feed.capacity": "50 mL"},
        failed=State.UNPROVEN,
        unknown={"feed.capacity": "50 mL"},
        limits=(
            Limit({"feed.capacity": spelled(120 / 0.96, "mL")}, State.FITS),
            Limit({"feed.capacity": spelled(119.999 / 0.96, "mL")}, State.UNPROVEN),
        ),
    ),
    ceiling(
        "open time of the feed",
        "component.open_time",
        "s",
        CONTAINER,
        setting=PACE,
        caution=None,
        failed=State.MARGINAL,
        unknown={"process.production.cycle_time": None},
    ),
    ceiling(
        "waste of a shift",
        "process.production.waste_max",
        "%",
        # What stays behind over what was dispensed, however often a container is changed.
        0.04 / 0.96,
        setting={"process.production.parts_per_shift": "100"},
        scale=100,
        caution=None,
        unknown={"process.production.parts_per_shift": None},
    ),
    ceiling(
        "shear in the cavity",
        "component.shear_rate_max",
        "1/s",
        8 * PITCH * TURNS / HYDRAULIC,
        unknown={"component.shear_rate_max": None, "component.sensitive_to": ["shear"]},
        caution=None,
    ),
    ceiling(
        "shear in the tip",
        "component.shear_rate_max",
        "1/s",
        WALL_RATE,
        unknown={"component.shear_rate_max": None, "component.sensitive_to": ["shear"]},
        caution=None,
    ),
)

FLOW_WAYS = (*PRESSURE_WAYS, *RESTART_WAYS, *DRIVE_WAYS, *METERING_WAYS)
