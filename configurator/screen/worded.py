"""Rules that read no number of the flow: what they say is kept for the next alike material.

Chemistry, fit, temperatures, interfaces and the like hang on few fields. Their outcome over all
parts is worked out once for each set of values of those fields.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.request.material import Component
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.rules.subject import Subject

NUMBERS = (
    "component.flow",
    "component.density",
    "component.shear_rate_max",
    "component.vapour_pressure",
    "component.filler.d",
    "component.filler.crush_pressure",
    "component.filler.volume_fraction",
)
"""How the request fields begin that differ from material to material."""

OF_A_COMPONENT = ("constituents", "complete", "sensitive_to")

BY_WEIGHT = "constituents that nobody names"
"""The rule that may hang on a figure of its own for each material."""

MOST_KEPT = 1_000
"""Outcomes kept of one rule; with more, all are forgotten, so that memory stays flat."""


def is_numeric(rule: Rule) -> bool:
    """True for a rule that has to be worked out for each material."""
    return rule.family != "chemistry" and any(ask.startswith(NUMBERS) for ask in rule.asks)


def is_fixed(rule: Rule) -> bool:
    """True for a rule that no material moves."""
    return not any(ask.startswith(("component.", "material.")) for ask in rule.asks)


@dataclass(frozen=True, eq=False)
class Heard:
    """What one rule says, over all parts of its scope.

    Attributes
    ----------
    applied : Applied
        The rule over the frame of all parts.
    scope : tuple of str
        Slots that move it; empty where it says the same of every build.
    states : ndarray of int8
        One axis a slot of the scope.
    margins : ndarray or None
        The same for the margin left; None for verdicts in words.
    """

    applied: Applied
    scope: tuple[str, ...]
    states: NDArray[np.int8]
    margins: NDArray[np.float64] | None


@dataclass(frozen=True, eq=False)
class Verbal:
    """All rules in words on one material.

    Attributes
    ----------
    heard : dict of str to Heard
        By rule name, those that the request asks for.
    states : dict of str to ndarray of int8
        By slot, the worst that rules on that slot alone say of each part.
    floor : State
        The worst that they say of every build.
    """

    heard: dict[str, Heard]
    states: dict[str, NDArray[np.int8]]
    floor: State


class Worded:
    """Outcomes of rules in words, by what they read of the material.

    Parameters
    ----------
    rules : iterable of Rule
        Rules for which `is_numeric` is false.
    frame : Frame
        Grid over all parts.
    """

    def __init__(self, rules: Iterable[Rule], frame: Frame) -> None:
        self._rules = tuple(rules)
        self._frame = frame
        self._heard: dict[str, dict[Hashable, Heard | None]] = {r.name: {} for r in self._rules}
        self._shared = tuple(rule for rule in self._rules if rule.name != BY_WEIGHT)
        self._by_weight = tuple(rule for rule in self._rules if rule.name == BY_WEIGHT)
        self._verbal: dict[Hashable, Verbal] = {}

    def on(self, subject: Subject) -> Verbal:
        """What the rules say of a one-part material."""
        ((_, component),) = subject.filled.material.components
        readings = _Readings(subject, component)
        key = readings.shared
        if key not in self._verbal:
            if len(self._verbal) >= MOST_KEPT:
                self._verbal.clear()
            nothing = {
                slot: np.zeros(len(parts), dtype=np.int8)
                for slot, parts in self._frame.parts.items()
            }
            start = Verbal({}, nothing, State.FITS)
            self._verbal[key] = self._added(start, self._shared, subject, readings)
        return self._added(self._verbal[key], self._by_weight, subject, readings)

    def _added(
        self, known: Verbal, rules: Iterable[Rule], subject: Subject, readings: _Readings
    ) -> Verbal:
        """What some more rules say on top of what is known."""
        case = Case(subject, self._frame)
        (side,) = case.sides
        states, heard, floor = dict(known.states), dict(known.heard), known.floor
        for rule in rules:
            found = self._hear(rule, case, side, readings)
            if found is None:
                continue
            heard[rule.name] = found
            if not found.scope:
                floor = max(floor, State(int(found.states)))
            elif len(found.scope) == 1:
                (slot,) = found.scope
                states[slot] = np.maximum(states[slot], found.states)
        return Verbal(heard, states, floor)

    def _hear(self, rule: Rule, case: Case, side: Side, readings: _Readings) -> Heard | None:
        known = self._heard[rule.name]
        key = readings.of(rule)
        if key not in known:
            if len(known) >= MOST_KEPT:
                known.clear()
            applied = apply_rule(case, rule, side)
            known[key] = None if applied is None else heard_of(applied)
        return known[key]


def heard_of(applied: Applied) -> Heard:
    """Lay a rule's outcome over the slots that move it; one state for all stands for none."""
    states = applied.states
    margins = None
    if isinstance(applied.outcome, Comparison):
        margins = applied.table(applied.outcome.margins)
    if states.size and (states == states.flat[0]).all() and margins is None:
        return Heard(applied, (), np.asarray(states.flat[0]), None)
    return Heard(applied, applied.scope, states, margins)


class _Readings:
    """The values of a material that rules in words read."""

    def __init__(self, subject: Subject, component: Component) -> None:
        filler = component.filler
        self._chemistry = (
            subject.filled.material.trigger,
            *(getattr(component, name) for name in OF_A_COMPONENT),
        )
        self._filler = None if filler is None else (filler.name, filler.shape, filler.hollow)
        mohs = None if filler is None else filler.mohs
        self._mohs = None if mohs is None else (mohs.low, mohs.nominal, mohs.high, mohs.basis)
        # How much of a material goes unnamed hangs on the weight of its filler.
        weighs = (
            ()
            if component.complete or filler is None
            else (
                _ends(component.density),
                _ends(filler.volume_fraction),
            )
        )
        self._unnamed = (self._filler, weighs)

    @property
    def shared(self) -> Hashable:
        """Everything that is the same for many materials."""
        return self._chemistry, self._mohs, self._filler

    def of(self, rule: Rule) -> Hashable:
        """What one rule reads."""
        if is_fixed(rule):
            return ()
        asks_filler = any(ask.startswith("component.filler") for ask in rule.asks)
        if rule.name == BY_WEIGHT:
            return self._chemistry, self._unnamed
        return self._chemistry, (self._filler, self._mohs) if asks_filler else None


def _ends(quantity: object) -> Hashable:
    return tuple(getattr(quantity, end, None) for end in ("low", "high"))
