"""Values inside a model by their path, as files name them, and all that a model states."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from pydantic import BaseModel

from configurator.units.quantity import Quantity


def value_at(model: object, path: str) -> Any:
    """Return what stands at a path, as `a.constituents[2].name`; None where nothing does."""
    for key, place in _keys(path):
        model = getattr(model, key, None) if isinstance(model, BaseModel) else None
        if place is not None:
            model = model[place] if isinstance(model, tuple) and place < len(model) else None
    return model


def with_value(model: Any, path: str, value: object) -> Any:
    """Return a model with another value at a path; it is not validated again."""
    head, _, rest = path.partition(".")
    ((key, place),) = _keys(head)
    inner = getattr(model, key)
    if place is not None:
        entries = list(inner)
        entries[place] = with_value(entries[place], rest, value) if rest else value
        return model.model_copy(update={key: tuple(entries)})
    made = with_value(inner, rest, value) if rest else value
    return model.model_copy(update={key: made})


@cache
def _keys(path: str) -> tuple[tuple[str, int | None], ...]:
    """Each key of a path, and the place in its list from 0."""
    found = re.findall(r"(\w+)(?:\[(\d+)\])?", path)
    return tuple((key, int(place) - 1 if place else None) for key, place in found)


def leaves(
    value: object, path: str = "", whole: tuple[type, ...] = ()
) -> Iterator[tuple[str, Any]]:
    """Yield everything that a model states, with its path; lists of words stay together.

    Some models may be told whole, and are not looked into.
    """
    if isinstance(value, BaseModel) and not isinstance(value, whole):
        for key in type(value).model_fields:
            yield from leaves(getattr(value, key), f"{path}.{key}" if path else key, whole)
    elif isinstance(value, tuple) and not all(isinstance(entry, str) for entry in value):
        for place, entry in enumerate(value, start=1):
            yield from leaves(entry, f"{path}[{place}]", whole)
    elif value is not None:
        yield path, value


def quantities(value: object) -> Iterator[tuple[str, Quantity]]:
    """Yield every quantity inside a model, with its path."""
    return ((path, leaf) for path, leaf in leaves(value) if isinstance(leaf, Quantity))
