"""Two to four builds side by side: where they differ, by how much, what is lost and won."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

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

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class ComparedRow(Generic[Value]):
    """One thing of every build: its part in a slot, a rule's finding, or a figure."""

    name: str
    """The slot, the rule or the figure."""
    values: tuple[Value, ...]
    """One a build; None where a rule does not ask or a figure is unknown."""
    differs: bool
    """Whether the builds differ in it, as far as it is shown."""


@dataclass(frozen=True, slots=True)
class Trade:
    """What a build wins and loses against the first one."""

    place: int
    """Place in the comparison, from 1."""
    won: tuple[str, ...]
    lost: tuple[str, ...]
    """Rules in which it stands better or worse, by state first and then by margin."""


@dataclass(frozen=True, slots=True)
class SideBySide:
    """Builds side by side; rows that differ come first in each table."""

    builds: tuple[RankedBuild, ...]
    """Rank 0 where a build was named by its parts."""
    parts: tuple[ComparedRow[str], ...]
    rules: tuple[ComparedRow[Finding | None], ...]
    figures: tuple[ComparedRow[float | None], ...]
    """Every slot, rule and figure."""
    trades: tuple[Trade, ...]
    """One for each build but the first."""


def compare(answer: Answer, named: Sequence[str]) -> SideBySide:
    """Put builds of an answer side by side, each a rank of the list, or "slot=part, slot=part".

    Raises
    ------
    UsageError
        If there are too few or too many, or one is no build.
    InputError
        If a part does not exist.
    """
    if not FEWEST <= len(named) <= MOST:
        raise UsageError(f"--build: give {FEWEST} to {MOST} builds, not {len(named)}")
    return side_by_side([build_named(answer, text) for text in named])


def side_by_side(builds: Sequence[RankedBuild]) -> SideBySide:
    """Compare builds of one request."""
    names = dict.fromkeys(each.rule for build in builds for each in build.findings)
    by_rule = [{each.rule: each for each in build.findings} for build in builds]
    rules = [_row(name, (found.get(name) for found in by_rule), _stand) for name in names]
    slots = builds[0].parts
    figures = (figure.name for figure in FIGURES)
    return SideBySide(
        builds=tuple(builds),
        parts=_differing_first(
            _row(slot, (build.parts[slot].name for build in builds), str) for slot in slots
        ),
        rules=_differing_first(rules),
        figures=_differing_first(
            _row(name, (build.figures[name] for build in builds), _rounded) for name in figures
        ),
        trades=tuple(_trade(place, rules) for place in range(1, len(builds))),
    )


def _row(name: str, values: Iterable[Value], seen: Callable[[Value], object]) -> ComparedRow[Value]:
    every = tuple(values)
    return ComparedRow(name, every, differs=len(set(map(seen, every))) > 1)


def _differing_first(rows: Iterable[ComparedRow[Value]]) -> tuple[ComparedRow[Value], ...]:
    return tuple(sorted(rows, key=lambda row: not row.differs))


def _stand(finding: Finding | None) -> object:
    """What of a finding makes builds differ: demand, limit or state."""
    if finding is None:
        return None
    sides = _rounded(finding.demand), _rounded(finding.limit)
    return finding.state, *sides, finding.margin is None


def _trade(place: int, rows: Sequence[ComparedRow[Finding | None]]) -> Trade:
    stands = [(_better(row.values[place], row.values[0]), row.name) for row in rows]
    won, lost = (tuple(name for better, name in stands if better == way) for way in (1, -1))
    return Trade(place + 1, won, lost)


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
