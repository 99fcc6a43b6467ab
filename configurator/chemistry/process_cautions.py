"""Cautions that the process and the build call for, whatever the constituents are.

A text is empty where its caution is not due.
"""

from __future__ import annotations

from configurator.chemistry.hazards import Hazards, ProcessFacts

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
