"""Charts of one build as text, no colour needed: flow against rotor speed, and its pressures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.report.lines import cut
from configurator.rules.case import Case
from configurator.rules.finding import Finding, State
from configurator.rules.frame import Frame
from configurator.rules.rotation import NOMINAL
from configurator.rules.side import Side
from configurator.trial.head import one
from configurator.tui.canvas import Canvas, Floats
from configurator.tui.looks import STATE_STYLES, Glyphs, Spans, column, flowed
from configurator.units.display import figures, in_unit, show, unit_for
from configurator.units.kinds import PRESSURE, ROTATION, VOLUME_FLOW
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

POINTS = 7
"""Flows at which slip is worked out; between them a line is nearly straight."""

HEADROOM = 1.25
"""The chart goes a quarter beyond the highest flow."""


@dataclass(frozen=True)
class WindowLine:
    """One back pressure."""

    letter: str
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
    needed = one(case.outlet.highest.hard)
    allowed = (build.figures.get("pressure_allowed_bar") or 0.0) * 1e5
    pressures = [(0.0, "no back pressure"), (needed, "as the outlet needs")]
    if allowed > needed * 1.05:
        pressures.append((allowed, "as the parts are rated"))
    return tuple(_window(side, pressures, build.findings) for side in case.sides)


def _window(
    side: Side, pressures: Sequence[tuple[float, str]], findings: Sequence[Finding]
) -> FlowWindow:
    flows = np.linspace(0.0, side.rotation.flow_high * HEADROOM, POINTS)
    displacement = one(side.column("cavity", "displacement"))
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
    ends = side.rotation.slip(np.full((1, 1), pressure), flow)
    return one(ends.high[NOMINAL])


def _limits(side: Side, findings: Sequence[Finding]) -> Iterator[Limit]:
    prefix = f"{side.prefix.rstrip('.')}: " if side.prefix else ""
    for finding in findings:
        if finding.unit == ROTATION.unit and isinstance(finding.limit, float):
            name = finding.rule.removeprefix(prefix)
            if finding.rule.startswith(prefix) and np.isfinite(finding.limit):
                yield Limit(name, finding.limit, finding.at_least)


AXIS = 7
"""Columns left of the plot."""

NARROWEST, LOWEST = 24, 5
"""Below this many columns and rows a chart tells nothing."""

LABEL, NUMBERS = 24, 18
MARKS = {State.FITS: " ", State.MARGINAL: "!", State.UNPROVEN: "?", State.RULED_OUT: "x"}

_PREFIX = "rotor speed against "


def flow_chart(window: FlowWindow, width: int, height: int, glyphs: Glyphs) -> list[Spans]:
    """Return a chart of flow against rotor speed, legend included, in so many cells."""
    legend = _legend(window, width)
    rows = height - len(legend) - 2
    if width < NARROWEST or rows < LOWEST or not window.lines:
        return legend[:height]
    top = float(window.flows[-1])
    right = window.top_speed
    canvas = Canvas(width - AXIS - 1, rows)
    band = _band(canvas, window, top, glyphs)
    limits = _limit_lines(canvas, window, right, glyphs)
    _lines(canvas, window, top, right, glyphs)
    _names(canvas, limits)
    for row, words in band.items():
        _word_edge(canvas, row, words)
    unit = unit_for(VOLUME_FLOW, top)
    side = f"   side {window.side}" if window.side else ""
    chart: list[Spans] = [[(unit, "strong"), (side, "")]]
    for number, cells in enumerate(canvas.cells):
        label = _flow_label(number, rows, top, unit)
        chart.append([(f"{label:>{AXIS}}", ""), (glyphs.upright, ""), *cells])
    chart.append([(_speed_axis(right, canvas.width, glyphs), "")])
    return [*chart, *legend]


def _flow_label(row: int, rows: int, top: float, unit: str) -> str:
    """A number at the top, the middle and just above the axis."""
    if row not in (0, rows // 2):
        return ""
    return figures(in_unit(top * (rows - 1 - row) / (rows - 1), unit))


def _speed_axis(right: float, width: int, glyphs: Glyphs) -> str:
    numbers = [figures(share * right * 60.0) for share in (0.0, 0.5, 1.0)]
    end = f"{numbers[2]} rpm"
    line = list(f"{' ' * AXIS}{glyphs.corner}{glyphs.level * width}")
    line[AXIS + 1 : AXIS + 1 + len(numbers[0])] = numbers[0]
    middle = AXIS + 1 + width // 2 - len(numbers[1]) // 2
    line[middle : middle + len(numbers[1])] = numbers[1]
    line[len(line) - len(end) :] = end
    return "".join(line)


def _row(flow: float, top: float, rows: int) -> int:
    return round((1.0 - flow / top) * (rows - 1))


def _band(canvas: Canvas, window: FlowWindow, top: float, glyphs: Glyphs) -> dict[int, str]:
    """Draw what is wanted; which words belong to which of its edges."""
    low, high = (_row(flow, top, canvas.height) for flow in window.wanted)
    for row in range(high, low + 1):
        edge = row in (low, high)
        mark = glyphs.edge if edge else glyphs.inside
        canvas.put(row, 0, mark * canvas.width, "accent" if edge else "")
    return {low: " wanted "} if low == high else {high: " most wanted ", low: " least wanted "}


def _word_edge(canvas: Canvas, row: int, words: str) -> None:
    """Write on an edge of the band, as far right as no line is in the way."""
    for start in range(canvas.width - len(words) - 1, -1, -1):
        run = {canvas.cells[row][at][0] for at in range(start, start + len(words))}
        if len(run) == 1:
            canvas.put(row, start, words, "accent")
            return


def _lines(canvas: Canvas, window: FlowWindow, top: float, right: float, glyphs: Glyphs) -> None:
    """Dots with a letter at the end; or letters, which take turns where lines meet in a cell."""
    if glyphs.braille:
        for line in window.lines:
            canvas.curve(line.speeds / right, window.flows / top, "strong")
        for (row, place), letters in _ends(canvas, window, top, right).items():
            canvas.put(row, max(place - len(letters), 0), letters, "strong")
        return
    at: dict[tuple[int, int], str] = {}
    for line in window.lines:
        for row in range(canvas.height):
            flow = top * (1.0 - row / (canvas.height - 1))
            speed = float(np.interp(flow, window.flows, line.speeds))
            column = round(speed / right * (canvas.width - 1))
            at[row, column] = at.get((row, column), "") + line.letter
    for (row, column), letters in at.items():
        canvas.put(row, column, letters[row % len(letters)], "strong")


def _ends(
    canvas: Canvas, window: FlowWindow, top: float, right: float
) -> dict[tuple[int, int], str]:
    """Cells in which lines leave the plot, with the letters of those that leave there."""
    found: dict[tuple[int, int], str] = {}
    for line in window.lines:
        last = np.nonzero(line.speeds <= right)[0][-1]
        place = round(float(line.speeds[last]) / right * (canvas.width - 1))
        at = _row(float(window.flows[last]), top, canvas.height), place
        found[at] = found.get(at, "") + line.letter
    return found


def _limit_lines(
    canvas: Canvas, window: FlowWindow, right: float, glyphs: Glyphs
) -> list[tuple[int, str]]:
    """Draw the limits that lie in the plot; the column and the name of each."""
    drawn = []
    for limit in window.limits:
        column = round(limit.speed / right * (canvas.width - 1))
        if column < canvas.width:
            drawn.append((column, short_name(limit)))
            for line in range(canvas.height):
                canvas.put(line, column, glyphs.limit, "marginal")
    return drawn


def _names(canvas: Canvas, limits: list[tuple[int, str]]) -> None:
    """Write each limit's name beside its line, in the first row where nothing is in the way."""
    for at, name in limits:
        places = [
            (row, start)
            for row in range(canvas.height)
            for start in (at + 2, at - len(name) - 1)
            if start >= 0 and start + len(name) <= canvas.width
        ]
        for row, start in places:
            if canvas.free(row, start - 1, min(start + len(name) + 1, canvas.width)):
                canvas.put(row, start, name, "marginal")
                break


