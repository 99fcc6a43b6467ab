"""A pressure sensor at the outlet: what it lets the control notice, its joint, and what it adds.

It sits in the outlet end of a body, before mixer and tip. What it stands is in the rating of the body,
and what it touches in the chemistry of the body.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from configurator.catalog.parts import Body, Mixing, Outlet
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.finding import State
from configurator.rules.outlet import at_most
from configurator.rules.pressure import FLOW_ASKS, TIP_PARTS
from configurator.rules.restart import RESTART_ASKS, RESTART_PRACTICE, restart_pressure
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import Basis
from configurator.units.kinds import NUMBER, PRESSURE


def _needed(case: Case, _side: Side) -> Callable[[Body], tuple[State, Words]] | None:
    """Whether there is a sensor where the control has to notice something from the pressure."""
    process = case.process
    wanted = {"a blocked tip": process.notice_blocked_tip, "air": process.notice_air}
    what = " and ".join(name for name, asked in wanted.items() if asked)
    if not what:
        return None

    def judged(body: Body) -> tuple[State, Words]:
        has = body.sensor is not None
        state, stands = (State.FITS, "a sensor") if has else (State.RULED_OUT, "no sensor")
        reason = f"the control is to notice {what}; body {body.name} has {stands} at its outlet"
        return state, Words(f"notice of {what}", stands, reason, Basis.INVENTED)

    return judged


LEAST_ALARM = 0.5e5
"""Below it an alarm answers to noise (common practice, no source). [Pa]"""


def alarm(case: Case) -> Bound:
    """Pressure at which the control takes the tip for blocked. [Pa]

    Above what work takes, and by the caution margin above the restart after the longest stop; where
    nobody knows that, another rule says so.
    """
    factor, margin = case.practice.alarm_over_working.nominal, 1.0 + case.caution

    def over(works: Floats, restarts: Floats) -> Floats:
        return np.maximum(np.fmax(max(factor, margin) * works, margin * restarts), LEAST_ALARM)

    return case.outlet.highest.with_other(restart_pressure(case), over)


def alarm_in_range(case: Case, side: Side) -> Comparison | None:
    """Alarm for a blocked tip against what the sensor reads; without one another rule speaks."""
    if not case.process.notice_blocked_tip:
        return None
    return Comparison(alarm(case), Bound.exact(_or_any(side, "range", np.inf)), PRESSURE)


def signal(case: Case) -> Bound:
    """Pressure lost behind the sensor at the lowest flow, which air takes away. [Pa]"""
    lost = case.outlet.behind(case.duty.flow.low) - case.outlet.mouth
    words = f"{case.subject.outlet_fluid.thin_words}, lowest flow"
    return Bound.lowest(lost, words, estimated=case.outlet.estimated)


def air_seen(case: Case, side: Side) -> Comparison | None:
    """What is lost behind the sensor against some times the error of a reading."""
    if not case.process.notice_air:
        return None
    least = _or_any(side, "error", 0.0) * case.practice.signal_over_error.nominal
    return Comparison(signal(case), Bound.exact(least), PRESSURE, at_least=True)


def volume_of_shot(case: Case, side: Side) -> Comparison | None:
    """What the sensor adds between rotor and tip against the smallest shot."""
    shot = case.duty.shot
    if shot is None:
        return None
    volume = _or_any(side, "volume", 0.0)
    share = side.share
    demand = Bound.spread(
        volume / (shot.high * share.high),
        volume / (shot.nominal * share.nominal),
        volume / (shot.low * share.low),
        "smallest shot",
    )
    return Comparison(demand, at_most(case.practice.sensor_shots), NUMBER, cap=State.MARGINAL)


def _or_any(side: Side, field: str, without: float) -> Floats:
    """A figure of the sensor; of a body that has none, what passes every check."""
    stated = side.column("body", f"sensor.{field}", "high" if field != "range" else "low")
    return np.where(np.isnan(stated), without, stated)


def _keeps(body: Body, joint: str | None) -> State:
    if body.sensor is None or joint in body.sensor.joints:
        return State.FITS
    return State.UNPROVEN if joint is None else State.RULED_OUT


def _keeps_words(body: Body, joint: str | None, other: str) -> Words:
    if body.sensor is None:
        reason = f"body {body.name} has no sensor between the size's joint and {other}"
        return Words("no sensor", "any joint", reason, Basis.INVENTED)
    kept = " or ".join(body.sensor.joints)
    needs = f"{joint} joint" if joint else "joint not stated"
    reason = f"with its sensor body {body.name} leaves {kept} joint; {other} has {needs}"
    test = "" if joint else "fit the mixer by hand, or ask its maker for the joint"
    return Words(needs, kept, reason, Basis.INVENTED, test)


def _mixer_keeps(body: Body, mixing: Mixing) -> State:
    return State.FITS if mixing.kind == "none" else _keeps(body, mixing.joint)


def _mixer_words(body: Body, mixing: Mixing) -> Words:
    return _keeps_words(body, mixing.joint, f"mixing {mixing.name}")


def _tip_words(body: Body, outlet: Outlet) -> Words:
    return _keeps_words(body, outlet.joint, f"tip {outlet.name}")


RULES: tuple[Rule, ...] = (
    Rule.of_parts(
        "body",
        _needed,
        name="sensor at the outlet",
        family="outlet",
        fields=("sensor",),
        asks=("process.notice_blocked_tip", "process.notice_air"),
        source="definition",
    ),
    Rule.of_pairs(
        "body",
        "outlet",
        lambda body, outlet: _keeps(body, outlet.joint),
        _tip_words,
        name="tip joint behind the sensor",
        parts=("body.sensor.joints", "outlet.joint"),
        source="catalog: joints that the sensor leaves",
        two_part=False,
    ),
    Rule.of_pairs(
        "body",
        "mixing",
        _mixer_keeps,
        _mixer_words,
        name="mixer joint behind the sensor",
        parts=("body.sensor.joints", "mixing.joint"),
        source="catalog: joints that the sensor leaves",
        two_part=True,
    ),
    Rule(
        name="alarm within the range of the sensor",
        family="outlet",
        parts=("body.sensor.range", *TIP_PARTS),
        asks=("process.notice_blocked_tip", *RESTART_ASKS),
        practice=("alarm_over_working", *RESTART_PRACTICE),
        check=alarm_in_range,
        sentence="with tip {outlet} the alarm for a blocked tip stands at {demand}; the sensor of body "
        "{body} reads up to {limit}",
        source="pressure loss of mixer and tip times a factor of shop practice, and above the restart "
        "after the longest stop",
    ),
    Rule(
        name="air seen by the sensor",
        family="outlet",
        parts=("body.sensor.error", *TIP_PARTS),
        asks=("process.notice_air", *FLOW_ASKS),
        practice=("signal_over_error",),
        check=air_seen,
        sentence="with tip {outlet} air takes away {demand}; above the error of body {body}'s sensor "
        "stand {limit}",
        source="pressure loss of mixer and tip at the lowest flow, against some times the error of a "
        "reading (shop practice)",
    ),
    Rule(
        name="volume of the sensor against the shot",
        family="outlet",
        parts=("body.sensor.volume",),
        asks=("process.deposit",),
        practice=("sensor_shots",),
        check=volume_of_shot,
        sentence="the sensor of body {body} adds {demand} times the smallest shot before the tip; "
        "{limit} should be at most",
        source="shop practice",
    ),
)
