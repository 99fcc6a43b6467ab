"""What the constituents of a material and its process bring to the cautions."""

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
