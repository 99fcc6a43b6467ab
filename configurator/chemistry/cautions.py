"""Cautions that the constituents and the process call for; none of them clears anything.

Each caution names who decides: the safety data sheet, local codes, the employer's risk
assessment, licensed and qualified people. The tool never says that something may be done. A text
is empty where its caution is not due. What is not known counts as due wherever harm would follow
from leaving the caution out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.chemistry import process_cautions
from configurator.chemistry.process_cautions import (
    Hazards,
    ProcessFacts,
    hazards_of,
    in_bar,
    in_celsius,
)
from configurator.chemistry.share import MassFraction

FLAMMABLE_BELOW = 333.15
"""Flash points below this are flagged whatever the process temperature (common practice). [K]"""

FLASH_MARGIN = 15.0
"""A flash point within this of the process temperature is flagged (common practice). [K]"""

TRAINING_FROM = 0.001
"""Total monomeric diisocyanate from which Regulation (EU) 2020/1149 asks for training. [-]"""

OLD_DATA_SHEET = 3.0
"""A safety data sheet of this age needs a new one (common practice, no source). [years]"""

DEFER = (
    "The safety data sheet, local codes and the employer's risk assessment, "
    "by licensed and qualified people, decide."
)

MONOMERS = ("acrylate", "vinyl monomer", "anaerobic monomer", "cyanoacrylate")
PLATINUM = ("platinum catalyst", "hydrosilane")

Text = Callable[[Hazards, ProcessFacts], str]


def _named(titles: Iterable[str]) -> str:
    return ", ".join(titles)


def _data_sheet(found: Hazards, facts: ProcessFacts) -> str:
    age = facts.data_sheet_years
    if age is None:
        state = "Its age is not stated: no trial before a current one is at hand."
    elif age >= OLD_DATA_SHEET:
        state = f"It is {age:g} years old: no trial before a current one is at hand."
    else:
        state = "Sections 2, 5, 7 to 11, 14 and 15 are to be read before a trial."
    if not found.unlisted:
        return state
    return (
        f"{state} Not in the tables: {_named(found.unlisted)}. Their hazards are known to the safety "
        "data sheet alone; cautions here go by the nearest known name, if any."
    )


def _isocyanate(found: Hazards, _facts: ProcessFacts) -> str:
    titles = found.by_topic.get("isocyanate", ())
    if not titles:
        return ""
    share = found.isocyanate_high
    if share is None or share >= TRAINING_FROM:
        duty = (
            "Above 0.1 % of monomeric diisocyanate, Regulation (EU) 2020/1149 asks for "
            "documented training, renewed every five years."
        )
    else:
        duty = "The stated share lies below the 0.1 % of Regulation (EU) 2020/1149."
    return (
        f"{_named(titles)}: sensitisation, also through the skin, stays for life. {duty} "
        "Extraction, gloves and health surveillance are for the employer to settle."
    )


def _simple(tag: str, words: str) -> Text:
    def text(found: Hazards, _facts: ProcessFacts) -> str:
        titles = found.by_topic.get(tag, ())
        return f"{_named(titles)}: {words}" if titles else ""

    return text


def _flammable(found: Hazards, facts: ProcessFacts) -> str:
    """Due below 60 degC, near the process temperature, or where a flammable states no point."""
    points = dict(found.flash_points)
    if facts.flash_point is not None:
        points["the material"] = facts.flash_point
    warm = facts.temperature
    due = {
        title: point
        for title, point in points.items()
        if point < FLAMMABLE_BELOW or (warm is not None and point - FLASH_MARGIN <= warm)
    }
    unstated = [title for title in found.by_topic.get("flammable", ()) if title not in points]
    if not due and not unstated:
        return ""
    parts = [
        f"{title} flashes at {in_celsius(point)}"
        + (
            f", not {FLASH_MARGIN:g} K above the process at {in_celsius(warm)}"
            if warm is not None and point - FLASH_MARGIN <= warm
            else ""
        )
        for title, point in sorted(due.items(), key=lambda entry: (entry[1], entry[0]))
    ]
    parts += [f"{title} is flammable and states no flash point" for title in unstated]
    return (
        f"{'; '.join(parts)}. Zones (IEC 60079-10-1), rated motors and heaters, and bonding are "
        "for a qualified person to settle."
    )


def _peroxide(found: Hazards, _facts: ProcessFacts) -> str:
    titles = found.by_topic.get("peroxide", ())
    if not titles:
        return ""
    amines = found.by_class.get("tertiary amine", ())
    mixed = f" Never bring it together neat with {_named(amines)}." if amines else ""
    return (
        f"{_named(titles)}: decomposes with heat, iron, copper, cobalt or rust; no dead ends, "
        f"no trapped volume, relief on every closed length.{mixed}"
    )


def _aluminium_halogen(found: Hazards, facts: ProcessFacts) -> str:
    titles = found.by_class.get("halogenated solvent", ())
    if not titles or not facts.aluminium:
        return ""
    return (
        f"{_named(titles)} and aluminium in a closed part under pressure can run away: "
        "they must not meet."
    )


def _monomer(found: Hazards, _facts: ProcessFacts) -> str:
    titles = sorted({t for tag in MONOMERS for t in found.by_class.get(tag, ())})
    if not titles:
        return ""
    return (
        f"{_named(titles)}: may polymerise with heat and pressure if warmed, shone on, or kept from "
        "air by which its stabiliser works; no full closed lengths, no blanket of nitrogen."
    )


def _alcohol(found: Hazards, _facts: ProcessFacts) -> str:
    titles = found.by_class.get("alkoxysilane", ())
    if not titles:
        return ""
    return (
        f"{_named(titles)}: gives off methanol or ethanol as it cures, toxic or flammable vapour."
    )


def _own_head(found: Hazards, _facts: ProcessFacts) -> str:
    poisoned = sorted({t for tag in PLATINUM for t in found.by_class.get(tag, ())})
    if not poisoned:
        return ""
    return (
        f"{_named(poisoned)}: traces of amines, sulphur or tin leave it uncured. Keep a head, lines "
        "and tools for it alone: flushing does not free a used one."
    )


def _spheres(found: Hazards, facts: ProcessFacts) -> str:
    titles = found.by_class.get("hollow sphere", ())
    if not titles and facts.crush_pressure is None:
        return ""
    if facts.crush_pressure is None:
        limit = "Their strength is not stated: ask for it"
    else:
        limit = f"Keep every local pressure below {in_bar(facts.crush_pressure / 4.0)}, a quarter"
    return (
        f"Hollow spheres break under pressure. {limit}; weigh the density before and after the "
        "head, since a rise of 1 to 2 % shows breakage (common practice, no source)."
    )


TEXTS: tuple[tuple[str, Text], ...] = (
    ("safety data sheet", _data_sheet),
    ("isocyanate", _isocyanate),
    ("sensitiser", _simple("sensitiser", "may sensitise for life; keep it off skin and tools.")),
    ("corrosive", _simple("corrosive", "burns eyes and skin; eye wash within reach.")),
    ("toxic", _simple("toxic", "harms by breathing or through the skin; extraction is due.")),
    (
        "reproductive toxin",
        _simple("reproductive toxin", "may harm unborn children or fertility."),
    ),
    ("bonds skin", _simple("bonds skin", "bonds skin and eyelids within seconds.")),
    (
        "carcinogen",
        _simple("carcinogen", "may cause cancer: closed handling and a substitute first."),
    ),
    ("alcohol vapour", _alcohol),
    (
        "acetic vapour",
        _simple("acetic vapour", "gives off acetic acid as it cures, which irritates."),
    ),
    (
        "hydrogen",
        _simple(
            "releases hydrogen",
            "gives off hydrogen with bases, alcohols or metal dust: never close it in.",
        ),
    ),
    ("flammable", _flammable),
    ("peroxide", _peroxide),
    ("polymerisation", _monomer),
    ("runaway", process_cautions.runaway),
    (
        "oxidiser",
        _simple("oxidiser", "feeds fire: keep it from solvents, oil and rags."),
    ),
    ("aluminium and halogenated solvent", _aluminium_halogen),
    (
        "silica dust",
        _simple("silica dust", "dry or cured dust of crystalline silica harms the lungs."),
    ),
    (
        "combustible dust",
        _simple("combustible dust", "the dry powder burns or explodes as a cloud."),
    ),
    ("nitrogen", process_cautions.inert_gas),
    ("pressure", process_cautions.pressure),
    ("injection injury", process_cautions.injection),
    ("moving parts", process_cautions.moving),
    ("exotherm", process_cautions.exotherm),
    ("head of its own", _own_head),
    ("hollow spheres", _spheres),
    ("light", process_cautions.light),
    ("hot parts", process_cautions.hot),
)
"""Topics in the order in which they are shown."""


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
    raised = ((topic, text(found, facts)) for topic, text in TEXTS)
    return tuple(Caution(topic, f"{text} {DEFER}") for topic, text in raised if text)


HEAVY_HEAD = 20.0
"""A head above this is not lifted by one person (common practice, no source). [kg]"""


def heavy_lift(masses: Iterable[float | None]) -> tuple[Caution, ...]:
    """The caution for filled heads of which one is more than a person lifts; none elsewhere.

    Parameters
    ----------
    masses : iterable of float
        Of the heads in question; None where unknown. [kg]
    """
    heaviest = max((mass for mass in masses if mass is not None), default=0.0)
    if heaviest < HEAVY_HEAD:
        return ()
    text = f"A filled head of {heaviest:.0f} kg is lifted with a device."
    return (Caution("heavy lift", f"{text} {DEFER}"),)
