"""The rulebook over one frame of parts: which slots each rule depends on, and when it is heard."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from pydantic import BaseModel

from configurator.catalog.parts import SHARED_SLOTS, Part
from configurator.engine.arrays import IntArray
from configurator.engine.partition import Partition
from configurator.rules.frame import Frame
from configurator.rules.rule import Rule
from configurator.rules.rulebook import RULEBOOK
from configurator.units.quantity import Quantity

PROBLEMS = "problems"
"""Leading axis of a frame, along which requests lie."""

NARROW_UP_TO = 20_000
"""Combinations up to which a rule over several slots is heard before the wide ones."""

NUMBERS = (
    "component.flow",
    "component.density",
    "component.shear_rate_max",
    "component.vapour_pressure",
    "component.open_time",
    "component.filler.d",
    "component.filler.crush_pressure",
    "component.filler.volume_fraction",
    "material.mix",
)
"""How the request fields begin that differ from material to material."""

BY_WEIGHT = "component.density"
"""A rule outside the flow that reads it hangs on a figure of its own for each material."""

COARSE = "stator"
"""Slot whose parts differ in many figures of which no rule reads more than one: rules are heard
for those that they tell apart, or the dearest physics would be worked out ten times over."""


@dataclass(frozen=True, eq=False)
class Judgement:
    """A rule with the side that it judges."""

    number: int
    """Its place in the rule set."""
    rule: Rule
    prefix: str
    """Of the side's slots; that of the first side for a rule over the whole build."""
    scope: tuple[str, ...]
    """Slots that it depends on, in the order of the frame."""
    stage: int
    """When it is heard: 0 for one slot at most, 1 for few combinations, 2 for many."""

    @cached_property
    def title(self) -> str:
        """Name of the rule with its side."""
        return self.rule.name if self.rule.whole else self.rule.title(self.prefix)

    @cached_property
    def alone(self) -> bool:
        """True if it judges each part by itself.

        A rule in words over several slots does so too, unless no material moves it.
        """
        return len(self.scope) <= 1 or (self.rule.words is not None and not self.fixed)

    @property
    def wide(self) -> bool:
        """True if it is heard last, for many combinations."""
        return self.stage > 1

    @cached_property
    def fixed(self) -> bool:
        """True if no material moves it."""
        return not self._of_share and not any(
            ask.startswith(("component.", "material.")) for ask in self.rule.asks
        )

    @cached_property
    def numeric(self) -> bool:
        """True if it hangs on numbers that differ from material to material."""
        return self._of_share or (
            self.rule.family != "chemistry"
            and any(ask.startswith(NUMBERS) for ask in self.rule.asks)
        )

    @property
    def of_numbers(self) -> bool:
        """True if it compares nothing but numbers, so that it judges many requests as one."""
        return self.rule.words is None and (self.numeric or self.fixed)

    @cached_property
    def _of_share(self) -> bool:
        """True if it hangs on the share of the flow that a side of a two-part material meters."""
        return bool(self.prefix) and not self.rule.whole and "process.deposit" in self.rule.asks

    @cached_property
    def readings(self) -> tuple[str, ...]:
        """What of a material a rule hangs on that is not numeric, as `MaterialRead` names it."""
        if self.fixed:
            return ()
        filler = any(ask.startswith("component.filler") for ask in self.rule.asks)
        weight = filler and BY_WEIGHT in self.rule.asks
        read = {
            "chemistry": True,
            "filler": filler,
            "weight": weight,
            "product": self.rule.family == "chemistry",
        }
        return tuple(name for name, here in read.items() if here)


class RuleSet:
    """All rules over a grid of parts, for one side without a prefix, or for `a.` and `b.`.

    Judgements stand in the order of the rulebook; kinds are, by slot, parts that no rule over
    several slots tells apart.
    """

    def __init__(
        self, frame: Frame, prefixes: Sequence[str], rules: Iterable[Rule] = RULEBOOK
    ) -> None:
        self.frame = frame
        self.prefixes = tuple(prefixes)
        found: list[Judgement] = []
        for rule in rules:
            for prefix in self.prefixes[:1] if rule.whole else self.prefixes:
                scope = rule.scope(frame.slots, self.prefixes, prefix)
                found.append(Judgement(len(found), rule, prefix, scope, self._stage(scope)))
        self.judgements = tuple(found)
        several = [each for each in found if len(each.scope) > 1]
        self.kinds = {slot: self._kinds(slot, several) for slot in frame.slots}
        self._apart: dict[tuple[int, str], Partition] = {}

    def _stage(self, scope: tuple[str, ...]) -> int:
        if len(scope) <= 1:
            return 0
        cells = math.prod(len(self.frame.parts[slot]) for slot in scope)
        return 1 if cells <= NARROW_UP_TO else 2

    def _kinds(self, slot: str, judgements: Iterable[Judgement]) -> Partition:
        read = [figures_read(each, slot) for each in judgements if slot in each.scope]
        fields = sorted(set().union(*read))
        return Partition.by_key(figures_of(part, fields) for part in self.frame.parts[slot])

    @cached_property
    def kinds_frame(self) -> Frame:
        """The first part of each kind."""
        return self.frame.only({slot: kinds.first for slot, kinds in self.kinds.items()})

    @cached_property
    def every_kind(self) -> dict[str, IntArray]:
        """All kinds of each slot."""
        return {slot: np.arange(len(kinds)) for slot, kinds in self.kinds.items()}

    @cached_property
    def every_many(self) -> Frame:
        """All parts, with an axis for the requests in front."""
        return _with_problems(self.frame)

    @cached_property
    def kinds_many(self) -> Frame:
        """The first part of each kind, with an axis for the requests in front."""
        return _with_problems(self.kinds_frame)

    def told_apart(self, judgement: Judgement, slot: str) -> Partition:
        """Kinds of a slot that one rule alone tells apart."""
        key = (judgement.number, slot)
        if key not in self._apart:
            parts, kinds = self.frame.parts[slot], self.kinds[slot]
            fields = sorted(figures_read(judgement, slot))
            self._apart[key] = Partition.by_key(
                figures_of(parts[place], fields) for place in kinds.first
            )
        return self._apart[key]


def _with_problems(frame: Frame) -> Frame:
    # No rule looks at an entry on that axis: any part will do.
    return Frame({PROBLEMS: frame.parts[frame.slots[0]][:1], **frame.parts})


def figures_read(judgement: Judgement, slot: str) -> frozenset[str]:
    """Figures of the parts of a slot that a rule reads."""
    plain = slot if slot in SHARED_SLOTS else slot.rpartition(".")[2]
    paths = (path.partition(".") for path in judgement.rule.parts)
    return frozenset(field for owner, _, field in paths if owner == plain)


def figures_of(part: Part, fields: Iterable[str]) -> tuple[Hashable, ...]:
    """Figures of a part by dotted fields, equal for parts that rules on these cannot tell apart."""
    return tuple(_figure(_at(part, field)) for field in fields)


def _at(value: object, path: str) -> object:
    for name in path.split("."):
        value = getattr(value, name, None)
    return value


def _figure(value: object) -> Hashable:
    """A figure without the words that it was typed with: equal whatever its unit."""
    if isinstance(value, Quantity):
        return value.low, value.nominal, value.high
    if isinstance(value, BaseModel):
        return tuple(_figure(getattr(value, name)) for name in type(value).model_fields)
    if isinstance(value, tuple):
        return tuple(map(_figure, value))
    assert isinstance(value, Hashable)  # parts are frozen through and through
    return value
