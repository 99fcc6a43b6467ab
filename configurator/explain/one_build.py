"""One build under many requests at once: which rules break, without any space.

Requests lie along the rows of a frame, each with the same build, so that a rule is heard once for
all of them. Rules that read other things than numbers are heard request by request.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.engine.arrays import BoolArray
from configurator.explain.chosen import rows_of
from configurator.explain.request_data import fields_moved
from configurator.physics.domain import PhysicsDomainError
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.batched import batched, process_key, with_processes
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import Finding, State
from configurator.rules.frame import Frame
from configurator.rules.outcome import Grades
from configurator.rules.ruleset import Judgement, RuleSet
from configurator.rules.subject import Subject
from configurator.units.grouped import grouped

Value = TypeVar("Value", bound=np.generic)
Told = TypeVar("Told")


class OneBuild:
    """A build, one part a slot, and what all rules say of it under the request as it stands.

    Figures that are out of range warn; whoever asks many times silences numpy once.
    """

    def __init__(self, parts: Mapping[str, Part], subject: Subject) -> None:
        self.parts = dict(parts)
        self.subject = subject
        self._frame, self._row = rows_of([self.parts])
        self.case = Case(subject, self._frame)
        self.judgements = RuleSet(Frame(self._frame.parts), self.case.prefixes).judgements
        """Each rule with each side, in the order of the rulebook."""
        self._by_fields: dict[frozenset[str], frozenset[int]] = {}
        self._as_it_stands: dict[int, Applied | None] = {}

    def heard(self, judgement: Judgement, case: Case) -> Applied | None:
        """What one judgement says of rows of the build; None if the request does not ask."""
        return apply_rule(case, judgement.rule, case.side(judgement.prefix))

    def as_it_stands(self, number: int) -> Applied | None:
        """What one of them says as it stands; None where the request does not ask for it."""
        if number not in self._as_it_stands:
            self._as_it_stands[number] = self.heard(self.judgements[number], self.case)
        return self._as_it_stands[number]

    @cached_property
    def plainest_first(self) -> tuple[int, ...]:
        """Places of the judgements that may rule something out, those first that read least.

        A rule that is capped says no worse than its cap, whatever the request states.
        """
        every = ((each.number, self.as_it_stands(each.number)) for each in self.judgements)
        capped = {
            number
            for number, applied in every
            if applied is not None
            and isinstance(applied.outcome, Comparison)
            and applied.outcome.cap < State.RULED_OUT
        }
        able = (number for number in range(len(self.judgements)) if number not in capped)
        return tuple(sorted(able, key=lambda number: len(self.judgements[number].rule.parts)))

    def under(self, subjects: Sequence[Subject]) -> list[BuildLook]:
        """The build under changed requests, as many at once as can be."""
        alike = grouped(range(len(subjects)), lambda at: process_key(subjects[at].question.process))
        found: dict[int, BuildLook] = {}
        for places in alike.values():
            rows = Rows(self, [subjects[at] for at in places])
            found |= {at: BuildLook(rows, row) for row, at in enumerate(places)}
        return [found[at] for at in range(len(subjects))]

    def moved(self, subject: Subject) -> frozenset[int]:
        """Judgements that may say something else of a changed request."""
        fields = fields_moved(self.subject, subject)
        if fields not in self._by_fields:
            self._by_fields[fields] = frozenset(
                each.number for each in self.judgements if any(map(each.rule.reads, fields))
            )
        return self._by_fields[fields]

    def stacked(self, subjects: Sequence[Subject]) -> Case:
        """Some requests as one, each a row of the same build."""
        rows = np.repeat(self._row, len(subjects), axis=0)
        stack = with_processes(batched(subjects, 0), subjects)
        return Case(stack, self._frame.with_rows(rows))


class Rows:
    """One build under several requests; rules are heard when they are asked for.

    Their processes state the same things.
    """

    def __init__(self, build: OneBuild, subjects: Sequence[Subject]) -> None:
        self.build = build
        self.subjects = subjects
        self.moved = [build.moved(subject) for subject in subjects]
        self._cases: dict[int, Case] = {}
        self._stack: Case | None = None
        self._said: dict[int, list[tuple[Applied | None, NDArray[np.intp]]]] = {}
        self._figures: dict[Hashable, NDArray[Any]] = {}
        self._out: BoolArray | None = None
        self._worst: NDArray[np.int8] | None = None

    def case(self, row: int) -> Case:
        """One of the requests over the parts of the build."""
        if row not in self._cases:
            self._cases[row] = self.build.case.under(self.subjects[row])
        return self._cases[row]

    def said(self, number: int) -> list[tuple[Applied | None, NDArray[np.intp]]]:
        """What a judgement says, and of which rows; each row is in one of them."""
        if number not in self._said:
            judgement = self.build.judgements[number]
            here = np.array([number in moved for moved in self.moved])
            rows = np.flatnonzero(here)
            found = [(self.build.as_it_stands(number), np.flatnonzero(~here))]
            if len(rows) > 1 and judgement.of_numbers:
                # Where nothing moves it, it says the same once more.
                found.append((self.build.heard(judgement, self._together), rows))
            else:
                found += [
                    (self.build.heard(judgement, self.case(row)), np.array([row]))
                    for row in rows.tolist()
                ]
            self._said[number] = found
        return self._said[number]

    @property
    def _together(self) -> Case:
        if self._stack is None:
            self._stack = self.build.stacked(self.subjects)
        return self._stack

    def each(
        self, number: int, read: Callable[[Comparison | Grades], NDArray[Value]], without: Value
    ) -> NDArray[Value]:
        """What is read of an outcome, row by row; something else where nobody asks for it."""
        key = number, read
        if key in self._figures:
            return self._figures[key]
        self._figures[key] = found = np.full(len(self.subjects), without)
        for applied, rows in self.said(number):
            if applied is not None and len(rows):
                values = read(applied.outcome.whole).reshape(-1)
                found[rows] = values[rows] if len(values) == len(self.subjects) else values
        return found

    def out(self, number: int) -> BoolArray:
        """Which of them a judgement rules the build out for."""
        return self.each(number, _ruled_out, np.False_)

    @property
    def worst(self) -> NDArray[np.int8]:
        """State of the build for each of them: the worst that any rule says."""
        if self._worst is None:
            fits = np.int8(State.FITS)
            states = attrgetter("states")
            every = (self.each(n, states, fits) for n in range(len(self.build.judgements)))
            self._worst = np.maximum.reduce(list(every))
        return self._worst

    @property
    def is_out(self) -> BoolArray:
        """Which of them any judgement rules the build out for."""
        if self._out is None:
            out = np.zeros(len(self.subjects), dtype=np.bool_)
            for number in self.build.plainest_first:
                if out.all():
                    break
                out = out | self.out(number)
            self._out = out
        return self._out


@dataclass(frozen=True)
class BuildLook:
    """One build under one request, looked at together with others."""

    rows: Rows
    row: int

    def _asked(self, ask: Callable[[Rows, int], Told]) -> Told:
        """Ask all at once; each by itself where a formula does not reach so far for one of them."""
        try:
            return ask(self.rows, self.row)
        except PhysicsDomainError:
            if len(self.rows.subjects) == 1:
                raise
            return ask(Rows(self.rows.build, [self.rows.subjects[self.row]]), 0)

    @property
    def is_out(self) -> bool:
        """Whether any judgement rules the build out."""
        return self._asked(lambda rows, row: bool(rows.is_out[row]))

    @property
    def broken(self) -> tuple[int, ...]:
        """All judgements that rule the build out, in the order of the rulebook."""
        every = range(len(self.rows.build.judgements))
        return self._asked(lambda rows, row: tuple(n for n in every if rows.out(n)[row]))

    @property
    def state(self) -> State:
        """State of the build: the worst that any rule says."""
        return self._asked(lambda rows, row: State(int(rows.worst[row])))

    def excess(self, numbers: Iterable[int]) -> float:
        """By how much the worst of some judgements fails: above zero where it rules out.

        A share of the larger of demand and limit, so that it moves smoothly; NaN where there
        are no numbers.
        """
        nan = np.float64(np.nan)
        return self._asked(
            lambda rows, row: max(float(rows.each(n, _excess, nan)[row]) for n in numbers)
        )

    def finding(self, number: int) -> Finding:
        """What a judgement says of the build."""
        build = self.rows.build
        applied = build.heard(build.judgements[number], self.rows.case(self.row))
        assert applied is not None  # else nobody would ask
        return applied.finding(0, build.parts)


def _ruled_out(outcome: Comparison | Grades) -> BoolArray:
    if isinstance(outcome, Comparison):
        return ~outcome.passes(State.UNPROVEN)
    return np.asarray(outcome.states == State.RULED_OUT)


def _excess(outcome: Comparison | Grades) -> NDArray[np.float64]:
    if not isinstance(outcome, Comparison) or outcome.cap <= State.UNPROVEN:
        return np.array([np.nan])
    need, allow = np.broadcast_arrays(*outcome.sides(State.UNPROVEN))
    largest = np.maximum(np.abs(need), np.abs(allow))
    told = (largest > 0.0) & (largest < np.inf)
    return np.where(told, (need - allow) / np.where(told, largest, 1.0), np.nan)
