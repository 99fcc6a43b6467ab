"""Flow against rotor speed of one build, at several back pressures, with what bounds it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.rules.case import Case
from configurator.rules.finding import Finding
from configurator.rules.frame import Frame
from configurator.rules.side import Side
from configurator.units.kinds import PRESSURE, ROTATION
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

POINTS = 7
"""Flows at which slip is worked out; between them a line is nearly straight."""

HEADROOM = 1.25
"""The chart goes a quarter beyond the highest flow."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class WindowLine:
    """One back pressure."""

    letter: str
    """What draws it."""
    pressure: float
    """Behind the outlet. [Pa]"""
    words: str
    """Which pressure that is."""
    speeds: Floats
    """Rotor speed for each flow of the window. [1/s]"""


@dataclass(frozen=True)
class Limit:
    """A speed that may not be passed."""

    name: str
    """The rule."""
    speed: float
    """The limit. [1/s]"""
    floor: bool
    """True if the speed may not go below it."""


@dataclass(frozen=True)
class FlowWindow:
    """What one side of a build delivers."""

    side: str
    """Empty, `a` or `b`."""
    flows: Floats
    """From zero on. [m^3/s]"""
    lines: tuple[WindowLine, ...]
    """From the lowest pressure on."""
    wanted: tuple[float, float]
    """Lowest and highest flow of this side. [m^3/s]"""
    limits: tuple[Limit, ...]
    """The nearest first."""

    @property
    def top_speed(self) -> float:
        """The right edge of a chart. [1/s]"""
        reached = max(float(np.max(line.speeds)) for line in self.lines)
        caps = [limit.speed for limit in self.limits if not limit.floor]
        nearest = min(caps, default=reached)
        return max(reached, min(nearest * 1.1, reached * 2.0))


def windows_of(answer: Answer, build: RankedBuild) -> tuple[FlowWindow, ...]:
    """The flow window of each side of a build."""
    rows = np.zeros((1, len(build.parts)), dtype=np.intp)
    frame = Frame({slot: (part,) for slot, part in build.parts.items()}, rows)
    case = Case(answer.subject, frame)
    needed = float(case.outlet.highest.hard.reshape(-1)[0])
    allowed = (build.figures.get("pressure_allowed_bar") or 0.0) * 1e5
    pressures = [(0.0, "no back pressure"), (needed, "as the outlet needs")]
    if allowed > needed * 1.05:
        pressures.append((allowed, "as the parts are rated"))
    return tuple(_window(side, pressures, build.findings) for side in case.sides)


def _window(
    side: Side, pressures: Sequence[tuple[float, str]], findings: Sequence[Finding]
) -> FlowWindow:
    flows = np.linspace(0.0, side.rotation.flow_high * HEADROOM, POINTS)
    displacement = float(side.column("cavity", "displacement").reshape(-1)[0])
    lines = []
    for letter, (pressure, words) in zip("abc", pressures, strict=False):
        slips = [_slip(side, pressure, float(flow)) for flow in np.maximum(flows, 1e-15)]
        speeds = (flows + np.array(slips)) / displacement
        if np.all(np.isfinite(speeds)):
            lines.append(WindowLine(letter, pressure, words, speeds))
    return FlowWindow(
        side=side.prefix.rstrip("."),
        flows=flows,
        lines=tuple(lines),
        wanted=(side.rotation.flow_low, side.rotation.flow_high),
        limits=tuple(sorted(_limits(side, findings), key=lambda limit: limit.speed)),
    )


def _slip(side: Side, pressure: float, flow: float) -> float:
    """Slip of the nominal material, its higher bound. [m^3/s]"""
    if pressure <= 0.0:
        return 0.0
    ends = side.rotation.slip(np.full((3, 1), pressure), flow)
    return float(ends.high[1].reshape(-1)[0])


def _limits(side: Side, findings: Sequence[Finding]) -> Iterator[Limit]:
    prefix = f"{side.prefix.rstrip('.')}: " if side.prefix else ""
    for finding in findings:
        if finding.unit == ROTATION.unit and isinstance(finding.limit, float):
            name = finding.rule.removeprefix(prefix)
            if finding.rule.startswith(prefix) and np.isfinite(finding.limit):
                yield Limit(name, finding.limit, finding.at_least)


def pressure_chain(build: RankedBuild) -> tuple[Finding, ...]:
    """Findings that compare a pressure with a rating, from the outlet back to the inlet."""
    order = ("tip", "mixer", "chamber", "housing", "body", "seal", "stage", "rest", "feed", "inlet")

    def place(finding: Finding) -> int:
        words = finding.rule
        return next((at for at, word in enumerate(order) if word in words), len(order))

    measured = [
        finding
        for finding in build.findings
        if finding.unit == PRESSURE.unit
        and isinstance(finding.demand, float)
        and isinstance(finding.limit, float)
    ]
    return tuple(sorted(measured, key=place))
