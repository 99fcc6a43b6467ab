"""The columns of a material list: one table that reading, checks and documents follow.

A list has a flat header; each column stands for one key of a material file. The columns of a
component exist three times: as they are for a one-part material, and with `a_` and `b_` in front
for the two components of a two-part one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from types import MappingProxyType

FILE = "file"
"""The column that names a material file in place of all others."""

SIDES = (("", "component"), ("a_", "a"), ("b_", "b"))
"""What stands in front of a component's column, and the table of the file it leads to."""

TABLES = ("component", "a", "b", "mix")
"""Tables of a material file; an object of JSON with one of these keys is nested like the file."""

TOP_KEYS = ("schema", *TABLES)
"""Keys at the top of a material file that are no columns."""


class Form(Enum):
    """How a cell is written."""

    TEXT = "text"
    YES = "yes or no"
    QUANTITY = "a quantity with its unit"
    WORDS = "words, separated by ;"
    SHARES = "names with shares, separated by ;"
    POINTS = "points, separated by ;"
    RATIO = "two numbers with : between them"
    PATH = "a path or a name"


class ColumnOf(Enum):
    """What a column belongs to."""

    MATERIAL = "the material"
    COMPONENT = "a component"
    MIX = "the mix of two components"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a list."""

    name: str
    """As it stands in the header."""
    path: tuple[str, ...]
    """Keys of the material file from its top; for a component of the table below, from the
    component on. Empty for `file`."""
    part: ColumnOf
    """What it belongs to."""
    form: Form
    """How a cell is written."""
    example: str
    """A cell that is accepted."""
    meaning: str
    """A few words for the documents."""


def _material(name: str, form: Form, example: str, meaning: str) -> Column:
    return Column(name, () if name == FILE else (name,), ColumnOf.MATERIAL, form, example, meaning)


def _of_flow(name: str, example: str, meaning: str, form: Form = Form.QUANTITY) -> Column:
    return _component(name, f"flow.{name}", form, example, meaning)


def _of_filler(key: str, example: str, meaning: str, form: Form = Form.QUANTITY) -> Column:
    return _component(f"filler_{key}", f"filler.{key}", form, example, meaning)


def _component(name: str, path: str, form: Form, example: str, meaning: str) -> Column:
    return Column(name, tuple(path.split(".")), ColumnOf.COMPONENT, form, example, meaning)


def _mix(name: str, path: str, example: str, meaning: str, form: Form = Form.QUANTITY) -> Column:
    return Column(name, ("mix", *path.split(".")), ColumnOf.MIX, form, example, meaning)


COLUMNS: tuple[Column, ...] = (
    _material(
        FILE,
        Form.PATH,
        "own/hatch-sealant.toml",
        "a material file, from the list's folder on, or a shipped example; such a row fills no "
        "other column of a material",
    ),
    _material("name", Form.TEXT, "Hatch sealant 40", "free text; a short name is made of it"),
    _material("title", Form.TEXT, "Sealant for the service hatch", "one line; else the name"),
    _material("note", Form.TEXT, "Data sheet of May", "a remark"),
    _material("invented", Form.YES, "yes", "marks demonstration data"),
    _material("basis", Form.TEXT, "measured", "what values without a basis of their own rest on"),
    _material("safety_data_sheet", Form.TEXT, "2026-03-01", "the day it was issued or revised"),
    _material("trigger", Form.TEXT, "moisture", "what cures it, as in a file; needed"),
    _of_flow("model", "power law", "flow model; none for a single reading", Form.TEXT),
    _of_flow("at", "23 degC", "temperature of the flow figures; needed"),
    _of_flow("viscosity", "20 Pa*s +/- 15 %", "a reading, or a Newtonian viscosity"),
    _of_flow("shear_rate", "10 1/s", "of the reading"),
    _of_flow("yield_stress", "250 Pa", "stress below which it stands still"),
    _of_flow("consistency", "160 Pa*s^n", "factor of the power law"),
    _of_flow("index", "0.45", "exponent of the power law"),
    _of_flow("plastic_viscosity", "12 Pa*s", "Bingham"),
    _of_flow("casson_viscosity", "8 Pa*s", "Casson"),
    _of_flow("zero_viscosity", "400 Pa*s", "Carreau, at rest"),
    _of_flow("infinite_viscosity", "0.5 Pa*s", "Carreau, at high shear"),
    _of_flow("relaxation_time", "2 s", "Carreau"),
    _of_flow(
        "points",
        "1 1/s 300 Pa*s; 10 1/s 580 Pa; 100 1/s 1300 Pa",
        "a measured curve: shear rate, then viscosity or stress",
        Form.POINTS,
    ),
    _of_flow("thixotropic", "yes", "the sheet calls it a paste or thixotropic", Form.YES),
    _of_flow("activation_energy", "28 kJ/mol", "sensitivity to temperature"),
    _component(
        "warm_viscosity", "flow.warm.viscosity", Form.QUANTITY, "6 Pa*s", "a second one instead"
    ),
    _component("warm_at", "flow.warm.at", Form.QUANTITY, "40 degC", "and its temperature"),
    _of_flow("batch_spread", "10 %", "of the stress from batch to batch, either way"),
    _component("density", "density", Form.QUANTITY, "1.46 g/cm^3", "of the component"),
    _component(
        "filler", "filler.name", Form.TEXT, "calcium carbonate", "what the particles are made of"
    ),
    _of_filler("volume_fraction", "20..24 %", "by volume, not by mass"),
    _of_filler("d50", "4 um", "median particle"),
    _of_filler("d99", "12 um", "largest particle"),
    _of_filler("mohs", "3 Mohs", "hardness"),
    _of_filler("shape", "irregular", "of the particles", Form.TEXT),
    _of_filler("hollow", "no", "hollow spheres", Form.YES),
    _of_filler("crush_pressure", "25 bar", "of hollow spheres"),
    _component(
        "constituents",
        "constituents",
        Form.SHARES,
        "MDI prepolymer 25..35 %; xylene 5 %; undisclosed polymer",
        "substances, each with its share by mass if known",
    ),
    _component("complete", "complete", Form.YES, "no", "the constituents named are all there are"),
    _component("flash_point", "flash_point", Form.QUANTITY, "95 degC", "of the component"),
    _component("vapour_pressure", "vapour_pressure", Form.QUANTITY, "40 mbar", "of the component"),
    _component("bulk_modulus", "bulk_modulus", Form.QUANTITY, "1.5 GPa", "compressibility"),
    _component("surface_tension", "surface_tension", Form.QUANTITY, "32 mN/m", "against air"),
    _component(
        "sensitive_to", "sensitive_to", Form.WORDS, "moisture; shear", "what it does not stand"
    ),
    _component(
        "shear_rate_max", "shear_rate_max", Form.QUANTITY, "500 1/s", "most shear it stands"
    ),
    _component(
        "open_time", "open_time", Form.QUANTITY, "8 h", "how long an opened container may be used"
    ),
    _mix("ratio", "ratio", "10:1", "parts of A to parts of B", Form.RATIO),
    _mix("ratio_by", "by", "volume", "`volume` or `mass`", Form.TEXT),
    _mix("ratio_tolerance", "ratio_tolerance", "5 %", "how far the ratio may be off"),
    _mix("pot_life", "pot_life.value", "40 min", "how long the mix may be used"),
    _mix("pot_life_at", "pot_life.at", "23 degC", "and its temperature"),
    _mix("pot_life_definition", "pot_life.definition", "gel time", "what was meant", Form.TEXT),
    _mix("pot_life_mass", "pot_life.mass", "100 g", "batch it was measured on"),
    _mix("mixed_viscosity", "mixed_viscosity", "60 Pa*s", "just after mixing"),
)
"""Every column, those of a component once and without a side in front."""


def _spread() -> dict[str, Column]:
    """Every column under its name in a header, with its whole path."""
    known = {each.name: each for each in COLUMNS if each.part is not ColumnOf.COMPONENT}
    for front, table in SIDES:
        for each in COLUMNS:
            if each.part is ColumnOf.COMPONENT:
                name = f"{front}{each.name}"
                known[name] = replace(each, name=name, path=(table, *each.path))
    return known


BY_NAME = MappingProxyType(_spread())
"""Every column that a header may have, with its path from the top of a material file."""

BY_PATH = MappingProxyType({".".join(each.path): each for each in BY_NAME.values() if each.path})
"""The same by the dotted path of its key."""
