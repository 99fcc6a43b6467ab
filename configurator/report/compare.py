"""Builds side by side, on a terminal and as JSON: what differs stands first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from configurator.explain.compare import Comparison, FigureRow, PartRow, RuleRow
from configurator.report.builds import finding_data
from configurator.report.lines import columns, labelled, wrapped
from configurator.report.machine import json_text, number
from configurator.rules.finding import Finding
from configurator.units.display import figures, show_value
from configurator.units.kinds import LENGTH, MASS, MOMENT, PRESSURE, SPEED, TIME
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

SCHEMA = 1
"""Version of the JSON: grows when a key changes its meaning or goes away."""


IN_TRADE = {kind.unit: kind for kind in (PRESSURE, LENGTH, SPEED, MASS, MOMENT, TIME)}
"""Kinds whose SI unit stands for one quantity here, so that trade units say the same."""


def compare_text(answer: Answer, found: Comparison, width: int) -> str:
    """Return the comparison as tables, then what is won and lost."""
    request = answer.subject.request
    lines = labelled(
        [
            ("Material", f"{request.material.title} ({request.material.name})"),
            ("Process", f"{request.process.title} ({request.process.name})"),
            *((_named(place, each), each.state.words) for place, each in _numbered(found)),
        ],
        width,
    )
    for block in (_parts(found), _figures(found)):
        lines += ["", *_table(block, width)]
    lines += ["", *wrapped("Demand / limit, and the share of the limit that is left:", width)]
    lines += _table(_rules(found), width)
    lines += ["", *_trades(found, width)]
    return "\n".join(lines) + "\n"


def _numbered(found: Comparison) -> Iterator[tuple[int, RankedBuild]]:
    yield from enumerate(found.builds, start=1)


def _named(place: int, build: RankedBuild) -> str:
    return f"Build {place}" + (f" (rank {build.rank})" if build.rank else "")


def _table(rows: Sequence[Sequence[str]], width: int) -> list[str]:
    head, *body = rows
    return [line.rstrip() for lines in columns(head, body, width) for line in lines]


def _heads(found: Comparison, first: str) -> list[str]:
    return [first, *(f"build {place}" for place, _ in _numbered(found))]


def _rest(rows: Sequence[PartRow] | Sequence[FigureRow] | Sequence[RuleRow]) -> int:
    return sum(not row.differs for row in rows)


def _parts(found: Comparison) -> list[list[str]]:
    rows = [[row.slot, *row.parts] for row in found.parts]
    return [_heads(found, f"slot ({_rest(found.parts)} alike)"), *rows]


def _figures(found: Comparison) -> list[list[str]]:
    rows = [
        [row.name, *("" if value is None else figures(value) for value in row.values)]
        for row in found.figures
        if any(value is not None for value in row.values)
    ]
    return [_heads(found, "figure"), *rows]


def _rules(found: Comparison) -> list[list[str]]:
    rows = [
        [row.rule, *(_cell(finding) for finding in row.findings)]
        for row in found.rules
        if row.differs
    ]
    return [_heads(found, f"rule ({_rest(found.rules)} alike, left out)"), *rows]


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


def _trades(found: Comparison, width: int) -> Iterator[str]:
    for trade in found.trades:
        won = ", ".join(trade.won) or "nothing"
        lost = ", ".join(trade.lost) or "nothing"
        yield from wrapped(f"Build {trade.rank} against build 1 wins: {won}.", width, rest="  ")
        yield from wrapped(f"Build {trade.rank} against build 1 loses: {lost}.", width, rest="  ")


def compare_json(answer: Answer, found: Comparison) -> str:
    """Return the same as JSON."""
    subject = answer.subject
    return json_text(
        {
            "schema": SCHEMA,
            "catalog": {"name": subject.catalog.name, "sha256": subject.catalog.sha256},
            "material": {"name": subject.request.material.name},
            "process": {"name": subject.request.process.name},
            "builds": [
                {
                    "rank": build.rank or None,
                    "state": build.state.words,
                    "parts": {slot: part.name for slot, part in build.parts.items()},
                }
                for build in found.builds
            ],
            "parts": [
                {"slot": row.slot, "differs": row.differs, "parts": list(row.parts)}
                for row in found.parts
            ],
            "figures": [
                {
                    "figure": row.name,
                    "title": row.title,
                    "differs": row.differs,
                    "values": [number(value) for value in row.values],
                }
                for row in found.figures
            ],
            "rules": [_rule(row) for row in found.rules],
            "trades": [
                {"build": trade.rank, "won": list(trade.won), "lost": list(trade.lost)}
                for trade in found.trades
            ],
        }
    )


def _rule(row: RuleRow) -> dict[str, Any]:
    return {
        "rule": row.rule,
        "differs": row.differs,
        "findings": [None if each is None else finding_data(each) for each in row.findings],
    }
