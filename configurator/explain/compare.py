"""Two to four builds side by side: where they differ, by how much, what is lost and won."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from configurator.errors import UsageError
from configurator.explain.chosen import build_named
from configurator.rules.finding import Finding
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES
from configurator.workshop.told import RankedBuild

FEWEST, MOST = 2, 4
"""Builds that can be looked at together."""

SAME = 1e-9
"""Difference of margins up to which two builds stand alike."""


@dataclass(frozen=True, slots=True)
class PartRow:
    """One slot and the part of each build in it."""

    slot: str
    parts: tuple[str, ...]

    @property
    def differs(self) -> bool:
        """Whether the builds have different parts."""
        return len(set(self.parts)) > 1


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule and what it says of each build; None where it does not ask."""

    rule: str
    findings: tuple[Finding | None, ...]

    @property
    def differs(self) -> bool:
        """Whether demand, limit, margin or state differ."""
        told = {
            None
            if each is None
            else (each.state, _rounded(each.demand), _rounded(each.limit), each.margin is None)
            for each in self.findings
        }
        return len(told) > 1


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure of each build, in the unit of its name; None where it is unknown."""

    name: str
    title: str
    values: tuple[float | None, ...]

    @property
    def differs(self) -> bool:
        """Whether the builds differ in it."""
        return len({_rounded(value) for value in self.values}) > 1


@dataclass(frozen=True, slots=True)
class Trade:
    """What a build wins and loses against the first one.

    Attributes
    ----------
    rank : int
        Place in the comparison, from 1.
    won, lost : tuple of str
        Rules in which it stands better or worse, by state first and then by margin.
    """

    rank: int
    won: tuple[str, ...]
    lost: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Builds side by side; rows that differ come first in each table.

    Attributes
    ----------
    builds : tuple of RankedBuild
        Rank 0 where a build was named by its parts.
    parts, rules, figures : tuple of rows
        Every slot, rule and figure.
    trades : tuple of Trade
        One for each build but the first.
    """

    builds: tuple[RankedBuild, ...]
    parts: tuple[PartRow, ...]
    rules: tuple[RuleRow, ...]
    figures: tuple[FigureRow, ...]
    trades: tuple[Trade, ...]


def compare(answer: Answer, named: Sequence[str]) -> Comparison:
    """Put builds side by side.

    Parameters
    ----------
    answer : Answer
        The request.
    named : sequence of str
        A rank of the list, or "slot=part, slot=part", each.

    Raises
    ------
    UsageError
        If there are too few or too many, or one is no build.
    InputError
        If a part does not exist.
    """
    if not FEWEST <= len(named) <= MOST:
        raise UsageError(f"--build: give {FEWEST} to {MOST} builds, not {len(named)}")
    builds = tuple(build_named(answer, text) for text in named)
    rules = tuple(dict.fromkeys(each.rule for build in builds for each in build.findings))
    by_rule = [{each.rule: each for each in build.findings} for build in builds]
    part_rows = [
        PartRow(slot, tuple(build.parts[slot].name for build in builds))
        for slot in answer.frame.slots
    ]
    rule_rows = [RuleRow(rule, tuple(found.get(rule) for found in by_rule)) for rule in rules]
    two_part = answer.subject.request.material.two_part
    figure_rows = [
        FigureRow(
            figure.name,
            figure.titled(two_part=two_part),
            tuple(b.figures[figure.name] for b in builds),
        )
        for figure in FIGURES
    ]
    return Comparison(
        builds=builds,
        parts=tuple(sorted(part_rows, key=lambda row: not row.differs)),
        rules=tuple(sorted(rule_rows, key=lambda row: not row.differs)),
        figures=tuple(sorted(figure_rows, key=lambda row: not row.differs)),
        trades=tuple(_trade(place, rule_rows) for place in range(1, len(builds))),
    )


def _trade(place: int, rows: Sequence[RuleRow]) -> Trade:
    won: list[str] = []
    lost: list[str] = []
    for row in rows:
        better = _better(row.findings[place], row.findings[0])
        if better:
            (won if better > 0 else lost).append(row.rule)
    return Trade(place + 1, tuple(won), tuple(lost))


def _better(one: Finding | None, other: Finding | None) -> int:
    """1 if one stands better than the other, -1 if worse, 0 if alike or not to be compared."""
    if one is None or other is None:
        return 0
    if one.state is not other.state:
        return 1 if one.state < other.state else -1
    if one.margin is None or other.margin is None or abs(one.margin - other.margin) <= SAME:
        return 0
    return 1 if one.margin > other.margin else -1


def _rounded(value: float | str | None) -> float | str | None:
    return float(f"{value:.6g}") if isinstance(value, float) else value
