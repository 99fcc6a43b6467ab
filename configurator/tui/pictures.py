"""Pictures of one build as text, no colour needed: what the program worked out, and nothing new."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from configurator.report.chart_data import Bars, SpeedOverFlow, flow_windows, pressure_chain
from configurator.report.lines import cells, cut
from configurator.rules.finding import Finding, State
from configurator.trial.head import Head, head_of, one
from configurator.tui.canvas import Plot
from configurator.tui.looks import (
    STATE_STYLES,
    Glyphs,
    Spans,
    column,
    flowed,
    margin_bar,
    paragraph,
)
from configurator.units.display import figures, show
from configurator.units.grouped import grouped
from configurator.units.kinds import PRESSURE
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

LABEL, NUMBERS = 24, 18
LEAST_LABEL = 40
"""Cells of a rule's name beside bars, where there is room."""

MARKS = {State.FITS: " ", State.MARGINAL: "!", State.UNPROVEN: "?", State.RULED_OUT: "x"}

SEGMENTS = "#=-"
"""Marks of what is lost in the parts of a chain, in their order."""

TOP = 1.3
"""A chart goes so far beyond the highest flow."""

MOST_HEIGHT = 18
"""Rows beyond which a plot tells no more."""


@dataclass(frozen=True)
class Ages:
    """How old the mix in the mixer gets; nominal and at the worst. [min]"""

    running: tuple[float, float]
    stop: float
    """The longest stop; NaN where nobody says."""
    shift: float
    """NaN where nobody says."""
    limits: Mapping[str, float]
    """By what they are called."""


@dataclass(frozen=True)
class Pictured:
    """What the pictures of a build are drawn from."""

    build: RankedBuild
    windows: Sequence[SpeedOverFlow]
    chain: Bars
    ages: Ages | None
    """None for one part."""


def pictured(answer: Answer, build: RankedBuild) -> Pictured:
    """Work out the numbers behind the pictures of a build."""
    head = head_of(answer.subject, build.parts)
    ages = _ages(head) if answer.question.material.two_part else None
    return Pictured(build, flow_windows(head, build.findings), pressure_chain(head), ages)


def _ages(head: Head) -> Ages:
    case = head.case
    age, practice = case.mixer.age(case.duty.flow), case.practice
    shift, life = case.duty.shift, float(case.mixer.cure.pot_life[2])
    limits = {
        "pot life, warmest": 1.0,
        "most in a stop": practice.pot_life_stop_share.nominal,
        "most at work": practice.pot_life_run_share.nominal,
    }
    return Ages(
        running=(one(age.nominal) / 60.0, one(age.hard) / 60.0),
        stop=case.duty.longest_stop / 60.0,
        shift=math.nan if shift is None else shift.nominal / 60.0,
        limits={name: share * life / 60.0 for name, share in limits.items()},
    )


def flow_chart(window: SpeedOverFlow, width: int, height: int, glyphs: Glyphs) -> Sequence[Spans]:
    """Return a chart of flow against rotor speed with slip least, nominal and most."""
    flows = np.array(window.flow_ml_min)
    named = {
        "least slip": window.low_rpm,
        "most slip": window.high_rpm,
        "nominal": window.nominal_rpm,
    }
    known = {name: np.array(rpm) for name, rpm in named.items() if np.all(np.isfinite(rpm))}
    reached = max((float(rpm.max()) for rpm in known.values()), default=0.0)
    near = [rpm for rpm in window.limits_rpm.values() if rpm <= 2.0 * reached]
    plot = Plot(
        ("rotor speed, rpm", [0.0, 1.15 * max(reached, *near, 1e-9)]),
        (
            f"flow, mL/min{f'   {window.title}' if window.title else ''}",
            [0.0, TOP * window.wanted_ml_min[1]],
        ),
        width=width,
        height=min(height, MOST_HEIGHT) - (len(known) < len(named)),
        glyphs=glyphs,
        tight=True,
    )
    if not plot.told or not known:
        return [[("No room to draw, or no speed is known.", "")]][:height]
    low, high = window.wanted_ml_min
    for row in range(plot.row(high) + 1, plot.row(low)):
        plot.put(row, 0, glyphs.inside * plot.width, "")
    for words, rpm in window.limits_rpm.items():
        if rpm <= plot.across.high:
            plot.upright(rpm, words if words.startswith("smooth") else f"to {words}")
    edges = {plot.row(low): "least wanted", plot.row(high): "most wanted"}
    if len(edges) == 1:
        edges = {plot.row(low): "wanted"}
    for flow in {plot.row(flow): flow for flow in (low, high)}.values():
        plot.level(flow, edges[plot.row(flow)], "accent", glyphs.edge)
    for name, speeds in known.items():
        plot.curve(speeds, flows, name)
    ends = grouped(known, lambda name: plot.end_of(known[name], flows))
    for (row, at), names in ends.items():
        words = ", ".join(names) if len(names) < len(named) else "least to most slip"
        beside = [(row + down, at + aside) for down in (0, -1, 1, 2) for aside in (2, 4)]
        before = [
            (row + down, at - len(words) - 1 - off) for down in (0, -1, 1) for off in range(0, 9, 2)
        ]
        plot.names.append(partial(plot.name, [*before, *beside], words, "strong"))
    lines = plot.lines()
    if len(known) < len(named):
        lines.append([(cut("slip at its most is not known", width), "unproven")])
    return lines


