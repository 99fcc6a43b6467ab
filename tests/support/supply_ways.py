"""Ways of the rules about a sensor at the outlet, dual cartridges and follower plates."""

from __future__ import annotations

from flow_ways import MU, OPEN_AIR, SHOT, TIP
from ways import BY_NAME, REQUIRED, SPREAD, Changes, Limit, Ways, ceiling, spelled

from configurator.catalog.parts import SIDE_SLOTS
from configurator.rules.finding import State

SENSOR: Changes = {
    "body.sensor": {
        "range": "40 bar",
        "error": "0.05 bar",
        "volume": "0.5 mL",
        "materials": ["GOOD"],
        "joints": ["luer lock"],
    }
}
OFF = {"process.notice_blocked_tip": "nobody asks for it", "process.notice_air": "nobody asks"}


def dual(second: str) -> Changes:
    """A dual cartridge of 300 mL in its larger chamber."""
    return {"feed.kind": "dual cartridge", "feed.second_capacity": second}


def error(bar_of_tip: float) -> Changes:
    """A sensor whose error is such a share of what is lost in the tip."""
    return {"body.sensor.error": spelled(bar_of_tip * TIP, "Pa")}


SENSOR_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="sensor at the outlet",
        setting={"process.notice_air": True, "process.notice_blocked_tip": True},
        holds=SENSOR,
        fails={},
        unknown="a body has a sensor or it has none",
        limits=BY_NAME,
        absent_means=OFF | {"body.sensor": "the body has none"},
    ),
    Ways(
        rule="tip joint behind the sensor",
        setting=SENSOR,
        holds={},
        fails={"body.sensor.joints": ["threaded"]},
        unknown=REQUIRED,
        limits=BY_NAME,
    ),
    ceiling(
        "alarm within the range of the sensor",
        "body.sensor.range",
        "Pa",
        1.5 * TIP,
        setting=SENSOR | {"process.notice_blocked_tip": True},
        unknown=SPREAD,
        caution=None,
        absent_means=OPEN_AIR,
    ),
    Ways(
        rule="air seen by the sensor",
        setting=SENSOR | {"process.notice_air": True},
        holds={},
        demand=TIP,
        fails=error(0.25),
        unknown=SPREAD | error(0.1),
        limits=(
            Limit(error(0.2 * (1.0 - 1e-6)), State.FITS),
            Limit(error(0.2), State.FITS),
            Limit(error(0.2 * (1.0 + 1e-6)), State.RULED_OUT),
        ),
        absent_means=OPEN_AIR,
    ),
    Ways(
        rule="volume of the sensor against the shot",
        setting=SENSOR,
        holds={},
        demand=0.5e-6 / SHOT,
        fails={"body.sensor.volume": "30 mL"},
        failed=State.MARGINAL,
        unknown="asked only where there is a shot; a sensor states its volume",
        limits=(
            Limit({"body.sensor.volume": "5 mL"}, State.FITS),
            Limit({"body.sensor.volume": "5.001 mL"}, State.MARGINAL),
        ),
    ),
)

CONTAINER_WAYS: tuple[Ways, ...] = (
    Ways(
        rule="dual cartridge on both sides",
        holds={},
        fails=dual("300 mL"),
        unknown="a cartridge has two chambers or it has one",
        limits=BY_NAME,
        absent_means={"feed.both_sides": "the feed is no dual cartridge"},
    ),
    Ways(
        rule="viscosity the feed holds back",
        holds={"feed.viscosity_min": spelled(MU / 2, "Pa*s")},
        demand=MU,
        fails={"feed.viscosity_min": spelled(MU * 1.1, "Pa*s")},
        unknown=SPREAD | {"feed.viscosity_min": spelled(MU, "Pa*s")},
        limits=(
            Limit({"feed.viscosity_min": spelled(MU, "Pa*s")}, State.FITS),
            Limit({"feed.viscosity_min": spelled(MU * (1.0 + 1e-6), "Pa*s")}, State.RULED_OUT),
        ),
        absent_means={"feed.viscosity_min": "nothing in the container that a liquid runs past"},
    ),
)

DUAL_WAYS: tuple[Ways, ...] = (
    *(
        Ways(
            rule=f"pieces in stock of the {slot}",
            setting={f"{slot}.stock": 2},
            holds={},
            fails={f"{slot}.stock": 1},
            unknown="what nobody counts is not in stock",
            limits=(Limit({}, State.FITS), Limit({f"{slot}.stock": 1}, State.RULED_OUT)),
            absent_means={f"{slot}.last_one": "there are two or more"},
        )
        for slot in SIDE_SLOTS
    ),
    Ways(
        rule="mixer joint behind the sensor",
        setting=SENSOR,
        holds={},
        fails={"body.sensor.joints": ["threaded"]},
        unknown={"mixing.joint": None},
        limits=BY_NAME,
    ),
    Ways(
        # One to one: the larger chamber keeps what the smaller one does not hold.
        rule="dual cartridge against the ratio",
        holds=dual("285 mL"),
        demand=15 / 300,
        fails=dual("200 mL"),
        failed=State.MARGINAL,
        unknown="a dual cartridge states both chambers, and a mix its ratio",
        limits=(
            Limit(dual("270 mL"), State.FITS),
            Limit(dual("269.9 mL"), State.MARGINAL),
        ),
        absent_means={"feed.second_capacity": "no dual cartridge"},
    ),
)
