"""Values of a material or process by their path, as files and gaps name them."""

from __future__ import annotations

import re
from typing import Any

from pydantic import BaseModel


def value_at(model: object, path: str) -> Any:
    """Return what stands at a path; None where nothing does.

    Parameters
    ----------
    model : object
        Where the path starts.
    path : str
        Keys with dots between, entries of a list counted from 1, as `a.constituents[2].name`.
    """
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


def _keys(path: str) -> list[tuple[str, int | None]]:
    """Each key of a path, and the place in its list from 0."""
    found = re.findall(r"(\w+)(?:\[(\d+)\])?", path)
    return [(key, int(place) - 1 if place else None) for key, place in found]
