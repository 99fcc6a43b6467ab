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
from configurator.chemistry.hazards import Hazards, ProcessFacts, hazards_of
from configurator.chemistry.share import MassFraction

ZERO_CELSIUS = 273.15

FLAMMABLE_BELOW = 333.15
"""Flash points below this are flagged whatever the process temperature (common practice). [K]"""

FLASH_MARGIN = 15.0
"""A flash point within this of the process temperature is flagged (common practice). [K]"""

VESSEL_PRESSURE = 1e5
"""Gauge pressure from which a vessel or cartridge is worth a caution (common practice). [Pa]"""

INJECTION_PRESSURE = 4.1e6
"""About 600 psi, the low end that a public page gives for injection injury. [Pa]"""

TRAINING_FROM = 0.001
"""Total monomeric diisocyanate from which Regulation (EU) 2020/1149 asks for training. [-]"""

EXOTHERM_MASS = 0.1
"""Mixed reactive mass in one place that calls for a check of the peak (common practice). [kg]"""

HOT_PART = 333.15
"""Touching a part above this burns (common practice, no source). [K]"""

HEAVY_HEAD = 20.0
"""A head above this is not lifted by one person (common practice, no source). [kg]"""

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


def _celsius(kelvin: float) -> str:
    return f"{kelvin - ZERO_CELSIUS:.0f} degC"


def _bar(pascal: float) -> str:
    return f"{pascal / 1e5:.3g} bar"


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
        f"{title} flashes at {_celsius(point)}"
        + (
            f", not {FLASH_MARGIN:g} K above the process at {_celsius(warm)}"
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


def _pressure(_found: Hazards, facts: ProcessFacts) -> str:
    highest = max(facts.pressure_max or 0.0, facts.feed_pressure or 0.0)
    if highest < VESSEL_PRESSURE and facts.pressure_max is not None:
        return ""
    size = f"Up to {_bar(highest)}" if highest > 0.0 else "Pressure of unstated height"
    return (
        f"{size}: lines between head and valve stay under pressure after a stop; measure, dump "
        "and lock out before opening (ISO 14118, ISO 4414). A pot or pail may be a pressure "
        "vessel by local law."
    )


def _injection(_found: Hazards, facts: ProcessFacts) -> str:
    near = "Never put a finger over a tip"
    if facts.pressure_max is not None and facts.pressure_max >= INJECTION_PRESSURE:
        near = f"{_bar(facts.pressure_max)} injects through skin: never put a finger over a tip"
    return (
        f"{near}. A small wound that does not hurt may be an injection injury: it is an "
        "emergency for a surgeon, with the safety data sheet."
    )


def _moving(_found: Hazards, facts: ProcessFacts) -> str:
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


def _monomer(found: Hazards, _facts: ProcessFacts) -> str:
    titles = sorted({t for tag in MONOMERS for t in found.by_class.get(tag, ())})
    if not titles:
        return ""
    return (
        f"{_named(titles)}: may polymerise with heat and pressure if warmed, shone on, or kept from "
        "air by which its stabiliser works; no full closed lengths, no blanket of nitrogen."
    )


def _runaway(_found: Hazards, facts: ProcessFacts) -> str:
    if not facts.heat_cure:
        return ""
    return (
        "It cures with heat and gives off heat: a pail or a stopped warm head can run away; keep "
        "hardened remains small, and never warm a whole container beyond its data sheet."
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


def _inert_gas(_found: Hazards, facts: ProcessFacts) -> str:
    if not facts.dry_gas:
        return ""
    return (
        "Dry nitrogen over the material displaces air without a smell: small rooms and opened "
        "vessels suffocate; supply and ventilation are for a qualified person to lay out."
    )


def _exotherm(_found: Hazards, facts: ProcessFacts) -> str:
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


def _spheres(found: Hazards, facts: ProcessFacts) -> str:
    titles = found.by_class.get("hollow sphere", ())
    if not titles and facts.crush_pressure is None:
        return ""
    if facts.crush_pressure is None:
        limit = "Their strength is not stated: ask for it"
    else:
        limit = f"Keep every local pressure below {_bar(facts.crush_pressure / 4.0)}, a quarter"
    return (
        f"Hollow spheres break under pressure. {limit}; weigh the density before and after the "
        "head, since a rise of 1 to 2 % shows breakage (common practice, no source)."
    )


def _light(_found: Hazards, facts: ProcessFacts) -> str:
    if not facts.light_cure:
        return ""
    return "Lamps harm eyes and skin and make ozone: enclosure and eyewear are to be laid out."


def _hot(_found: Hazards, facts: ProcessFacts) -> str:
    if facts.temperature is None or facts.temperature < HOT_PART:
        return ""
    return f"Parts at {_celsius(facts.temperature)} burn skin."


def _heavy(_found: Hazards, facts: ProcessFacts) -> str:
    if facts.head_mass is None or facts.head_mass < HEAVY_HEAD:
        return ""
    return f"The filled head weighs {facts.head_mass:.0f} kg: lift it with a device."


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
    ("runaway", _runaway),
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
    ("nitrogen", _inert_gas),
    ("pressure", _pressure),
    ("injection injury", _injection),
    ("moving parts", _moving),
    ("exotherm", _exotherm),
    ("head of its own", _own_head),
    ("hollow spheres", _spheres),
    ("light", _light),
    ("hot parts", _hot),
    ("heavy lift", _heavy),
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