def short_name(limit: Limit) -> str:
    """What stands at a limit line."""
    return f"{'from' if limit.floor else 'to'} {limit.name.removeprefix(_PREFIX)}"


def _legend(window: FlowWindow, width: int) -> list[Spans]:
    words = [
        cut(f"{line.letter} {show(line.pressure, 'bar')} {line.words}", width)
        for line in window.lines
    ]
    return [[("   ".join(words[at] for at in line), "")] for line in flowed(words, width, gap=3)]


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


def pressure_bars(chain: Sequence[Finding], width: int, glyphs: Glyphs) -> list[Spans]:
    """Return one bar a pressure, from outlet to inlet; a full bar is all that is allowed."""
    numbers = NUMBERS
    label = min(LABEL, max(width - numbers - 12, 8))
    room = max(width - label - numbers - 6, 4)
    return [_bar(finding, label, room, numbers, glyphs) for finding in chain]


def _bar(finding: Finding, label: int, room: int, numbers: int, glyphs: Glyphs) -> Spans:
    demand, limit = finding.demand, finding.limit
    assert isinstance(demand, float), "the chain holds numbers only"
    assert isinstance(limit, float)
    share = _share(demand, limit)
    over = share > 1.0
    filled = min(round(share * room), room)
    bar = glyphs.full * filled + glyphs.rest * (room - filled)
    style = STATE_STYLES[finding.state]
    words = f"{show(demand, 'bar').removesuffix(' bar')} of {show(limit, 'bar')}"
    name = finding.rule.replace("pressure ", "").replace("at the ", "").replace("in the ", "")
    return [
        (f"{MARKS[finding.state]} ", style),
        (column(name, label), ""),
        (" [", ""),
        (bar, style),
        (">" if over else "]", style if over else ""),
        (f" {words:<{numbers}}", ""),
    ]


def _share(demand: float, limit: float) -> float:
    if limit <= 0.0:
        return 1.0 if demand <= 0.0 else 2.0
    return max(demand / limit, 0.0)
