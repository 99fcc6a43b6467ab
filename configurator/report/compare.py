"""Builds side by side, on a terminal, on a screen and as JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from configurator.explain.compare import ComparedRow, SideBySide, Value
from configurator.report.builds import build_data, finding_data, question_data
from configurator.report.heading import asked_in_words
from configurator.report.lines import columns, labelled, wrapped
from configurator.report.machine import answer_json, data_of, number
from configurator.rules.finding import Finding
from configurator.units.display import figures, show_value
from configurator.units.kinds import (
    LENGTH,
    MASS,
    MOMENT,
    PRESSURE,
    ROTATION,
    SPEED,
    TIME,
    VISCOSITY,
    VOLUME,
    VOLUME_FLOW,
)
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES

_AMOUNTS = (LENGTH, MASS, MOMENT, PRESSURE, ROTATION, SPEED, TIME, VISCOSITY, VOLUME, VOLUME_FLOW)
IN_TRADE = {kind.unit: kind for kind in _AMOUNTS}
"""Kinds whose SI unit stands for one quantity here, so that trade units say the same."""


def compare_text(answer: Answer, found: SideBySide, width: int) -> str:
    """Return the comparison as tables, then what is won and lost."""
    return "\n".join(compare_lines(found, width, asked_in_words(answer.subject.question))) + "\n"


def compare_lines(
    found: SideBySide, width: int, above: Sequence[tuple[str, str]] = ()
) -> list[str]:
    """Return the builds with their states below other labelled lines, the tables and trades."""
    named = zip(_names(found), found.builds, strict=True)
    builds = ((f"Build {name}", build.state.words) for name, build in named)
    lines = labelled([*above, *builds], width)
    lines += ["", *_table(found, f"slot ({_alike(found.parts)} alike)", found.parts, str, width)]
    known = [row for row in found.figures if any(value is not None for value in row.values)]
    lines += [
        "",
        *_table(
            found, "figure", known, lambda value: "" if value is None else figures(value), width
        ),
    ]
    lines += ["", *wrapped("Demand / limit, and the share of the limit that is left:", width)]
    differing = [row for row in found.rules if row.differs]
    head = f"rule ({_alike(found.rules)} alike, left out)"
    return [*lines, *_table(found, head, differing, _cell, width), "", *_trades(found, width)]


def _table(
    found: SideBySide,
    first: str,
    rows: Sequence[ComparedRow[Value]],
    cell: Callable[[Value], str],
    width: int,
) -> list[str]:
    heads = [first, *(f"build {name}" for name in _names(found))]
    body = [[row.name, *map(cell, row.values)] for row in rows]
    return [line.rstrip() for lines in columns(heads, body, width) for line in lines]


def _names(found: SideBySide) -> list[str]:
    """What each build is called: its number in the list, or a letter if it was named by its parts."""
    letters = iter("ABCD")
    return [str(build.rank) if build.rank else next(letters) for build in found.builds]


def _alike(rows: Sequence[ComparedRow[Value]]) -> int:
    return sum(not row.differs for row in rows)


def _cell(finding: Finding | None) -> str:
    if finding is None:
        return "not asked"
    if finding.unit == "verdict":
        return f"{finding.state.words}: {finding.demand} / {finding.limit}"
    sides = " / ".join(_side(side, finding.unit) for side in (finding.demand, finding.limit))
    margin = "" if finding.margin is None else f", {figures(finding.margin * 100)} %"
    return f"{sides}{margin} ({finding.state.words})"


def _side(value: float | str | None, unit: str) -> str:
    if value is None or isinstance(value, str):
        return value or "unknown"
    if unit in IN_TRADE:
        return show_value(value, IN_TRADE[unit])
    return figures(value) + (f" {unit}" if unit else "")


def _trades(found: SideBySide, width: int) -> Iterator[str]:
    first, *others = _names(found)
    for name, trade in zip(others, found.trades, strict=True):
        for verb, rules in (("wins", trade.won), ("loses", trade.lost)):
            text = f"Build {name} against build {first} {verb}: {', '.join(rules) or 'nothing'}."
            yield from wrapped(text, width, rest="  ")


def compare_json(answer: Answer, found: SideBySide) -> str:
    """Return the same as JSON."""
    two_part = answer.question.material.two_part
    titles = {figure.name: figure for figure in FIGURES}
    return answer_json(
        **question_data(answer),
        builds=[build_data(build) for build in found.builds],
        parts=[
            {"slot": row.name, "differs": row.differs, "parts": row.values} for row in found.parts
        ],
        figures=[
            {
                "figure": row.name,
                "title": titles[row.name].titled(two_part=two_part),
                "differs": row.differs,
                "values": [number(value) for value in row.values],
            }
            for row in found.figures
        ],
        rules=[
            {
                "rule": row.name,
                "differs": row.differs,
                "findings": [None if one is None else finding_data(one) for one in row.values],
            }
            for row in found.rules
        ],
        trades=[{"build": trade.place, **data_of(trade, "won", "lost")} for trade in found.trades],
    )
