"""What is usual for a class of chemistry or a filler: the figures that gaps are filled with.

Every figure is from memory unless its line says otherwise; each is a range on purpose. They
bound what a material is likely to be. They never describe the material at hand, so whatever
comes from here has the basis `estimated`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from configurator.request.material import Component, Filler, Shape, Trigger
from configurator.units.interval import Interval

ANY_ENERGY = Interval.of(10e3, 70e3)
"""Flow activation energy of a liquid of unknown class. [J/mol]"""

LIQUID_INDEX = Interval(0.4, 1.0, 1.0)
"""Flow index behind one viscosity of a material with little filler, not called thixotropic."""

PASTE_INDEX = Interval(0.35, 0.5, 0.7)
"""The same for a paste."""

ANY_INDEX = Interval(0.35, 0.7, 1.0)
"""The same where the filler content is not stated."""

PASTE_FROM = 0.10
"""Volume fraction of filler from which a material is taken as a paste."""

READING_RATE = Interval(1.0, 10.0**0.5, 10.0)
"""Apparent shear rate of a slow single-cylinder reading. [1/s]"""

D99_OVER_D50 = Interval(2.0, 2.5, 3.0)
"""Largest particle over median particle (common practice, no source)."""

DOT_ANGLE = Interval(math.radians(30.0), math.radians(75.0), math.radians(120.0))
"""Contact angle of a dot of which nobody says how it spreads. [rad]"""

LIQUID_MODULUS = Interval(1e9, 1.5e9, 2.5e9)
"""Bulk modulus of an organic liquid without air in it. [Pa]"""

ORGANIC_TENSION = Interval(20e-3, 35e-3, 50e-3)
"""Surface tension of an organic liquid. [N/m]"""

SILICONE_TENSION = Interval(20e-3, 21e-3, 22e-3)
"""The same of a silicone. [N/m]"""

WATER_TENSION = Interval(25e-3, 60e-3, 73e-3)
"""The same of something made with water: surfactants halve it and more. [N/m]"""

NO_FILLER = "no filler stated, but a solid is among the constituents"
FROM_CONSTITUENTS = "by the solids among the constituents"
"""Marks what is known of a filler only because its substance is among the constituents."""

MINOR_SHARE = 0.05
"""Mass fraction below which a constituent does not set the class of a component."""


@dataclass(frozen=True, slots=True)
class Chemistry:
    """A class of materials."""

    name: str
    words: re.Pattern[str]
    """What the name of a constituent of this class contains."""
    energy: Interval | None
    """Flow activation energy; None where the class says nothing. [J/mol]"""
    density: Interval
    """Without filler. [kg/m^3]"""


def _chemistry(
    name: str, words: str, energy: tuple[float, float] | None, density: tuple[float, float]
) -> Chemistry:
    return Chemistry(
        name,
        re.compile(words),
        None if energy is None else Interval.of(energy[0] * 1e3, energy[1] * 1e3),
        Interval.of(*density),
    )


_ACRYLATE = _chemistry(
    "acrylate", r"acrylate|\b(tpgda|hdda|tmpta|mma|hema|iboa)\b", (35, 50), (950, 1150)
)

CHEMISTRIES: tuple[Chemistry, ...] = (
    _ACRYLATE,
    _chemistry("silicone", r"silicone|siloxan|silanol|pdms|\bsi-?h\b", (12, 20), (970, 1050)),
    _chemistry("epoxy resin", r"epoxy|epoxide|glycidyl|bisphenol", (55, 70), (1100, 1200)),
    _chemistry(
        "polyurethane",
        r"isocyanate|polyol|urethane|\bp?mdi\b|\b(tdi|hdi|ipdi)\b",
        (40, 50),
        (1050, 1250),
    ),
    _chemistry("amine", r"amines?\b", None, (950, 1050)),
    _chemistry("grease", r"\bsoap|grease|polyurea", (15, 25), (880, 980)),
    _chemistry("oil", r"\boil\b|\bpao\b|polyalphaolefin", (25, 45), (820, 980)),
)
"""In the order in which a constituent's name is tried: "urethane acrylate" is an acrylate."""

