"""All that a screening knows before it sees a material: parts, kinds, fixed tables, keys."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Part
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.case import Case
from configurator.rules.duty import duty_of
from configurator.rules.frame import Frame
from configurator.rules.rule import Rule
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.subject import Subject
from configurator.screen.heading import Heading, heading_of
from configurator.screen.interchange import Kinds, kinds_of
from configurator.screen.judged import Judged, judged_of
from configurator.screen.worded import Worded
from configurator.workshop.answering import parts_of
from configurator.workshop.figures import step_of

COARSE = "stator"
"""Slot whose parts differ in many figures of which no rule reads more than one: rules are heard
for those that they tell apart, or the dearest physics would be worked out ten times over."""

LIST = "list"
"""Leading axis of a frame, along which materials lie."""


class Bench:
    """One process and one catalog, laid out for one-part materials.

    Parameters
    ----------
    process : Process
        What all materials are dispensed for.
    catalog : Catalog
        What can be built from.
    first : Subject
        Any one-part material, worked out: the parts do not depend on it.
    """

    def __init__(self, process: Process, catalog: Catalog, first: Subject) -> None:
        self.process = process
        self.catalog = catalog
        self.duty = duty_of(process)
        self.parts = parts_of(Question(first.question.material, process), catalog)
        self.frame = Frame(self.parts)
        self.slots = self.frame.slots
        case = Case(first, self.frame)
        self.headings = tuple(heading_of(rule, case) for rule in RULEBOOK)
        wide = [each.rule for each in self.headings if each.numeric or len(each.scope) > 1]
        self.kinds: dict[str, Kinds] = kinds_of(self.parts, wide)
        self._every = self._with_list(self.parts)
        self._first = self._with_list({slot: kinds.first for slot, kinds in self.kinds.items()})
        self.worded = Worded((each.rule for each in self.headings if not each.numeric), self.frame)
        self._told_apart: dict[str, tuple[int, ...]] = {}
        self._fixed: dict[str, Judged | None] = {}
        self.keys, self.largest_key = self._price()

    def rows(self, places: NDArray[np.intp]) -> Frame:
        """A frame of builds, each with a material of its own.

        Parameters
        ----------
        places : ndarray of int
            Shape (materials, slots): each one's part of each slot.
        """
        # No rule looks at the entry on the axis of the materials: any place will do.
        rows = np.hstack([np.zeros((len(places), 1), dtype=np.intp), places])
        return self._every.with_rows(rows)

    def grid(self, materials: int) -> Frame:
        """A grid over the first part of each kind, with an axis for the materials in front."""
        return self._first.only({LIST: np.zeros(materials, dtype=np.intp)})

    def told_apart(self, rule: Rule) -> tuple[int, ...]:
        """For each kind of the slot `COARSE`, the number of what a rule makes of it."""
        if rule.name not in self._told_apart:
            first = {COARSE: self.kinds[COARSE].first}
            of = kinds_of(first, [rule])[COARSE].of
            self._told_apart[rule.name] = tuple(of.tolist())
        return self._told_apart[rule.name]

    def fixed(self, heading: Heading, subject: Subject) -> Judged | None:
        """A rule that no material moves, over all kinds; heard once.

        Parameters
        ----------
        heading : Heading
            The rule.
        subject : Subject
            Any one-part material.
        """
        name = heading.rule.name
        if name not in self._fixed:
            every = {slot: np.arange(len(kinds.first)) for slot, kinds in self.kinds.items()}
            self._fixed[name] = judged_of(heading, Case(subject, self.grid(1)), every, every)
        return self._fixed[name]

    def _with_list(self, parts: Mapping[str, tuple[Part, ...]]) -> Frame:
        """A grid with an axis for the materials in front; any part will do for its entries."""
        return Frame({LIST: self.parts[self.slots[0]][:1], **parts})

    def _price(self) -> tuple[dict[str, NDArray[np.int64]], int]:
        """By slot, keys whose sum puts builds in the order of the list.

        The leading digits are the cost, those behind them the places of the parts.
        """
        costs = {
            slot: Frame({slot: parts}).column(slot, "cost_index")
            for slot, parts in self.parts.items()
        }
        step = step_of(list(costs.values()))
        strides, stride = {}, 1
        for slot in reversed(self.slots):
            strides[slot] = stride
            stride *= max(len(self.parts[slot]), 1)
        self.strides, self._stride = strides, stride
        keys, largest = {}, 0
        for slot, cost in costs.items():
            steps = np.rint(cost / step).astype(np.int64)
            largest += (int(steps.max(initial=0)) + 1) * stride
            if largest < 1 << 61:
                keys[slot] = steps * stride + np.arange(len(cost)) * strides[slot]
        return keys, largest

    def places_of(self, keys: NDArray[np.int64]) -> NDArray[np.intp]:
        """The places of the parts that a sum of keys stands for; shape (keys, slots)."""
        rest = keys % self._stride
        columns = []
        for slot in self.slots:
            columns.append(rest // self.strides[slot])
            rest = rest % self.strides[slot]
        return np.stack(columns, axis=1).astype(np.intp)

    @property
    def exact(self) -> bool:
        """True if keys and counts of this catalog fit into the numbers that hold them."""
        raw = math.prod(float(len(parts)) for parts in self.parts.values())
        return self.largest_key < 1 << 61 and raw < 2.0**53
