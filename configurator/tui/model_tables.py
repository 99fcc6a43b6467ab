"""A material or process that was checked, as tables that make it again."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from configurator.units.interval import Basis
from configurator.units.quantity import Quantity


def plain(value: object, basis: Basis | None = None) -> Any:
    """Return a value of a model as a TOML parser would give it.

    Parameters
    ----------
    value : object
        A model, a quantity, or what they hold.
    basis : Basis, optional
        What a file rests on as a whole: a quantity that rests on the same is its text alone.
    """
    if isinstance(value, Quantity):
        if value.basis is basis:
            return value.text
        return {"value": value.text, "basis": value.basis.value}
    if isinstance(value, BaseModel):
        pairs = {
            info.alias or name: getattr(value, name)
            for name, info in type(value).model_fields.items()
        }
        return {key: plain(entry, basis) for key, entry in pairs.items() if entry not in (None, ())}
    if isinstance(value, tuple):
        return [plain(entry, basis) for entry in value]
    return value
