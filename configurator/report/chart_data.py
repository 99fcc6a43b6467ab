"""What the charts of a sheet show, as numbers: the same for drawings and JSON."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.rules.finding import Finding
from configurator.rules.side import Side
from configurator.trial.head import Head, one, speed_at

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
    """Speed over flow for one side."""

    title: str
    flow_ml_min: Sequence[float]
    low_rpm: Sequence[float]
    nominal_rpm: Sequence[float]
    high_rpm: Sequence[float]
    wanted_ml_min: tuple[float, float]
    limits_rpm: Mapping[str, float]


@dataclass(frozen=True)
class Bars:
    """Rows of stacked parts in one unit, with limits."""

    unit: str
    rows: Sequence[str]
    parts: Mapping[str, Sequence[float]]
    limits: Mapping[str, float]


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
        flow_ml_min=(flows * scale).tolist(),
        low_rpm=low,
        nominal_rpm=middle,
        high_rpm=high,
        wanted_ml_min=(duty.flow.low * scale, max(duty.flow.high, duty.flow.low * 1.02) * scale),
        limits_rpm={", ".join(words): rpm for rpm, words in sorted(limits.items())},
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
    parts = {"tip": (tip / 1e5).tolist()}
    if case.material.two_part:
        # What cure thickens on the way through counts with the mixer.
        parts["mixer and its cure"] = np.maximum((whole - tip - mouths) / 1e5, 0).tolist()
    if mouth.high > 0:
        parts["closed part"] = (mouths / 1e5).tolist()
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
        limits={", ".join(names): value for value, names in limits.items()},
    )
