"""Cautions that the constituents and the process call for; none of them clears anything.

Each caution names who decides: the safety data sheet, local codes, the employer's risk
assessment, licensed and qualified people. The tool never says that something may be done.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.chemistry import caution_texts
from configurator.chemistry.hazards import ProcessFacts, hazards_of
from configurator.chemistry.share import MassFraction


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to mind."""

    topic: str
    """In a word or three."""
    text: str
    """What it is about, and who decides."""


def cautions(
    constituents: Iterable[MassFraction], facts: ProcessFacts, substances: Substances
) -> tuple[Caution, ...]:
    """Return the cautions for a material, both components together, in a process.

    They stand in a fixed order and are never none, since moving parts and the safety data sheet
    are always there.
    """
    found = hazards_of(constituents, substances)
    raised = ((topic, text(found, facts)) for topic, text in caution_texts.TEXTS)
    return tuple(Caution(topic, f"{text} {caution_texts.DEFER}") for topic, text in raised if text)
