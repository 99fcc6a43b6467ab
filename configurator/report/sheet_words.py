"""The fixed sentences of a sheet: one table, which a customer's language file may replace."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from configurator.errors import Fault, InputError, did_you_mean
from configurator.reading import read_toml

ENGLISH = Path(__file__).resolve().parent / "templates" / "sheet_words.toml"

_PLACE = re.compile(r"\{([a-z_]+)\}")


@dataclass(frozen=True)
class SheetWords:
    """Sentences by id; called with an id and what its places hold, it gives the text."""

    texts: Mapping[str, str]

    def __call__(self, key: str, **values: object) -> str:
        """Return a sentence with its places filled."""
        return _PLACE.sub(lambda place: str(values[place[1]]), self.texts[key])


@cache
def english() -> SheetWords:
    """The sentences as they are shipped."""
    return SheetWords(read_toml(ENGLISH)[0])


def load_words(path: Path) -> SheetWords:
    """Read a language file: `id = "sentence"`, each with the places of the English one.

    What it leaves out stays English.

    Raises
    ------
    InputError
        If it cannot be read, names an id that there is not, or loses or adds a place.
    """
    shipped = english().texts
    read, _ = read_toml(path)
    faults = [_fault(str(path), key, text, shipped) for key, text in read.items()]
    if found := [fault for fault in faults if fault is not None]:
        raise InputError(found)
    return SheetWords({**shipped, **read})


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
