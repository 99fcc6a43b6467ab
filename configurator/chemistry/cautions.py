"""Cautions that the constituents and the process call for; none of them clears anything.

Each caution names who decides: the safety data sheet, local codes, the employer's risk
assessment, licensed and qualified people. The tool never says that something may be done.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.chemistry import caution_texts
from configurator.chemistry.hazards import hazards_of
from configurator.chemistry.share import Share


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to mind.

    Attributes
    ----------
    topic : str
        In a word or three.
    text : str
        What it is about, and who decides.
    """

    topic: str
    text: str


@dataclass(frozen=True, slots=True)
class ProcessFacts:
    """What the process and the build bring to the cautions; None is not known.

    Attributes
    ----------
    temperature : float or None
        Highest temperature of the material. [K]
    flash_point : float or None
        Of the whole material, as its data sheet states it. [K]
    pressure_max : float or None
        Highest gauge pressure anywhere. [Pa]
    feed_pressure : float or None
        Gauge pressure of a vessel or cartridge. [Pa]
    reactive_mass : float or None
        Largest mass of mixed reactive material in one place. [kg]
    head_mass : float or None
        Filled head. [kg]
    two_part : bool
        Whether two components react.
    rotating : bool
        Whether a driven mixer or an open coupling turns.
    robot : bool
        Whether the head is carried.
    light_cure : bool
        Whether a lamp cures the material.
    aluminium : bool
        Whether the material touches aluminium.
    crush_pressure : float or None
        Strength of hollow spheres in the filler. [Pa]
    data_sheet_years : float or None
        Age of the safety data sheet. [years]
    """

    temperature: float | None = None
    flash_point: float | None = None
    pressure_max: float | None = None
    feed_pressure: float | None = None
    reactive_mass: float | None = None
    head_mass: float | None = None
    two_part: bool = False
    rotating: bool = True
    robot: bool = False
    light_cure: bool = False
    aluminium: bool = False
    crush_pressure: float | None = None
    data_sheet_years: float | None = None


def cautions(
    constituents: Iterable[Share], facts: ProcessFacts, substances: Substances
) -> tuple[Caution, ...]:
    """Return the cautions for a material in a process.

    Parameters
    ----------
    constituents : iterable of Share
        What the material is made of, both components together.
    facts : ProcessFacts
        What the process and the build bring.
    substances : Substances
        Hazards and flash points.

    Returns
    -------
    tuple of Caution
        In a fixed order; never empty, since moving parts and the safety data sheet are always
        there.
    """
    found = hazards_of(constituents, substances)
    raised = ((topic, text(found, facts)) for topic, text in caution_texts.TEXTS)
    return tuple(Caution(topic, f"{text} {caution_texts.DEFER}") for topic, text in raised if text)
