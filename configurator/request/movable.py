"""What of a request can be moved, by whom, and how it is found out: declared on the fields.

Methods and hours are common practice, no source: figures to put tests in order by, not to plan
a day with.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import BaseModel

from configurator.units.dimension import Kind
from configurator.units.path import value_at

CUSTOMER = "the customer"
MAKER = "the maker of the material"
US = "whoever picks the parts"


@dataclass(frozen=True, slots=True)
class Effort:
    """What a test takes."""

    method: str
    hours: float
    """Work at the bench. [h]"""
    wait: float
    """From the start to the result. [h]"""


RHEOMETER = Effort("flow curve on a rotational rheometer", 2.0, 4.0)
TWO_TEMPERATURES = Effort("viscosity at two temperatures", 2.0, 4.0)
SIEVING = Effort("laser diffraction or sieving", 1.0, 24.0)
SAFETY_SHEET = Effort("safety data sheet", 0.25, 1.0)
POT_LIFE_TEST = Effort("pot life at the stated temperature", 1.5, 4.0)
QUESTION = Effort("a question to the maker", 0.25, 48.0)
SOAK = Effort("soaking the part for 168 h", 2.0, 170.0)
DOT_ON_PART = Effort("a dot on the part, seen from the side", 0.5, 1.0)
TAKT = Effort("timing the line", 0.25, 1.0)
USUAL = Effort("a test of its own", 2.0, 24.0)
"""Where no usual test is known here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Movable:
    """Stands in the annotation of a field of a material or process."""

    title: str = ""
    """What it is in words; those of its key where empty."""
    granted: bool = True
    """True if somebody could grant another value; False if it can only be found out."""
    along: tuple[str, ...] = ()
    """Fields beside it that move with it, and not by themselves as long as it is stated."""
    from_nothing: bool = False
    """True if it may also be raised where none is stated."""
    ends: tuple[Kind, float, float] | None = None
    """What is believable at all, in SI, for what nothing else bounds."""
    words: tuple[str, ...] = ()
    """The same for what is no quantity."""
    wide: str = ""
    """What it is called where a stated range of it is worth narrowing; empty where it is not."""
    test: Effort = USUAL
    """What finds it out."""
    unread: str = ""
    """What it is for where no rule reads it; else empty."""


MOVES = Movable()
"""Moved by factors, named by its key, found out by no usual test."""


def grants(field: str) -> str:
    """Who could change a field."""
    root = field.partition(".")[0].partition(" ")[0]
    return {"process": CUSTOMER, "pick": US, "without": US}.get(root, MAKER)


def title_of(field: str, movable: Movable = MOVES) -> str:
    """Return a field in words, with the component of a two-part material."""
    keys = field.split(".")
    words = movable.title or keys[-1].removesuffix("_max").replace("_", " ")
    return words + (f" of {keys[0]}" if keys[0] in ("a", "b") else "")


def beside(path: str, key: str) -> str:
    """The path of a field that stands beside another."""
    return ".".join([*path.split(".")[:-1], key])


def movables(model: BaseModel, root: str) -> Iterator[tuple[str, Movable, object]]:
    """Yield path, declaration and value of every field below a model that can be moved."""
    for key, info in type(model).model_fields.items():
        field, value = ".".join(filter(None, (root, key))), getattr(model, key)
        for declared in info.metadata:
            if isinstance(declared, Movable):
                yield field, declared, value
        if isinstance(value, BaseModel):
            yield from movables(value, field)


def movable_at(model: object, path: str) -> Movable:
    """Return how a field with a path is declared; `MOVES` where it is not."""
    owner, _, key = path.rpartition(".")
    info = getattr(type(value_at(model, owner)), "model_fields", {}).get(key)
    found = (each for each in (info.metadata if info else ()) if isinstance(each, Movable))
    return next(found, MOVES)
