"""Which hypothetical parts open a material: each judged with the catalog as if it were there.

Parts of one slot are judged together, since a build holds one of them: with nothing but
hypothetical parts in their slot, what is left of each is what the catalog with it alone would
give that it does not give now. Nothing is approximated; what the quick judge shows to be closed
to all of them is not looked at further.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from configurator.catalog.parts import Part
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.rules.finding import State
from configurator.screen.hypothetical.part import Hypothetical, with_added, with_only
from configurator.screen.judge import REFUSALS, Judge
from configurator.screen.looked import look
from configurator.screen.verdict import NOT_READ, Verdict
from configurator.workshop.workshop import Workshop


@dataclass(frozen=True, eq=False)
class Batch:
    """Hypothetical parts that are judged together: those of one slot, or one set."""

    parts: tuple[Hypothetical, ...]
    """All of one slot and single, or one set alone."""

    @property
    def slot(self) -> str:
        """The slot in which they stand."""
        return self.parts[0].slot

    def alone_in(self, workshop: Workshop) -> Workshop:
        """The shop with nothing else in their slot; for a set, in all of its slots."""
        return replace(workshop, catalog=with_only(workshop.catalog, self._added()))

    def beside_in(self, workshop: Workshop) -> Workshop:
        """The shop with them as well."""
        return replace(workshop, catalog=with_added(workshop.catalog, self._added()))

    def _added(self) -> dict[str, list[Part]]:
        added: dict[str, list[Part]] = {}
        for each in self.parts:
            for slot, parts in each.parts.items():
                added.setdefault(slot, []).extend(parts)
        return added


def batches(parts: Iterable[Hypothetical]) -> tuple[Batch, ...]:
    """Sort hypothetical parts into batches, in their order."""
    by_slot: dict[str, list[Hypothetical]] = {}
    sets: list[Batch] = []
    for each in parts:
        if each.is_set:
            sets.append(Batch((each,)))
        else:
            by_slot.setdefault(each.slot, []).append(each)
    return (*(Batch(tuple(found)) for found in by_slot.values()), *sets)


@dataclass
class Openings:
    """Hypothetical parts for one process, ready for any number of materials.

    Parameters
    ----------
    process : Process
        What all materials are dispensed for.
    workshop : Workshop
        What can be built from as it is, and what was measured.
    tried : tuple of Batch
        The hypothetical parts.
    widest : State
        Builds of which level count: fits, or unproven for any at all.

    Attributes
    ----------
    refused : set of str
        Names of parts whose figures the physics refuses.
    """

    process: Process
    workshop: Workshop
    tried: tuple[Batch, ...]
    widest: State
    refused: set[str] = field(default_factory=set)
    _judges: dict[Batch, Judge] = field(default_factory=dict, init=False, repr=False)

    def opened(
        self, materials: Sequence[Material], batch: Batch, workshops: Sequence[Workshop]
    ) -> list[dict[str, State]]:
        """Return for each material the parts of a batch that open it, with the best state.

        Parameters
        ----------
        materials : sequence of Material
            None of which has a build that counts.
        batch : Batch
            The parts.
        workshops : sequence of Workshop
            One a material: the shop, or that with heads measured on it.
        """
        found: list[dict[str, State]] = [{} for _ in materials]
        if batch.slot == "mixing":
            places = [at for at, each in enumerate(materials) if each.two_part]
        else:
            places = self._not_closed(materials, batch, workshops)
        for at in places:
            found[at] = self._by_part(materials[at], batch, workshops[at])
        return found

    def _not_closed(
        self, materials: Sequence[Material], batch: Batch, workshops: Sequence[Workshop]
    ) -> list[int]:
        """Places of the materials that the quick judge does not show to be closed to all parts."""
        quick = [
            at
            for at, material in enumerate(materials)
            if not material.two_part and workshops[at] is self.workshop
            if not self.workshop.evidence.records
        ]
        verdicts: dict[int, Verdict] = {}
        if quick:
            if batch not in self._judges:
                self._judges[batch] = Judge(self.process, batch.alone_in(self.workshop))
            told = self._judges[batch].verdicts([materials[at] for at in quick])
            verdicts = dict(zip(quick, told, strict=True))
        return [
            at for at in range(len(materials)) if at not in verdicts or self._counts(verdicts[at])
        ]

    def _counts(self, verdict: Verdict) -> bool:
        """Whether a build that counts is left; what could not be judged has to be looked at."""
        if verdict.state == NOT_READ:
            return True
        return verdict.fits > 0 if self.widest is State.FITS else verdict.builds > 0

    def _by_part(self, material: Material, batch: Batch, workshop: Workshop) -> dict[str, State]:
        other = batch.beside_in(workshop) if material.two_part else batch.alone_in(workshop)
        names = [each.name for each in batch.parts]
        try:
            looked = look(material, self.process, other)
            return looked.best_with_one(batch.slot, names, self.widest)
        except REFUSALS:
            if len(batch.parts) == 1:
                self.refused.update(names)
                return {}
        found: dict[str, State] = {}
        for each in batch.parts:
            found |= self._by_part(material, Batch((each,)), workshop)
        return found