_BY_TRIGGER: dict[Trigger, Chemistry] = {
    "light": _ACRYLATE,
    "anaerobic": _ACRYLATE,
    "surface moisture": _ACRYLATE,
}


@dataclass(frozen=True, slots=True)
class Mineral:
    """What a filler is made of."""

    name: str
    words: re.Pattern[str]
    """What the name of such a filler contains."""
    mohs: Interval
    density: Interval | None
    """Of the solid; None where grades differ too much. [kg/m^3]"""


def _mineral(
    name: str, words: str, mohs: tuple[float, float], density: tuple[float, float] | None
) -> Mineral:
    return Mineral(
        name,
        re.compile(words),
        Interval.of(*mohs),
        None if density is None else Interval.of(*density),
    )


MINERALS: tuple[Mineral, ...] = (
    _mineral("hollow glass", r"bubble|balloon|hollow|cenosphere", (5.5, 6), None),
    _mineral(
        "aluminium trihydroxide",
        r"trihydr|alumini?um hydroxide|\bath\b|al\(oh\)3",
        (3, 3),
        (2400, 2450),
    ),
    _mineral("magnesium hydroxide", r"magnesium hydroxide|mg\(oh\)2", (2.5, 2.5), (2340, 2400)),
    _mineral("aluminium nitride", r"alumini?um nitride|\baln\b", (7, 8), (3200, 3300)),
    _mineral("boron nitride", r"boron nitride|\bh?bn\b", (1, 2), (2100, 2300)),
    _mineral("silicon carbide", r"silicon carbide|\bsic\b", (9.5, 9.5), (3100, 3250)),
    _mineral("diamond", r"diamond", (10, 10), (3500, 3530)),
    _mineral("alumina", r"alumina|alumini?um oxide|al2o3|corundum", (9, 9), (3900, 4000)),
    _mineral("quartz", r"quartz|crystalline silica", (7, 7), (2620, 2660)),
    _mineral("silica", r"silica\b|cristobalite", (6, 7), (2150, 2660)),
    _mineral("glass", r"\bglass\b", (5.5, 6), (2450, 2600)),
    _mineral("titanium dioxide", r"titan|tio2|rutile", (5.5, 6.5), (3800, 4300)),
    _mineral("zinc oxide", r"zinc oxide|\bzno\b", (4.5, 4.5), (5500, 5700)),
    _mineral("magnesium oxide", r"magnesium oxide|magnesia|\bmgo\b", (5.5, 6), (3500, 3650)),
    _mineral("wollastonite", r"wollastonite|calcium silicate", (4.5, 5), (2800, 3000)),
    _mineral("barium sulfate", r"barium sul|baryte|barite|baso4", (3, 3.5), (4300, 4500)),
    _mineral("calcium carbonate", r"carbonate|chalk|calcite|caco3|\bpcc\b", (3, 3), (2600, 2750)),
    _mineral("nickel", r"nickel", (4, 5), (8800, 8910)),
    _mineral("copper", r"copper", (2.5, 3), (8800, 8960)),
    _mineral("silver", r"silver|\bag\b", (2.5, 3), (10300, 10500)),
    _mineral("aluminium", r"alumini?um", (2.5, 3), (2650, 2720)),
    _mineral("talc", r"talc", (1, 1), (2700, 2800)),
    _mineral("carbon", r"carbon black|graphite", (1, 2), (1800, 2250)),
    _mineral("fluoropolymer", r"ptfe|fluoroethylene", (1, 1), (2140, 2200)),
)
"""In the order in which a filler's name is tried: "alumina trihydrate" is no alumina."""

_SHAPES: tuple[tuple[re.Pattern[str], Shape], ...] = (
    (re.compile(r"flake|platelet|talc|graphite"), "flake"),
    (re.compile(r"fib(re|er)|wollastonite"), "fibre"),
    (re.compile(r"spher|bubble|balloon|bead"), "sphere"),
)


