"""What a material file says, what had to be estimated, what is missing, and what it touches."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import SLOTS, wetted_codes
from configurator.chemistry.contact import Contact, judge_contact
from configurator.chemistry.evidence import Evidence
from configurator.chemistry.lookup import grade_rank
from configurator.chemistry.share import shares_of, unknown_constituent
from configurator.chemistry.solids import filler_at_odds, with_fillers
from configurator.errors import InputError
from configurator.request.constituents import Share
from configurator.request.intake import Gap, fill_gaps
from configurator.request.material import Material, component_key
from configurator.request.process import Process
from configurator.rules.chemistry import place_in
from configurator.rules.side import product_name
from configurator.units.display import show_quantity
from configurator.units.path import leaves
from configurator.units.quantity import Quantity

ROOM = 296.15
"""Temperature of the contacts where no process states one, 23 degC. [K]"""

_ABOUT_THE_FILE = frozenset({"schema_version", "name", "title", "note", "invented", "basis"})


@dataclass(frozen=True, slots=True)
class Known:
    """One thing that the file states."""

    field: str
    """Path in the file."""
    text: str
    """What it says, a quantity with its basis."""
    quantity: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Stranger:
    """A constituent that the tables do not hold, and what may have been meant."""

    field: str
    name: str
    nearest: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Touch:
    """One wetted material against one component."""

    component: str
    """`component`, `a` or `b`."""
    slots: tuple[str, ...]
    """Slots with a part that is made of it."""
    compound: str
    """Part that a finding of the shop names; empty where all of that material are alike."""
    contact: Contact


@dataclass(frozen=True)
class MaterialCheck:
    """All that can be said of a material before anything is configured."""

    material: Material
    temperature: float
    """Highest temperature of the contacts. [K]"""
    known: tuple[Known, ...]
    """What the file states."""
    estimated: tuple[Gap, ...]
    missing: tuple[Gap, ...]
    """Gaps with a bounded estimate in them, and gaps without."""
    strangers: tuple[Stranger, ...]
    """Constituents that nobody has in a table."""
    touches: tuple[Touch, ...]
    """Every wetted material of the catalog, the worst contact first."""


def check_material(
    material: Material,
    catalog: Catalog,
    *,
    temperature: float = ROOM,
    evidence: Evidence | None = None,
) -> MaterialCheck:
    """Say what is known of a material, estimated and missing, and how it stands each contact.

    Nothing in it depends on any other process figure than the highest temperature of the contacts.
    [K]

    Raises
    ------
    InputError
        If the filler share by volume contradicts the constituents and densities.
    """
    if faults := list(filler_at_odds(material, catalog.substances)):
        raise InputError(faults)
    gaps = fill_gaps(with_fillers(material, catalog.substances)).notes
    shop = evidence or Evidence()
    touches = sorted(
        _touches(material, catalog, temperature, shop),
        key=lambda touch: (
            touch.component,
            -grade_rank(touch.contact.grade),
            touch.contact.material,
        ),
    )
    return MaterialCheck(
        material=material,
        temperature=temperature,
        known=tuple(_known(material)),
        estimated=tuple(gap for gap in gaps if gap.basis is not None),
        missing=tuple(gap for gap in gaps if gap.basis is None),
        strangers=tuple(_strangers(material, catalog)),
        touches=tuple(touches),
    )


def _known(material: Material) -> Iterator[Known]:
    for path, value in leaves(material, whole=(Share,)):
        if path in _ABOUT_THE_FILE:
            continue
        if isinstance(value, Quantity):
            yield Known(path, show_quantity(value), value)
        elif isinstance(value, Share):
            amount = value.mass_fraction
            text = value.name if amount is None else f"{value.name}, {show_quantity(amount)}"
            yield Known(path, text, amount)
        elif isinstance(value, tuple):
            yield from (Known(f"{path}[{at}]", word) for at, word in enumerate(value, start=1))
        elif value is True or (value and isinstance(value, str)):
            yield Known(path, "yes" if value is True else value)


def _strangers(material: Material, catalog: Catalog) -> Iterator[Stranger]:
    for prefix, component in material.components:
        key = component_key(prefix)
        for place, share in enumerate(component.constituents, start=1):
            if catalog.substances.find(share.name, share.numbers) is None:
                nearest = unknown_constituent(share.name, catalog.substances)
                yield Stranger(f"{key}.constituents[{place}]", share.name, nearest)


def _touches(
    material: Material, catalog: Catalog, temperature: float, evidence: Evidence
) -> Iterator[Touch]:
    slots = [slot for slot in SLOTS if slot != "mixing" or material.two_part]
    made: dict[str, dict[str, tuple[str, ...]]] = {}
    for slot in slots:
        for part in catalog.slot(slot):
            for _, code in wetted_codes(part):
                compound = part.name if evidence.names_compounds(code) else ""
                found = made.setdefault(code, {})
                found[compound] = tuple(dict.fromkeys((*found.get(compound, ()), slot)))
    for prefix, component in material.components:
        key = component_key(prefix)
        for code, compounds in made.items():
            for compound, slots_of in compounds.items():
                contacts = [
                    judge_contact(
                        code,
                        shares_of(component),
                        temperature=temperature,
                        substances=catalog.substances,
                        evidence=evidence,
                        product=product_name(material, prefix),
                        grade_name=compound,
                        place=place,
                    )
                    for place in dict.fromkeys(map(place_in, slots_of))
                ]
                # One line for all its slots: it must not be told better than where it stands least.
                worst = max(contacts, key=lambda contact: grade_rank(contact.grade))
                yield Touch(key, slots_of, compound, worst)


def partner_of(material: str, processes: Sequence[Process]) -> Process | None:
    """Return the one process that a material is meant for, or None if that is not obvious.

    It is the only one whose note says that it goes with the material; else the only one whose name
    begins alike and whose note claims no other.
    """
    claims = {process.name: _claim(process) for process in processes}
    by_name = {process.name: process for process in processes}
    claimed = [name for name, claim in claims.items() if claim == material]
    alike = [
        name
        for name, claim in claims.items()
        if not claim and name.partition("-")[0] == material.partition("-")[0]
    ]
    found = claimed or alike
    return by_name[found[0]] if len(found) == 1 else None


def _claim(process: Process) -> str:
    found = re.search(r"\bGoes with ([a-z0-9][a-z0-9+-]*)", process.note)
    return found[1] if found else ""
