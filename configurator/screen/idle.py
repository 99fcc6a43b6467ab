"""Parts of a catalog that are in no build of any material of a list, exact.

Each material with builds is looked at by the long way until several in a row have put no further
part to use. From then on the quick judge is asked first, with nothing but the idle parts in one
slot after the other: a material that has no build then uses none of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from configurator.catalog.parts import SLOTS
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.rules.finding import State
from configurator.screen.hypothetical.part import with_only
from configurator.screen.judge import Judge
from configurator.screen.looked import Look, look
from configurator.screen.verdict import NOT_READ, Verdict
from configurator.workshop.workshop import Workshop

PATIENCE = 8
"""Looks in a row without news after which the quick judge is asked first."""


@dataclass
class Idle:
    """Parts that no build has been seen with yet."""

    workshop: Workshop
    """What can be built from, and what was measured."""
    widest: State
    """Builds of which level count: fits, or unproven for any at all."""
    patience: int = PATIENCE
    """Looks in a row without news after which the quick judge is asked first."""
    _left: dict[str, set[str]] = field(init=False)
    _judges: dict[tuple[int, str], tuple[frozenset[str], Judge]] = field(
        default_factory=dict, init=False, repr=False
    )
    _in_vain: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        self._left = {
            slot: {part.name for part in parts}
            for slot, parts in self.workshop.catalog.parts.items()
        }

    @property
    def left(self) -> dict[str, tuple[str, ...]]:
        """By slot, names of the parts that nothing uses; slots without any are left out."""
        return {slot: tuple(sorted(self._left[slot])) for slot in SLOTS if self._left[slot]}

    def heard(self, looked: Look) -> None:
        """Strike out what a material uses."""
        news = False
        for slot, name in looked.parts_used(self.widest):
            # A part of a measured head keeps its name.
            if name in self._left[slot]:
                self._left[slot].discard(name)
                news = True
        self._in_vain = 0 if news else self._in_vain + 1

    def look(
        self, process: Process, materials: Sequence[Material], workshops: Sequence[Workshop]
    ) -> None:
        """Strike out what some materials use.

        Parameters
        ----------
        process : Process
            What they are dispensed for.
        materials : sequence of Material
            With builds.
        workshops : sequence of Workshop
            One a material: the shop, or that with heads measured on it.
        """
        waiting = []
        for material, own in zip(materials, workshops, strict=True):
            quick = not material.two_part and own is self.workshop and not own.evidence.records
            if quick and self._in_vain >= self.patience:
                waiting.append(material)
            else:
                self.heard(look(material, process, own))
        for slot in SLOTS:
            self._sift(process, slot, waiting)

    def _sift(self, process: Process, slot: str, materials: Sequence[Material]) -> None:
        """Look at those that use an idle part of a slot, until none does."""
        waiting = list(materials)
        while waiting and self._left[slot] and slot != "mixing":
            verdicts = self._judge(process, slot).verdicts(waiting)
            waiting = [
                material
                for material, verdict in zip(waiting, verdicts, strict=True)
                if self._counts(verdict)
            ]
            if waiting:
                self.heard(look(waiting.pop(0), process, self.workshop))

    def _judge(self, process: Process, slot: str) -> Judge:
        """A judge whose catalog has the idle parts alone in one slot."""
        left = frozenset(self._left[slot])
        known = self._judges.get((id(process), slot))
        if known is None or known[0] != left:
            parts = [part for part in self.workshop.catalog.parts[slot] if part.name in left]
            known = left, Judge(process, Workshop(with_only(self.workshop.catalog, {slot: parts})))
            self._judges[id(process), slot] = known
        return known[1]

    def _counts(self, verdict: Verdict) -> bool:
        if verdict.state == NOT_READ:
            return True
        return verdict.fits > 0 if self.widest is State.FITS else verdict.builds > 0
