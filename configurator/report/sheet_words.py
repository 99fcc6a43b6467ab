"""The fixed sentences of a sheet, which a customer may replace, and its pages of HTML."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from configurator.errors import Fault, InputError, UsageError, did_you_mean
from configurator.reading import read_toml

if TYPE_CHECKING:
    from jinja2 import Environment

ENGLISH = Path(__file__).resolve().parent / "templates" / "sheet_words.toml"

_PLACE = re.compile(r"\{([a-z_]+|[1-9])\}")

_SIDE = re.compile(r"^([ab]: )(.*)$", re.DOTALL)
"""How a sentence about one of two sides begins."""


@dataclass(frozen=True)
class SheetWords:
    """Sentences by id; called with an id and what its places hold, it gives the text."""

    texts: Mapping[str, str]
    engine: Mapping[str, str] = field(default_factory=dict)
    """What the engine says, in English with places, and the same in the language of the sheet."""

    def __call__(self, key: str, **values: object) -> str:
        """Return a sentence with its places filled."""
        return _PLACE.sub(lambda place: self.told(str(values[place[1]])), self.texts[key])

    def told(self, text: str) -> str:
        """Return what the engine says in the language of the sheet, where the file has it.

        A sentence with places matches whatever stands in them, and that is told in turn.
        """
        if not self.engine:
            return text
        if text in self.engine:
            return self.engine[text]
        if found := _SIDE.match(text):
            return found[1] + self.told(found[2])
        for pattern, wanted in self._patterns:
            if held := pattern.fullmatch(text):
                places = held.groupdict()
                return _PLACE.sub(
                    lambda place, places=places: self.told(places[f"p{place[1]}"]),  # type: ignore[misc]
                    wanted,
                )
        return text

    @cached_property
    def _patterns(self) -> list[tuple[re.Pattern[str], str]]:
        found = []
        for english_text, wanted in self.engine.items():
            # Every other piece is the name of a place.
            pieces = _PLACE.split(english_text)
            parts = [
                f"(?P<p{piece}>.+?)" if at % 2 else re.escape(piece)
                for at, piece in enumerate(pieces)
            ]
            if len(parts) > 1:
                found.append((re.compile("".join(parts), re.DOTALL), wanted))
        return found


@cache
def english() -> SheetWords:
    """The sentences as they are shipped."""
    return SheetWords(read_toml(ENGLISH)[0])


def load_words(path: Path) -> SheetWords:
    """Read a language file: `id = "sentence"`, each with the places of the English one.

    Its table `[engine]` holds what the engine says, `"English" = "translation"`, places in both.
    What the file leaves out stays English.

    Raises
    ------
    InputError
        If it cannot be read, names an id that there is not, or loses or adds a place.
    """
    shipped = english().texts
    read, _ = read_toml(path)
    engine = read.pop("engine", {})
    if not isinstance(engine, dict):
        raise InputError([Fault(str(path), "engine", type(engine).__name__, "a table")])
    faults = [_fault(str(path), key, text, shipped) for key, text in read.items()]
    faults += [_fault(str(path), key, text, {key: key}) for key, text in engine.items()]
    faults += [
        Fault(str(path), key, "a place twice", "each place once")
        for key in engine
        if len(set(_PLACE.findall(key))) < len(_PLACE.findall(key))
    ]
    if found := [fault for fault in faults if fault is not None]:
        raise InputError(found)
    return SheetWords({**shipped, **read}, engine)


def _fault(where: str, key: str, text: Any, shipped: Mapping[str, str]) -> Fault | None:
    if key not in shipped:
        return Fault(
            where, key, "an unknown id", "ids of the shipped table", did_you_mean(key, shipped)
        )
    if not isinstance(text, str):
        return Fault(where, key, type(text).__name__, f'a sentence, as "{shipped[key]}"')
    places = sorted(set(_PLACE.findall(shipped[key])))
    if sorted(set(_PLACE.findall(text))) != places:
        named = ", ".join(f"{{{place}}}" for place in places) or "none"
        return Fault(where, key, text, f"a sentence with these places: {named}")
    return None


TEMPLATES = Path(__file__).resolve().parent / "templates"

INSTALL = "pip install 'headwright[{extra}]'"


def missing_library(library: str, extra: str) -> UsageError:
    """Return the error that a missing optional library is, with the command that brings it."""
    return UsageError(f"this needs {library}, which is not installed", INSTALL.format(extra=extra))


@cache
def _environment() -> Environment:
    try:
        from jinja2 import Environment, FileSystemLoader, StrictUndefined
    except ImportError:
        raise missing_library("jinja2", "sheet") from None
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def render(template: str, *, told: Callable[[str], str] | None = None, **values: Any) -> str:
    """Return a page by a file in the folder of templates; text in values is escaped.

    Whatever text is put in goes through `told` first, as where a page has another language.

    Raises
    ------
    UsageError
        If jinja2 is not installed.
    """
    pages = _environment()
    if told is not None:
        pages = pages.overlay(finalize=lambda each: told(each) if type(each) is str else each)
    return pages.get_template(template).render(**values)
