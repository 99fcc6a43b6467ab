"""What the charts of a sheet show, as numbers: the same for drawings and JSON."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.physics.tube_flow import flow_from_pressure, tube_pressure_drop
from configurator.rules.error_budget import volume_error
from configurator.rules.finding import Finding
from configurator.rules.side import Side
from configurator.trial.head import Head, one, speed_at
from configurator.workshop.process_figures import MOST_CHANGE
from configurator.workshop.told import ErrorShare

POINTS = 25

LIMIT_WORDS = {
    "rotor speed against viscosity": "viscosity",
    "rotor speed against the drive": "drive",
    "rotor speed against the shaft seal": "shaft seal",
    "slowest smooth speed": "smooth from",
}
"""Rules that limit the speed, in a word or two on a chart."""


@dataclass(frozen=True)
class SpeedOverFlow:
    """Speed over flow for one side; flows in mL/min, speeds in rpm."""

    title: str
    flows: Sequence[float]
    low: Sequence[float]
    middle: Sequence[float]
    high: Sequence[float]
    wanted: tuple[float, float]
    limits: Sequence[tuple[str, float]]


@dataclass(frozen=True)
class Bars:
    """Rows of stacked parts in one unit, with limits."""

    unit: str
    rows: Sequence[str]
    parts: Sequence[tuple[str, Sequence[float]]]
    limits: Sequence[tuple[str, float]]
    wide: bool = False


@dataclass(frozen=True)
class Reaction:
    """Volume off, in per cent, at thin, nominal and thick material; bounded as the figure is."""

    ends: Sequence[str]
    time_pressure: Sequence[float]
    head: float


def flow_windows(head: Head, findings: Sequence[Finding]) -> list[SpeedOverFlow]:
    """Return speed over flow of each side, with what limits the speed."""
    return [_window(head, side, findings) for side in head.case.sides]


def _window(head: Head, side: Side, findings: Sequence[Finding]) -> SpeedOverFlow:
    duty = head.case.duty
    displacement = one(side.column("cavity", "displacement"))
    factor = one(side.rotation.seals.factor)
    flows = np.linspace(0.5 * duty.flow.low, 1.5 * duty.flow.high, POINTS)
    low, middle, high = [], [], []
    for flow in flows.tolist():
        own = flow * side.share.nominal
        slip = side.rotation.slip_at(flow)
        low.append((own + one(slip.low.min(axis=0)) / factor) / displacement * 60.0)
        middle.append(speed_at(side, flow) * 60.0)
        high.append((own + one(slip.high.max(axis=0)) * factor) / displacement * 60.0)
    prefix = side.prefix[:-1] + ": " if side.prefix else ""
    limits: dict[float, list[str]] = {}
    for finding in findings:
        name = finding.rule.removeprefix(prefix)
        known = isinstance(finding.limit, float) and math.isfinite(finding.limit)
        if known and name in LIMIT_WORDS and finding.rule.startswith(prefix):
            assert isinstance(finding.limit, float)
            limits.setdefault(finding.limit * 60.0, []).append(LIMIT_WORDS[name])
    scale = side.share.nominal * 6e7
    return SpeedOverFlow(
        title=f"side {prefix[0]}" if prefix else "",
        flows=(flows * scale).tolist(),
        low=low,
        middle=middle,
        high=high,
        wanted=(duty.flow.low * scale, max(duty.flow.high, duty.flow.low * 1.02) * scale),
        limits=[(", ".join(words), rpm) for rpm, words in sorted(limits.items())],
    )


def pressure_chain(head: Head) -> Bars:
    """Return pressure behind tip and mixer at the highest flow, thin to thick, against ratings."""
    case = head.case
    flow = case.duty.flow.high
    tip = np.array([one(value) for value in case.outlet.tip_loss(flow)])
    highest = case.outlet.highest
    whole = np.array([one(end) for end in (highest.kind, highest.nominal, highest.hard)])
    mouth = case.duty.back_pressure
    mouths = np.array([mouth.low, mouth.nominal, mouth.high])
    parts = [("tip", (tip / 1e5).tolist())]
    if case.material.two_part:
        # What cure thickens on the way through counts with the mixer.
        parts.append(("mixer and its cure", np.maximum((whole - tip - mouths) / 1e5, 0).tolist()))
    if mouth.high > 0:
        parts.append(("closed part", (mouths / 1e5).tolist()))
    ratings = [("tip joint", one(case.column("outlet", "pressure_max")))]
    ratings += [
        (f"{side.weakest}{f' {side.name}' if side.name else ''}", side.pressure_allowed)
        for side in head.sides
    ]
    limits: dict[float, list[str]] = {}
    for name, value in ratings:
        if math.isfinite(value):
            # One line for equal ratings: the second would hide the first.
            limits.setdefault(value / 1e5, []).append(name)
    return Bars(
        unit="pressure at the highest flow, bar",
        rows=["thin", "nominal", "thick"],
        parts=parts,
        limits=[(", ".join(names), value) for value, names in limits.items()],
        wide=True,
    )


def error_bars(budget: Mapping[str, ErrorShare], head: Head) -> Bars:
    """Return the parts of the volume error in per cent that are known, their sums, the tolerance.

    What a weighing takes away stands beside what it leaves. There is no sum where a part is
    unknown.
    """
    known: dict[str, float] = {}
    for name, share in budget.items():
        if share.weighed:
            known[name] = share.weighed * 100.0
        if share.before and share.before != share.weighed:
            known[f"{name}, before weighing"] = share.before * 100.0
    for words, weighed in (("all once weighed", True), ("all before weighing", False)):
        whole = largest_error(head, weighed=weighed)
        if math.isfinite(whole):
            known[words] = whole
    return Bars(
        unit="volume error over the stated range, %",
        rows=list(known),
        parts=[("", list(known.values()))],
        limits=[("tolerance", head.case.duty.tolerance * 100.0)],
    )


def reaction_of(head: Head) -> Reaction:
    """Return what a time-pressure dispenser and this head make of thin and thick material."""
    case = head.case
    bore, length = one(case.column("outlet", "bore")), one(case.column("outlet", "length"))
    flow = case.duty.flow.nominal
    fluid = case.subject.outlet_fluid
    pressure = tube_pressure_drop(curve=fluid.nominal, flow_rate=flow, bore=bore, length=length)
    changes = [
        (
            one(flow_from_pressure(curve=curve, pressure_drop=pressure, bore=bore, length=length))
            / flow
            - 1.0
        )
        for curve in fluid.curves
    ]
    changes = [min(change, MOST_CHANGE) * 100.0 for change in changes]
    return Reaction(["thin", "nominal", "thick"], changes, largest_error(head, weighed=True))


def largest_error(head: Head, *, weighed: bool) -> float:
    """Volume error of the worse side, in per cent."""
    case = head.case
    return max(one(volume_error(case, side, weighed=weighed)) for side in case.sides) * 100.0
