"""One build under many requests: which rules break, in milliseconds, without any space."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

import numpy as np

from configurator.catalog.parts import Part
from configurator.explain.chosen import rows_of
from configurator.explain.request_data import fields_moved
from configurator.rules.applied import Applied, apply_rule, judgements
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison, Grades, Total
from configurator.rules.finding import Finding, State
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.subject import Subject


class OneBuild:
    """A build, and what all rules say of it under the request as it stands.

    Parameters
    ----------
    parts : Mapping[str, Part]
        One part for every slot.
    subject : Subject
        The request as it stands, worked out.

    Notes
    -----
    Figures that are out of range warn; whoever asks many times silences numpy once.
    """

    def __init__(self, parts: Mapping[str, Part], subject: Subject) -> None:
        self.parts = dict(parts)
        self.subject = subject
        self._frame, _ = rows_of([self.parts])
        self.case = Case(subject, self._frame)
        self.judgements = tuple(judgements(self.case, RULEBOOK))
        """Each rule with each side, in the order of the rulebook."""
        self._by_fields: dict[frozenset[str], frozenset[int]] = {}

    @cached_property
    def as_it_stands(self) -> tuple[Applied | None, ...]:
        """What each of them says as it stands; None where the request does not ask for it."""
        return tuple(apply_rule(self.case, rule, side) for rule, side in self.judgements)

    @cached_property
    def states(self) -> tuple[State, ...]:
        """State that each of them gives the build as it stands."""
        return tuple(map(_state, self.as_it_stands))

    @cached_property
    def plainest_first(self) -> tuple[int, ...]:
        """Places of the judgements that may rule something out, those first that read least.

        A rule that is capped says no worse than its cap, whatever the request states.
        """
        capped = {
            number
            for number, applied in enumerate(self.as_it_stands)
            if applied is not None
            and isinstance(applied.outcome, Comparison)
            and applied.outcome.cap < State.RULED_OUT
        }
        able = (number for number in range(len(self.judgements)) if number not in capped)
        return tuple(sorted(able, key=lambda number: len(self.judgements[number][0].parts)))

    def under(self, subject: Subject) -> BuildEvaluation:
        """The build under a changed request.

        Parameters
        ----------
        subject : Subject
            The changed request worked out.
        """
        return BuildEvaluation(
            self, self.case.under(subject), self._moved(fields_moved(self.subject, subject))
        )

    def _moved(self, fields: frozenset[str]) -> frozenset[int]:
        if fields not in self._by_fields:
            self._by_fields[fields] = frozenset(
                number
                for number, (rule, _) in enumerate(self.judgements)
                if any(map(rule.reads, fields))
            )
        return self._by_fields[fields]


class BuildEvaluation:
    """One build under one request; rules are heard when they are asked for.

    Parameters
    ----------
    build : OneBuild
        The build.
    case : Case
        The request over its parts.
    moved : frozenset of int
        Judgements that may say something else than as it stands.
    """

    def __init__(self, build: OneBuild, case: Case, moved: frozenset[int]) -> None:
        self._build = build
        self._case = case
        self._moved = moved
        self._heard: dict[int, Applied | None] = {}

    def applied(self, number: int) -> Applied | None:
        """What one judgement says; None if the request does not ask for it."""
        if number not in self._moved:
            return self._build.as_it_stands[number]
        if number not in self._heard:
            rule, side = self._build.judgements[number]
            sides = {each.prefix: each for each in self._case.sides}
            self._heard[number] = apply_rule(self._case, rule, sides[side.prefix])
        return self._heard[number]

    @property
    def state(self) -> State:
        """State of the build: the worst that any rule says."""
        return max(
            _state(self.applied(number)) if number in self._moved else state
            for number, state in enumerate(self._build.states)
        )

    def out(self, number: int) -> bool:
        """Whether a judgement rules the build out."""
        if number not in self._moved:
            return self._build.states[number] is State.RULED_OUT
        applied = self.applied(number)
        if applied is None:
            return False
        outcome = _numbers(applied)
        if isinstance(outcome, Comparison):
            return not outcome.passes(State.UNPROVEN).all()
        return bool(outcome.states.max() == State.RULED_OUT)

    def is_out(self, suspects: Iterable[int] = ()) -> bool:
        """Whether any judgement rules the build out.

        Parameters
        ----------
        suspects : iterable of int
            Judgements to be heard before all others.
        """
        return any(map(self.out, suspects)) or any(map(self.out, self._build.plainest_first))

    @property
    def broken(self) -> tuple[int, ...]:
        """All judgements that rule the build out, in the order of the rulebook."""
        return tuple(filter(self.out, range(len(self._build.judgements))))

    @property
    def first_broken(self) -> Finding:
        """What the first rule of the rulebook says that rules the build out."""
        applied = self.applied(next(filter(self.out, range(len(self._build.judgements)))))
        assert applied is not None  # else it would rule nothing out
        return applied.finding(0, self._build.parts)

    def excess(self, number: int) -> float:
        """By how much a judgement fails at the end that decides: above zero where it rules out.

        A share of the larger of demand and limit, so that it moves smoothly; NaN where there
        are no numbers.
        """
        applied = self.applied(number)
        outcome = None if applied is None else _numbers(applied)
        if not isinstance(outcome, Comparison) or outcome.cap <= State.UNPROVEN:
            return np.nan
        need, allow = (float(values.reshape(-1)[0]) for values in outcome.sides(State.UNPROVEN))
        largest = max(abs(need), abs(allow))
        return (need - allow) / largest if 0.0 < largest < np.inf else np.nan


def _state(applied: Applied | None) -> State:
    return State.FITS if applied is None else State(int(_numbers(applied).states.max()))


def _numbers(applied: Applied) -> Comparison | Grades:
    outcome = applied.outcome
    return outcome.whole if isinstance(outcome, Total) else outcome