def age_chart(ages: Ages, width: int, height: int, glyphs: Glyphs) -> Sequence[Spans]:
    """Return the age of the mix over a shift with its longest stop, against the pot life."""
    if not all(map(math.isfinite, ages.running)):
        words = "How old the mix gets is not known: the process says no cycle time."
        return paragraph(words, width)
    stop = ages.stop if math.isfinite(ages.stop) else 0.0
    end = ages.shift if math.isfinite(ages.shift) else max(4.0 * stop, *ages.limits.values())
    begin = (end - stop) / 2.0
    note = "" if stop else "Nobody says how long it stands: longest_stop of the process."
    plot = Plot(
        (f"time {'in the shift' if math.isfinite(ages.shift) else 'at work'}, min", [0.0, end]),
        ("age of the mix, min", [0.0, 1.1 * max(ages.running[1] + stop, *ages.limits.values())]),
        width=width,
        height=min(height, MOST_HEIGHT) - bool(note),
        glyphs=glyphs,
        tight=True,
    )
    if not plot.told:
        return [[("No room to draw.", "")]][:height]
    for name, limit in ages.limits.items():
        plot.level(limit, name, "marginal", glyphs.edge if name.startswith("pot") else glyphs.level)
    curves = dict(zip(("nominal", "oldest"), ages.running, strict=True))
    if len({(plot.row(age), plot.row(age + stop)) for age in curves.values()}) == 1:
        curves = {"nominal and oldest": ages.running[1]}  # two curves in one row are none
    for name, age in curves.items():
        # What stood leaves with the next mix: it takes as long as it takes to flow through.
        times = np.array([0.0, begin, begin + stop, min(begin + stop + age, end), end])
        up = np.array([age, age, age + stop, age, age])
        plot.curve(times, up, name)
        row, at = plot.row(age + stop), plot.column(begin + stop)
        plot.name(
            [(r, c) for r in (row, row + 1) for c in (at + 2, at - len(name) - 2)], name, "strong"
        )
    return [*plot.lines(), *([[(cut(note, width), "unproven")]] if note else [])]


def chain_chart(chain: Bars, width: int, glyphs: Glyphs) -> Sequence[Spans]:
    """Return what is lost in each part from the outlet inwards, thin to thick, against ratings."""
    room = max(width - 18, 8)
    stacks = [sum(parts[at] for parts in chain.parts.values()) for at in range(len(chain.rows))]
    # A rating far beyond all others would leave no room for what is lost.
    top = 1.2 * max([*stacks, min(chain.limits.values(), default=0.0), 1e-9])
    legend = "  ".join(f"{mark} {name}" for mark, name in zip(SEGMENTS, chain.parts, strict=False))
    lines: list[Spans] = [[(chain.unit, "strong")], [(legend, "")]]
    marked = {round(limit / top * (room - 1)) for limit in chain.limits.values() if limit <= top}
    for at, (row, whole) in enumerate(zip(chain.rows, stacks, strict=True)):
        bar, behind = "", 0.0
        for mark, parts in zip(SEGMENTS, chain.parts.values(), strict=False):
            behind += parts[at] if math.isfinite(parts[at]) else 0.0
            bar += mark * (round(behind / top * room) - len(bar))
        bar = f"{bar:<{room}}"
        drawn = "".join(glyphs.limit if place in marked else each for place, each in enumerate(bar))
        lines.append([(f"{row:<8} ", ""), (drawn, "accent"), (f" {figures(whole)}", "strong")])
    for name, limit in sorted(chain.limits.items(), key=lambda each: each[1]):
        words = f"{glyphs.limit if limit <= top else '>'} {name}, rated {figures(limit)} bar"
        start = min(9 + round(min(limit / top, 1.0) * (room - 1)), width - cells(words))
        lines.append([(" " * max(start, 0), ""), (cut(words, width), "marginal")])
    return lines


