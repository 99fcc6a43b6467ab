"""Gaps of a catalog found the plain way: every hypothetical part added by itself, and judged."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from every_combination import Product
from hypothesis import strategies as st
from random_worlds import request_changes, two_part_worlds, worlds
from screened import Entry
from small_catalog import SMALL
from small_world import World
from two_part_world import TWO_PART

from configurator.catalog.catalog import Catalog
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.finding import State
from configurator.screen.gaps import Gaps
from configurator.screen.hypothetical.every import hypothetical_parts
from configurator.screen.hypothetical.part import with_added
from configurator.screen.verdict import verdict_on
from configurator.workshop.workshop import Workshop


@dataclass(frozen=True)
class Lack:
    """What the small catalog lacks for a wish, and a part that would fill it.

    Attributes
    ----------
    parts : dict
        Tables of slots in place of the small world's.
    wish : dict
        Changes of the request.
    filled_by : tuple of str
        Slot and name of a part that opens the small world's material then.
    """

    parts: dict[str, list[dict[str, Any]]]
    wish: dict[str, Any]
    filled_by: tuple[str, str]


LACKS: dict[str, Lack] = {
    "interface": Lack(
        {}, {"process.control": ["step and direction"]}, ("drive", "motor+interfaces")
    ),
    "moisture": Lack(
        {"seal": [{"keeps_moisture_out": False}]},
        {"material.trigger": "moisture", "component.sensitive_to": ["moisture"]},
        ("seal", "lip+dry"),
    ),
    "viscosity": Lack(
        {"feed": [{"viscosity_max": "9 Pa*s"}, {"name": "syringe", "viscosity_max": "6 Pa*s"}]},
        {},
        ("feed", "cartridge+viscosity-13.5pas"),
    ),
    "flow": Lack(
        {},
        {"process.deposit": {"kind": "flow", "flow": "200 mL/min"}},
        ("cavity", "one-ml+2mlrev"),
    ),
    "reach": Lack(
        {"outlet": [{}, {"name": "long", "length": "15 mm"}]},
        {"process.reach": "20 mm"},
        ("outlet", "long+long-22.5mm"),
    ),
    "size": Lack(
        {"cavity": [{"name": "tall-ml", "size": "tall"}], "stator": [{"sizes": ["small"]}]},
        {},
        ("stator", "soft+for-tall"),
    ),
    "seal speed": Lack(
        {"seal": [{"speed_max": "50 rpm"}, {"name": "slow", "speed_max": "40 rpm"}]},
        {},
        ("seal", "lip+speed-62.4rpm"),
    ),
}
"""Wishes that the small world does not meet and one step would."""


def lacking(*lacks: Lack) -> World:
    """The small world with some lacks."""
    world = SMALL
    for lack in lacks:
        world = world.with_parts(lack.parts).having(lack.wish)
    return world


def of_material(changes: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in changes.items() if not key.startswith("process.")}


VISCOSITIES = ["10 Pa*s", "10 Pa*s +/- 20 %", "7 Pa*s", "14 Pa*s", "40 Pa*s", "50 mPa*s"]


@st.composite
def listed_worlds(draw: st.DrawFn, *, two_part: bool = False) -> tuple[World, list[Material]]:
    """A world that lacks something, and a few materials for it."""
    lacks = draw(st.lists(st.sampled_from(list(LACKS.values())), max_size=2, unique_by=id))
    if two_part:
        return (world := draw(two_part_lacking(lacks))), [world.question.material]
    world = draw(worlds(picking=False)) if not lacks else lacking(*lacks)
    materials = [world.question.material]
    for viscosity in draw(st.lists(st.sampled_from(VISCOSITIES), max_size=2, unique=True)):
        flow = {"model": "newtonian", "viscosity": viscosity, "at": "20 degC"}
        materials.append(world.having({"component.flow": flow}).question.material)
    if draw(st.booleans()):
        changes = of_material(draw(request_changes()))
        materials.append(world.having(changes).question.material)
    return world, materials


@st.composite
def two_part_lacking(draw: st.DrawFn, lacks: Sequence[Lack]) -> World:
    """A two-part world that lacks something on one side or both, or any of them."""
    if not lacks:
        return draw(two_part_worlds()).asking()
    world = TWO_PART
    for lack in lacks:
        wish = {
            key: value for key, value in lack.wish.items() if not key.startswith(("mat", "comp"))
        }
        world = world.with_parts(lack.parts).having(wish)
    return world


def entries(materials: Iterable[Material]) -> list[Entry]:
    """A list of materials, each under a name of its own."""
    return [
        Entry(number, number + 1, {}, material.model_copy(update={"name": f"m{number}"}))
        for number, material in enumerate(materials, start=1)
    ]


def opened_one_by_one(
    material: Material,
    process: Process,
    catalog: Catalog,
    *,
    strict: bool = False,
    surely: Iterable[tuple[str, str]] = (),
    one_in: int = 1,
) -> dict[tuple[str, str], str]:
    """Parts that open a material, with the state of its best build, each added by itself.

    Some are looked at surely, of the others one in so many.
    """
    found, sure = {}, set(surely)
    for number, each in enumerate(hypothetical_parts(catalog)):
        if number % one_in and (each.slot, each.name) not in sure:
            continue
        verdict = verdict_on(material, process, Workshop(with_added(catalog, each.parts)))
        if verdict.fits or (verdict.builds and not strict):
            found[each.slot, each.name] = verdict.state
    return found


def opened_as_told(gaps: Gaps, number: int) -> dict[tuple[str, str], str]:
    """The same as the search tells it, for one row."""
    return {
        (each.part.slot, each.part.name): state.words
        for each in gaps.ranked
        for place, state in each.opened
        if gaps.unserved[place].number == number
    }


def used(world: World, materials: Sequence[Material]) -> set[tuple[str, str]]:
    """Parts in a build of one of some materials, by every combination of all parts."""
    found = set()
    for material in materials:
        product = Product(world, Question(material, world.question.process))
        built = product.rows[product.meets(product.every_member())]
        for at, slot in enumerate(product.slots):
            names = product.names[slot]
            found |= {(slot.rpartition(".")[2], names[place]) for place in set(built[:, at])}
    return found


def idle_parts(world: World, materials: Sequence[Material]) -> dict[str, tuple[str, ...]]:
    """Parts in no build, as the search ought to tell them."""
    busy = used(world, materials)
    two_part = any(material.two_part for material in materials)
    idle = {
        slot: tuple(sorted(p.name for p in parts if (slot, p.name) not in busy))
        for slot, parts in world.catalog.parts.items()
        if slot != "mixing" or two_part
    }
    return {slot: names for slot, names in idle.items() if names}


ANY = State.UNPROVEN
