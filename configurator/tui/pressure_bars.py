"""The pressure chain as bars: what each part has to stand against what it is rated for."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.rules.finding import Finding, State
from configurator.tui.looks import Glyphs
from configurator.tui.spans import STATE_STYLES, Spans, column
from configurator.units.display import show
from configurator.units.kinds import PRESSURE
from configurator.workshop.told import RankedBuild

LABEL, NUMBERS = 24, 18
MARKS = {State.FITS: " ", State.MARGINAL: "!", State.UNPROVEN: "?", State.RULED_OUT: "x"}


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
    """Return one bar a pressure, from outlet to inlet; a full bar is all that is allowed.

    Parameters
    ----------
    chain : sequence of Finding
        With demand and limit in pascals.
    width : int
        In cells.
    glyphs : Glyphs
        Characters to draw with.
    """
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
