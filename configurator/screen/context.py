"""All that a screening knows before it sees a material: parts, rules over them, their order."""

from __future__ import annotations

from collections.abc import Hashable

import numpy as np

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Part
from configurator.engine.arrays import IntArray
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.evaluation import SharedOutcomes
from configurator.rules.finding import Finding
from configurator.rules.frame import Frame
from configurator.rules.prices import Prices
from configurator.rules.ruleset import RuleSet
from configurator.rules.subject import Subject
from configurator.workshop.answering import parts_of


class ScreeningContext:
    """One process and one shop, laid out for one-part materials or for two-part ones.

    Any of the materials may be `first`, worked out: the parts do not depend on it.

    Attributes
    ----------
    frame : Frame
        Grid over all parts.
    rules : RuleSet
        The rulebook over them.
    prices : Prices
        Which build the list names first.
    shared : SharedOutcomes
        What materials have in common.
    findings : dict
        What rules that read no number of the flow say of parts, by what they read.
    conflicts : list of frozenset of int
        Rules that left materials no build between them.
    """

    def __init__(self, process: Process, catalog: Catalog, first: Subject) -> None:
        self.frame = Frame(parts_of(Question(first.question.material, process), catalog))
        prefixes = [prefix for prefix, _ in first.filled.material.components]
        self.rules = RuleSet(self.frame, prefixes)
        self.prices = Prices.of_frame(self.frame)
        self.shared = SharedOutcomes()
        self.findings: dict[Hashable, Finding] = {}
        self.conflicts: list[frozenset[int]] = []

    def builds(self, places: IntArray) -> Frame:
        """Builds of shape (materials, slots) as a frame, each with a material of its own."""
        # No rule looks at the entry on the axis of the materials: any place will do.
        rows = np.hstack([np.zeros((len(places), 1), dtype=np.intp), places])
        return self.rules.every_many.with_rows(rows)

    def parts(self, places: IntArray) -> dict[str, Part]:
        """The parts of one build, by their places in each slot."""
        slots = self.frame.slots
        return {s: self.frame.parts[s][at] for s, at in zip(slots, places, strict=True)}
