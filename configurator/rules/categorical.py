"""Rules that read no number of the flow: what they say is kept for the next material alike.

Chemistry, temperatures, hardness and the like hang on few fields of a material. Their outcome
over all parts is worked out once for each set of values of those fields.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count

import numpy as np
from numpy.typing import NDArray

from configurator.engine.arrays import AnyArray
from configurator.request.material import Component
from configurator.rules.applied import Applied, apply_rule
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.rule import Rule
from configurator.rules.ruleset import Judgement
from configurator.rules.side import product_name
from configurator.rules.subject import Subject

States = NDArray[np.int8]

OF_A_COMPONENT = ("constituents", "complete", "sensitive_to")

MOST_KEPT = 1_000
"""Outcomes kept of one rule; with more, all are forgotten, so that memory stays flat."""


class UnlikeRuleError(Exception):
    """A rule over several slots does not judge each of them by itself: ask materials one by one."""


@dataclass(frozen=True, eq=False)
class PartStates:
    """What one rule says of each part by itself."""

    applied: Applied | None
    """The rule over a grid of all parts; None where many materials were judged at once."""
    by_slot: Mapping[str, States]
    """By slot, shape (problems or 1, parts)."""
    floor: States
    """Shape (problems or 1,): what it says of every build alike."""
    margins: AnyArray | None = None
    """Of the one slot, as the states; None for verdicts in words."""
    depth: AnyArray | None = None
    """Steps short of what the rule asks, as the margins."""
    strain: AnyArray | None = None
    """Steps away from the middle of its window, as the margins."""

    def says_as(self, other: PartStates) -> bool:
        """Whether another says the same of every part."""
        return (
            np.array_equal(self.floor, other.floor)
            and self.by_slot.keys() == other.by_slot.keys()
            and all(
                np.array_equal(self.by_slot[slot], other.by_slot[slot]) for slot in self.by_slot
            )
        )

    @property
    def worst(self) -> int:
        """The worst that it says of any part."""
        every = (self.floor, *self.by_slot.values())
        return max(int(states.max(initial=State.FITS)) for states in every)


def part_states(applied: Applied) -> PartStates:
    """Take what a rule says apart, slot by slot.

    Raises
    ------
    UnlikeRuleError
        If it judges several slots together.
    """
    states, scope = applied.states, applied.scope
    if states.size and states.flat[0] < State.RULED_OUT and (states == states.flat[0]).all():
        scope, floor = (), states.flat[:1]
    else:
        floor = states.reshape(-1)[:1] if not scope else np.zeros(1, dtype=np.int8)
    by_slot = {}
    together: States = np.asarray(floor[0])
    for axis, slot in enumerate(scope):
        others = tuple(at for at in range(states.ndim) if at != axis)
        alone = states.min(axis=others, initial=State.RULED_OUT)
        together = np.maximum.outer(together, alone)
        by_slot[slot] = np.asarray(alone, dtype=np.int8)[np.newaxis]
    if scope and not np.array_equal(together, states):
        raise UnlikeRuleError(applied.title)
    numbers: dict[str, AnyArray] = {}
    if isinstance(applied.outcome, Comparison) and len(applied.scope) == 1:
        numbers = {
            name: applied.table(values)[np.newaxis]
            for name, values in numbers_alone(applied.outcome, applied.rule).items()
        }
        by_slot.setdefault(applied.scope[0], applied.states[np.newaxis])
        floor = np.zeros(1, dtype=np.int8)
    return PartStates(applied, by_slot, np.asarray(floor, dtype=np.int8), **numbers)


def numbers_alone(outcome: Comparison, rule: Rule) -> dict[str, AnyArray]:
    """What a comparison over one slot says of each part beside its state, as `PartStates` names it."""
    strain = {"strain": outcome.strained(rule.comfort)} if rule.comfort else {}
    return {"margins": outcome.margins, "depth": outcome.steps, **strain}


def of_several(
    judgement: Judgement, heard: Sequence[PartStates | None], frame: Frame
) -> PartStates | None:
    """What a rule says of several materials, problems along the first axis."""
    distinct = {id(each): each for each in heard}
    found = [each for each in distinct.values() if each is not None]
    if not found or len(distinct) == 1:
        return heard[0]
    # Few things are said of many materials.
    number = {key: place for place, key in enumerate(distinct)}
    of = np.array([number[id(each)] for each in heard])
    by_slot = {}
    for slot in {slot for each in found for slot in each.by_slot}:
        fits = np.zeros((1, len(frame.parts[slot])), dtype=np.int8)
        rows = [fits if e is None else e.by_slot.get(slot, fits) for e in distinct.values()]
        by_slot[slot] = np.concatenate(rows)[of]
    passes = np.zeros(1, dtype=np.int8)
    floors = np.concatenate([passes if e is None else e.floor for e in distinct.values()])
    numbers: dict[str, AnyArray] = {}
    for name, instead in (("margins", np.nan), ("depth", 0), ("strain", 0)):
        said = [None if each is None else getattr(each, name) for each in distinct.values()]
        if any(each is not None for each in said):
            (slot,) = judgement.scope
            numbers[name] = _stacked(said, np.full(len(frame.parts[slot]), instead))[of]
    return PartStates(None, by_slot, floors[of], **numbers)


def _stacked(said: Sequence[AnyArray | None], instead: AnyArray) -> AnyArray:
    """What is said of each of several materials; something else of those that are not asked."""
    return np.concatenate([instead[np.newaxis] if each is None else each for each in said])


@dataclass(frozen=True, eq=False)
class MaterialRead:
    """What these rules read of one material, by side; equal numbers stand for equal values."""

    case: Case
    """The material over a grid of all parts."""
    chemistry: dict[str, int]
    filler: dict[str, int]
    weight: dict[str, int]
    product: dict[str, int]
    """By prefix: constituents and trigger, the filler, what its weight hangs on, and the name under
    which the shop has findings."""

    def of(self, judgement: Judgement) -> Hashable:
        """What one rule reads."""
        if judgement.rule.whole:
            return tuple(tuple(getattr(self, kind).values()) for kind in judgement.readings)
        prefix = judgement.prefix
        return tuple([getattr(self, kind)[prefix] for kind in judgement.readings])


class CategoricalRules:
    """Outcomes by what rules read of a material."""

    def __init__(self) -> None:
        self._known: dict[int, dict[Hashable, PartStates | None]] = {}
        self._numbers: dict[Hashable, int] = {}
        self._given = count()

    def reading(self, case: Case) -> MaterialRead:
        """What the rules read of a material.

        A number that was given is never given again, for others of the batch and findings of earlier
        ones go by it: a value that was forgotten gets a new one.
        """
        if len(self._numbers) >= MOST_KEPT:
            self._numbers.clear()
            self._known.clear()
        sides, subject = dict(case.material.components), case.subject

        def numbers(read: Callable[[str, Component], Hashable]) -> dict[str, int]:
            values = {prefix: read(prefix, component) for prefix, component in sides.items()}
            return {prefix: self._number(value) for prefix, value in values.items()}

        return MaterialRead(
            case=case,
            chemistry=numbers(lambda _, each: _chemistry(case.material.trigger, each)),
            filler=numbers(lambda _, each: _filler(each)),
            weight=numbers(lambda _, each: _weight(each)),
            product=numbers(lambda prefix, _: _product(subject, prefix)),
        )

    def _number(self, value: Hashable) -> int:
        if value not in self._numbers:
            self._numbers[value] = next(self._given)
        return self._numbers[value]

    def hear(self, judgement: Judgement, reading: MaterialRead) -> PartStates | None:
        """What a rule in words says of one material; None if the request does not ask for it."""
        known = self._known.setdefault(judgement.number, {})
        key = reading.of(judgement)
        if key not in known:
            case = reading.case
            side = case.side(judgement.prefix)
            applied = apply_rule(case, judgement.rule, side)
            known[key] = None if applied is None else part_states(applied)
        return known[key]


def _chemistry(trigger: str, component: Component) -> Hashable:
    return "chemistry", trigger, *(getattr(component, name) for name in OF_A_COMPONENT)


def _filler(component: Component) -> Hashable:
    filler = component.filler
    if filler is None:
        return "filler"
    mohs = filler.mohs
    hardness = None if mohs is None else (mohs.low, mohs.nominal, mohs.high, mohs.basis)
    return "filler", filler.name, filler.shape, filler.hollow, hardness


def _weight(component: Component) -> Hashable:
    """How much of a material goes unnamed hangs on the weight of its filler."""
    filler = component.filler
    if filler is None or component.complete:
        return "weight"
    return "weight", _ends(component.density), _ends(filler.volume_fraction)


def _product(subject: Subject, prefix: str) -> Hashable:
    """The name under which the shop has findings on a component."""
    product = product_name(subject.question.material, prefix)
    return "product", product if subject.evidence.speaks_of(product) else None


def _ends(quantity: object) -> Hashable:
    return tuple(getattr(quantity, end, None) for end in ("low", "high"))
