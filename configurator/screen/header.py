"""The columns of a material list, and rows as read: which columns mean something or only look so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from enum import Enum
from types import MappingProxyType
from typing import Any

from configurator.errors import Fault, InputError, did_you_mean, nearest, shown

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


MAX_CELL = 65_536
"""Longest cell. [characters]"""

MAX_LINE = 1_048_576
"""Longest line, and longest row where its cells have line breaks. [characters]"""

MAX_COLUMNS = 1000

_LONGEST_NAME = 150

ALIKE = 0.75
"""How alike two names are that one may be a slip of the other: 1 for the same. [-]"""

LONGEST_SLIP = 60
"""No name of a column, with its unit in brackets, is longer. [characters]"""

_BARE_KEYS = frozenset(each.path[-1] for each in BY_NAME.values() if each.path)

_LONGEST_LISTED = 12


@dataclass(frozen=True, slots=True)
class Row:
    """One data row."""

    number: int
    """1 for the first row below the header; empty rows do not count."""
    line: int
    """Of the file, where the row begins; the first is 1."""
    cells: Mapping[str, str]
    """Text of every column of the list, in its order."""
    values: Mapping[str, Any]
    """What was given by column or key: text, or any value of JSON."""
    fault: Fault | None = None
    """Why the row as such cannot be read."""


def place(name: str, line: int) -> str:
    """How a fault names a line of a list; a long path never hides the number."""
    return f"{shown(name, _LONGEST_NAME)}, line {line}"


@dataclass(frozen=True, slots=True)
class Header:
    """The columns of a list."""

    columns: tuple[str, ...]
    """All of them, in the order of the file."""
    known: Mapping[str, Column]
    """Those that are read, by name."""


MadeHeader = Callable[[Sequence[str], str], Header]
"""Makes a header of the names of columns, which differ, and of the place where they stand."""


def read_header(
    cells: Sequence[str], name: str, line: int, made: MadeHeader | None = None
) -> Header:
    """Make a header of the cells of the first row, of a list of materials or as `made` says.

    Names count as they stand, in lower case; blanks around them do not, nor do empty columns
    at the end. An empty one in between is called by its number, as `column 3`.

    Raises
    ------
    InputError
        If a name stands there twice, there are too many, or none is a column of a material.
    """
    columns = [" ".join(cell.split()) for cell in cells]
    while columns and not columns[-1]:
        columns.pop()
    columns = [column or f"column {at}" for at, column in enumerate(columns, start=1)]
    where = place(name, line)
    if len(columns) > MAX_COLUMNS:
        given = f"{len(columns)} columns"
        raise InputError([Fault(where, "header", given, f"at most {MAX_COLUMNS}")])
    twice = [column for column, count in Counter(columns).items() if count > 1]
    if twice:
        raise InputError(
            [Fault(where, "header", f"{column}, twice", "each column once") for column in twice]
        )
    return (made or header_of)(columns, where)


def header_of(columns: Iterable[str], where: str) -> Header:
    """Make a header of names that differ.

    Raises
    ------
    InputError
        If none of them is a column of a material.
    """
    named = tuple(columns)
    known = {column: BY_NAME[column] for column in named if column in BY_NAME}
    if not known:
        near = next(filter(None, map(slip, named)), "")
        listed = ", ".join(named[:_LONGEST_LISTED])
        accepted = "a header that names at least one column of a material: name, trigger, "
        accepted += f"viscosity, at, ..., or {FILE}"
        raise InputError([Fault(where, "header", listed or "nothing", accepted, near)])
    return Header(named, known)


def slip(column: str) -> str:
    """Return which column a name may have meant, as a question; empty if it is one, or unlike all.

    Examples
    --------
    >>> slip("densty"), slip("Viscosity [Pa*s]"), slip("d99")
    ('did you mean density?', 'did you mean viscosity?', 'did you mean filler_d99?')
    >>> slip("density"), slip("order number")
    ('', '')
    """
    if column in BY_NAME or column in TOP_KEYS or len(column) > LONGEST_SLIP:
        return ""
    folded = column.casefold().partition("[")[0].partition("(")[0].strip()
    folded = folded.replace(" ", "_").replace("-", "_")
    if folded in _BARE_KEYS and folded not in BY_NAME:
        ends = (each.name for each in BY_NAME.values() if each.path and each.path[-1] == folded)
        return f"did you mean {next(ends)}?"
    near = {name: SequenceMatcher(None, folded, name).ratio() for name in nearest(folded, BY_NAME)}
    best = max([ALIKE, *near.values()])
    return did_you_mean(folded, [name for name, likeness in near.items() if likeness >= best])


def warnings_on(columns: Iterable[str], name: str) -> tuple[str, ...]:
    """Return one line for each column that is not read but looks as if it should be."""
    return tuple(
        f"{shown(name, 200)}: column '{shown(column)}' is kept but not read; {near}"
        for column in columns
        if (near := slip(column))
    )