def pressure_findings(build: RankedBuild) -> tuple[Finding, ...]:
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


def pressure_bars(chain: Sequence[Finding], width: int, glyphs: Glyphs) -> Sequence[Spans]:
    """Return one bar a pressure, from outlet to inlet; a full bar is all that is allowed."""
    label = min(LABEL, max(width - NUMBERS - 12, 8))
    room = max(width - label - NUMBERS - 6, 4)
    return [_bar(finding, label, room, glyphs) for finding in chain]


def _bar(finding: Finding, label: int, room: int, glyphs: Glyphs) -> Spans:
    demand, limit = finding.demand, finding.limit
    assert isinstance(demand, float), "the chain holds numbers only"
    assert isinstance(limit, float)
    share = max(demand / limit, 0.0) if limit > 0.0 else float(demand > 0.0) * 2.0
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
        (">" if share > 1.0 else "]", style if share > 1.0 else ""),
        (f" {words:<{NUMBERS}}", ""),
    ]


def margin_bars(builds: Sequence[RankedBuild], width: int, glyphs: Glyphs) -> Sequence[Spans]:
    """Return what each rule leaves in each build, the least first: a bar is the share that is left."""
    by_rule: dict[str, list[Finding | None]] = {}
    for at, build in enumerate(builds):
        for finding in build.findings:
            if finding.margin is not None and math.isfinite(finding.margin):
                by_rule.setdefault(finding.rule, [None] * len(builds))[at] = finding
    room = max(min((width - LEAST_LABEL) // len(builds) - 12, 20), 4)
    label = max(min(width - len(builds) * (room + 12), 48), 8)

    def least(rule: str) -> float:
        return min(each.margin or 0.0 for each in by_rule[rule] if each is not None)

    lines: list[Spans] = []
    for rule in sorted(by_rule, key=least):
        spans = [(column(rule, label), "")]
        for each in by_rule[rule]:
            text, style = "not asked", ""
            if each is not None:
                bar = margin_bar(each.margin or 0.0, room, glyphs)
                text, style = f"{MARKS[each.state]} {bar}", STATE_STYLES[each.state]
            spans.append((f" {column(text, room + 11)}", style))
        lines.append(spans)
    return lines


JOINED = (("feed",), ("drive", "seal", "body"), ("rotor", "stator"), ("cavity", "size"))
"""Slots of a side from the feed on, those together that stand in one line."""


def head_picture(build: RankedBuild, width: int, glyphs: Glyphs) -> Sequence[Spans]:
    """Return what is joined to what, from the feed down to the tip; both sides beside each other."""
    sides = [slot.removesuffix("size") for slot in build.parts if slot.endswith("size")]
    names = {slot: part.name for slot, part in build.parts.items()}
    room = width // len(sides)
    down = [[(f"{glyphs.upright:^{room}}" * len(sides), "")]]
    lines: list[Spans] = []
    for slots in JOINED:
        boxes = []
        for side in sides:
            texts = [f"{slot} {names[side + slot]}" for slot in slots]
            texts[0] = side.replace(".", " ") + texts[0]
            pairs = flowed(texts, room - 4, gap=3)
            boxes.append([cut(" - ".join(texts[at] for at in line), room - 4) for line in pairs])
        for at in range(max(map(len, boxes))):
            pieces = [box[at] if at < len(box) else "" for box in boxes]
            told = [f"[ {piece} ]" if piece else "" for piece in pieces]
            lines.append([(f"{piece:^{room}}", "strong") for piece in told])
        lines += down
    down = [[(f"{glyphs.upright:^{width}}", "")]]
    if len(sides) > 1:
        at = room // 2
        lines[-1] = [(" " * at + glyphs.corner + glyphs.level * (2 * (room - at) - 1) + "+", "")]
        lines += down
    for slot, name in (("mixing", "mixing"), ("outlet", "tip")):
        if names.get(slot, "none") != "none":
            lines += [[(f"{f'[ {name} {names[slot]} ]':^{width}}", "strong")], *down]
    return [*lines[:-1], [(f"{'v':^{width}}", "")]]