def chemistries_of(component: Component, trigger: Trigger) -> tuple[Chemistry, ...]:
    """Return the classes that a component's main constituents belong to.

    What makes the material cure decides if no constituent does.
    """
    main = [
        share
        for share in component.constituents
        if share.mass_fraction is None or share.mass_fraction.high >= MINOR_SHARE
    ]
    weighed = all(share.mass_fraction is not None for share in main)
    found: list[Chemistry] = []
    balance = 0.0
    for share in main:
        weight = share.mass_fraction.nominal if weighed and share.mass_fraction else 1.0
        if (chemistry := _first(share.name)) is None:
            balance -= weight
        else:
            balance += weight
            found.append(chemistry)
    if balance < 0.0:
        # A little oil in a polymer nobody knows does not make an oil of it.
        found = []
    if any(chemistry.name == "grease" for chemistry in found):
        # A soap in an oil makes a grease, whose yield stress hides the oil's own sensitivity.
        found = [chemistry for chemistry in found if chemistry.name != "oil"]
    if not found and trigger in _BY_TRIGGER:
        found = [_BY_TRIGGER[trigger]]
    return tuple(dict.fromkeys(found))


def _first(name: str) -> Chemistry | None:
    folded = name.casefold()
    return next((each for each in CHEMISTRIES if each.words.search(folded)), None)


def energy_for(chemistries: Iterable[Chemistry]) -> Interval:
    """Return the flow activation energy that covers all classes. [J/mol]."""
    energies = [each.energy or ANY_ENERGY for each in chemistries]
    return hull(energies) if energies else ANY_ENERGY


def density_for(chemistries: Iterable[Chemistry], filler: Filler | None) -> Interval | None:
    """Return the density [kg/m^3] that covers all classes, with the filler mixed in by volume.

    None if the class, the filler content or the filler's density is unknown.
    """
    liquids = [each.density for each in chemistries]
    if not liquids:
        return None
    liquid = hull(liquids)
    if filler is None:
        return liquid
    mineral = mineral_of(filler)
    if filler.volume_fraction is None or mineral is None or mineral.density is None:
        return None
    share = filler.volume_fraction.interval
    # The density is linear in each of the three, so its extremes lie at their ends.
    ends = [
        part * solid + (1.0 - part) * fluid
        for part in (share.low, share.high)
        for solid in (mineral.density.low, mineral.density.high)
        for fluid in (liquid.low, liquid.high)
    ]
    return Interval.of(min(ends), max(ends))


def tension_for(component: Component, chemistries: Iterable[Chemistry]) -> Interval:
    """Return the surface tension [N/m] that covers what a component may be.

    A few per cent of silicone cover the surface, so that one such constituent is enough.
    """
    names = [share.name.casefold() for share in component.constituents]
    if any(re.search(r"\bwater\b", name) for name in names):
        return WATER_TENSION
    silicones = [each.name == "silicone" for each in chemistries]
    if not any(silicones):
        return ORGANIC_TENSION
    return SILICONE_TENSION if all(silicones) else hull((SILICONE_TENSION, ORGANIC_TENSION))


def index_for(*, thixotropic: bool, filler: Filler | None) -> Interval:
    """Return the flow index that one viscosity may hide. [-]."""
    if thixotropic:
        return PASTE_INDEX
    if filler is None:
        return LIQUID_INDEX
    if filler.volume_fraction is None:
        return ANY_INDEX
    if filler.volume_fraction.high < PASTE_FROM:
        return LIQUID_INDEX
    return PASTE_INDEX if filler.volume_fraction.low >= PASTE_FROM else ANY_INDEX


def mineral_of(filler: Filler) -> Mineral | None:
    """Return what a filler is made of, by its name."""
    folded = filler.name.casefold()
    words = f"hollow {folded}" if filler.hollow else folded
    return next((each for each in MINERALS if each.words.search(words)), None)


def shape_for(filler: Filler) -> Shape:
    """Return the shape that a filler's name tells, else the worse of the common two."""
    folded = filler.name.casefold()
    return next((shape for words, shape in _SHAPES if words.search(folded)), "irregular")


def hull(intervals: Iterable[Interval]) -> Interval:
    """Return the smallest interval that holds all of them; its nominal is the midpoint."""
    found = tuple(intervals)
    return Interval.of(min(each.low for each in found), max(each.high for each in found))
