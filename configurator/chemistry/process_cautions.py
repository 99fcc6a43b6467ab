"""What constituents bring to the cautions, and those that process and build call for by themselves.

A text is empty where its caution is not due.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.chemistry.share import MassFraction, counts


@dataclass(frozen=True, slots=True)
class Hazards:
    """What the constituents bring, by topic, each with the titles that bring it."""

    by_topic: dict[str, tuple[str, ...]]
    """Hazard tag to titles of constituents."""
    by_class: dict[str, tuple[str, ...]]
    """Chemical class to titles of constituents."""
    flash_points: tuple[tuple[str, float], ...]
    """Title and flash point of each constituent that states one. [K]"""
    isocyanate_high: float | None
    """Largest total mass fraction of isocyanates; None if a share is not stated. [-]"""
    unlisted: tuple[str, ...]
    """Names that the tables do not hold."""


@dataclass(frozen=True, slots=True)
class ProcessFacts:
    """What the process and the build bring to the cautions; None is not known."""

    temperature: float | None = None
    """Highest temperature of the material. [K]"""
    flash_point: float | None = None
    """Of the whole material, as its data sheet states it. [K]"""
    pressure_max: float | None = None
    """Highest gauge pressure anywhere. [Pa]"""
    feed_pressure: float | None = None
    """Gauge pressure of a vessel or cartridge. [Pa]"""
    reactive_mass: float | None = None
    """Largest mass of mixed reactive material in one place. [kg]"""
    two_part: bool = False
    """Whether two components react."""
    rotating: bool = True
    """Whether a driven mixer or an open coupling turns."""
    robot: bool = False
    """Whether the head is carried."""
    heat_cure: bool = False
    """Whether a one-part material cures with heat."""
    dry_gas: bool = False
    """Whether dry gas lies over it in some feed."""
    light_cure: bool = False
    """Whether a lamp cures the material."""
    aluminium: bool = False
    """Whether the material touches aluminium."""
    crush_pressure: float | None = None
    """Strength of hollow spheres in the filler. [Pa]"""
    data_sheet_years: float | None = None
    """Age of the safety data sheet. [years]"""


def hazards_of(constituents: Iterable[MassFraction], substances: Substances) -> Hazards:
    """Collect the hazards of all constituents that count."""
    topics: dict[str, dict[str, None]] = {}
    classes: dict[str, dict[str, None]] = {}
    flash: dict[str, float] = {}
    unlisted: dict[str, None] = {}
    isocyanate: float | None = 0.0
    for share in constituents:
        constituent = substances.find(share.name, share.numbers)
        if constituent is None:
            unlisted[share.name] = None
            for topic in _own_words(share.name):
                topics.setdefault(topic, {})[share.name] = None
            if share.name in topics.get("isocyanate", ()):
                isocyanate = None
            continue
        if "isocyanate" in constituent.hazards:
            # Traces below the threshold of each still add up to what the law counts.
            high = share.fraction_high
            isocyanate = None if high is None or isocyanate is None else isocyanate + high
            topics.setdefault("isocyanate", {})[constituent.title] = None
        if not counts(share, constituent):
            continue
        for tag in constituent.hazards:
            topics.setdefault(tag, {})[constituent.title] = None
        for tag in constituent.tags:
            classes.setdefault(tag, {})[constituent.title] = None
        if constituent.flash_point is not None:
            flash[constituent.title] = constituent.flash_point.low
    return Hazards(
        by_topic={tag: tuple(sorted(titles)) for tag, titles in sorted(topics.items())},
        by_class={tag: tuple(sorted(titles)) for tag, titles in sorted(classes.items())},
        flash_points=tuple(sorted(flash.items())),
        isocyanate_high=isocyanate,
        unlisted=tuple(sorted(unlisted)),
    )


OWN_WORDS: tuple[tuple[str, str], ...] = (
    ("isocyanat", "isocyanate"),
    ("peroxid", "peroxide"),
    ("acrylat", "sensitiser"),
    ("epox", "sensitiser"),
    ("glycidyl", "sensitiser"),
    ("amine", "corrosive"),
    ("amin ", "corrosive"),
    ("cyanoacryl", "bonds skin"),
    ("cyanacryl", "bonds skin"),
)
"""What a name that the tables do not hold says of itself: parts of words, and hazard topics."""


def _own_words(name: str) -> Iterator[str]:
    folded = f"{name.casefold()} "
    return (topic for word, topic in OWN_WORDS if word in folded)


ZERO_CELSIUS = 273.15

VESSEL_PRESSURE = 1e5
"""Gauge pressure from which a vessel or cartridge is worth a caution (common practice). [Pa]"""

INJECTION_PRESSURE = 4.1e6
"""About 600 psi, the low end that a public page gives for injection injury. [Pa]"""

EXOTHERM_MASS = 0.1
"""Mixed reactive mass in one place that calls for a check of the peak (common practice). [kg]"""

HOT_PART = 333.15
"""Touching a part above this burns (common practice, no source). [K]"""


def in_celsius(kelvin: float) -> str:
    """A temperature in whole degrees."""
    return f"{kelvin - ZERO_CELSIUS:.0f} degC"


def in_bar(pascal: float) -> str:
    """A pressure in bar."""
    return f"{pascal / 1e5:.3g} bar"


def pressure(_found: Hazards, facts: ProcessFacts) -> str:
    """Due from one bar, or where nobody states the pressure."""
    highest = max(facts.pressure_max or 0.0, facts.feed_pressure or 0.0)
    if highest < VESSEL_PRESSURE and facts.pressure_max is not None:
        return ""
    size = f"Up to {in_bar(highest)}" if highest > 0.0 else "Pressure of unstated height"
    return (
        f"{size}: lines between head and valve stay under pressure after a stop; measure, dump "
        "and lock out before opening (ISO 14118, ISO 4414). A pot or pail may be a pressure "
        "vessel by local law."
    )


def injection(_found: Hazards, facts: ProcessFacts) -> str:
    """Always due; from injection pressure on it names the number."""
    near = "Never put a finger over a tip"
    if facts.pressure_max is not None and facts.pressure_max >= INJECTION_PRESSURE:
        near = f"{in_bar(facts.pressure_max)} injects through skin: never put a finger over a tip"
    return (
        f"{near}. A small wound that does not hurt may be an injection injury: it is an "
        "emergency for a surgeon, with the safety data sheet."
    )


def moving(_found: Hazards, facts: ProcessFacts) -> str:
    """Due where something turns or is carried."""
    parts = []
    if facts.rotating:
        parts.append("couplings and driven mixers catch hair and sleeves")
    if facts.robot:
        parts.append("the carrying machine moves without warning")
    if not parts:
        return ""
    return (
        f"{' and '.join(parts).capitalize()}: guards by ISO 12100, ISO 13849-1 and ISO 10218-2 "
        "are for a qualified person to lay out."
    )


def exotherm(_found: Hazards, facts: ProcessFacts) -> str:
    """Due where two components react."""
    if not facts.two_part:
        return ""
    mass = facts.reactive_mass
    if mass is not None and mass < EXOTHERM_MASS:
        size = f"{mass * 1000.0:.0f} g of mixed material in one place"
    elif mass is None:
        size = "A mixed mass of unstated size"
    else:
        size = f"{mass * 1000.0:.0f} g of mixed material, enough for smoke"
    return (
        f"{size} heats itself as it cures: measure the peak (in the manner of ASTM D2471), pour "
        "in layers, and spread purged material thinly in a vented metal tray."
    )


def light(_found: Hazards, facts: ProcessFacts) -> str:
    """Due where a lamp cures."""
    if not facts.light_cure:
        return ""
    return "Lamps harm eyes and skin and make ozone: enclosure and eyewear are to be laid out."


def hot(_found: Hazards, facts: ProcessFacts) -> str:
    """Due where parts burn skin."""
    if facts.temperature is None or facts.temperature < HOT_PART:
        return ""
    return f"Parts at {in_celsius(facts.temperature)} burn skin."


def inert_gas(_found: Hazards, facts: ProcessFacts) -> str:
    """Due where dry gas lies over the material."""
    if not facts.dry_gas:
        return ""
    return (
        "Dry nitrogen over the material displaces air without a smell: small rooms and opened "
        "vessels suffocate; supply and ventilation are for a qualified person to lay out."
    )


def runaway(_found: Hazards, facts: ProcessFacts) -> str:
    """Due for a one-part material that cures with heat."""
    if not facts.heat_cure:
        return ""
    return (
        "It cures with heat and gives off heat: a pail or a stopped warm head can run away; keep "
        "hardened remains small, and never warm a whole container beyond its data sheet."
    )
