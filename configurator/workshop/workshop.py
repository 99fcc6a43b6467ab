"""The one door: what a shop has, and its answer to a question.

It loads nothing that counts before it is asked, so that a screen can open with it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from configurator.catalog.catalog import Catalog, further_digest
from configurator.catalog.parts import SLOTS
from configurator.chemistry.evidence import Evidence
from configurator.errors import Fault, InputError
from configurator.request.material import Material
from configurator.request.question import Question
from configurator.workshop.head_record import HeadRecord
from configurator.workshop.named_parts import check_names

if TYPE_CHECKING:
    from configurator.workshop.answer import Answer


@dataclass(frozen=True)
class Workshop:
    """What a shop builds from, and what it knows better than the tables."""

    catalog: Catalog
    """Parts, substances and the practice of the shop."""
    evidence: Evidence = field(default_factory=Evidence)
    """What it has measured on pairs; it replaces verdicts and estimates for its pair."""
    heads: tuple[HeadRecord, ...] = ()
    """What its trials have measured on heads; it replaces the catalog's figures of a cavity."""

    def answer(self, question: Question) -> Answer:
        """Find every valid head build for a question.

        Parameters
        ----------
        question : Question
            Material, process, parts fixed or excluded, order.

        Returns
        -------
        Answer
            Exact counts, what remains in every slot, and the builds in order.

        Raises
        ------
        InputError
            If a pick names a slot or part that does not exist.
            Or if material or process state figures beyond the reach of the formulas.
        CatalogError
            If the catalog states figures that no head can have.
        UsageError
            If the question sorts by a figure that there is not.
        """
        from configurator.workshop.answering import answer_to

        own = self.measured_on(question.material)
        return answer_to(question, own.catalog, own.evidence)

    def keeping(self, picks: Mapping[str, str], without: Mapping[str, frozenset[str]]) -> Workshop:
        """The shop with nothing but picked parts in their slots and without excluded ones.

        For many questions at once, whatever they have one or two parts: a slot is one of the
        catalog, and holds for both sides.

        Raises
        ------
        InputError
            If a slot or part does not exist, or nothing is left of a slot.
        """
        if not picks and not any(without.values()):
            return self
        check_names(self.catalog, SLOTS, picks, without)
        parts = {
            slot: tuple(
                part
                for part in held
                if part.name not in without.get(slot, ())
                and picks.get(slot, part.name) == part.name
            )
            for slot, held in self.catalog.parts.items()
        }
        for slot, left in parts.items():
            if self.catalog.parts[slot] and not left:
                gone = ", ".join(sorted(without[slot]))
                raise InputError([Fault("--without", slot, gone, "a slot with a part left in it")])
        words = ", ".join(
            [f"{slot}={name}" for slot, name in sorted(picks.items())]
            + [
                f"without {at}={name}"
                for at, gone in sorted(without.items())
                for name in sorted(gone)
            ]
        )
        kept = replace(
            self.catalog,
            parts=parts,
            sha256=further_digest(self.catalog.sha256, f"\n{words}"),
            one_part_sha256=further_digest(self.catalog.one_part_sha256, f"\n{words}"),
            where=f"{self.catalog.where}, {words}",
        )
        return replace(self, catalog=kept)

    def measured_on(self, material: Material | None) -> Workshop:
        """The shop with its measured heads in the catalog, as they hold for a material.

        Parameters
        ----------
        material : Material or None
            As asked; None if it could not be read.

        Returns
        -------
        Workshop
            The same one if no head was measured on that material.
        """
        if material is None or all(record.material != material.name for record in self.heads):
            return self
        from configurator.workshop.measured_head import with_records

        catalog = with_records(self.catalog, self.heads, material)
        return self if catalog is self.catalog else Workshop(catalog, self.evidence)


def configure(question: Question, catalog: Catalog, evidence: Evidence | None = None) -> Answer:
    """Answer one question from a catalog: a workshop in short, without measured heads.

    Parameters
    ----------
    question : Question
        Material, process, picks.
    catalog : Catalog
        What can be built from.
    evidence : Evidence, optional
        What the shop has measured on pairs.
    """
    return Workshop(catalog, evidence or Evidence()).answer(question)
