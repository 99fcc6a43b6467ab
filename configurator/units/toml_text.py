"""A checked model as TOML: its tables, and the text of a file that is read back the same."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from configurator.units.interval import Basis
from configurator.units.quantity import Quantity

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def plain(value: object, basis: Basis | None = None) -> Any:
    """Return a value of a model as a TOML parser would give it.

    A quantity that rests on `basis`, as its file does as a whole, is its text alone.
    """
    if isinstance(value, Quantity):
        said = {} if value.basis is basis else {"basis": value.basis.value}
        said |= {"note": value.note} if value.note else {}
        return {"value": value.text, **said} if said else value.text
    if isinstance(value, BaseModel):
        pairs = {
            info.alias or name: getattr(value, name)
            for name, info in type(value).model_fields.items()
        }
        return {key: plain(entry, basis) for key, entry in pairs.items() if entry not in (None, ())}
    if isinstance(value, tuple):
        return [plain(entry, basis) for entry in value]
    return value


def toml_text(tables: Mapping[str, Any]) -> str:
    """Return tables as a TOML document: plain keys first, then one section a table.

    Examples
    --------
    >>> print(toml_text({"name": "paste", "flow": {"at": "23 degC"}}), end="")
    name = "paste"
    <BLANKLINE>
    [flow]
    at = "23 degC"
    """
    return "\n".join(_section(tables, ())).lstrip("\n") + "\n"


def array_text(name: str, tables: Iterable[Mapping[str, Any]]) -> str:
    """Return tables as a TOML array of tables, each headed `[[name]]` and one key a line.

    Examples
    --------
    >>> print(array_text("size", [{"name": "s1", "joints": ["threaded"]}]), end="")
    <BLANKLINE>
    [[size]]
    name = "s1"
    joints = ["threaded"]
    """
    blocks = []
    for table in tables:
        lines = [f"{_key(key)} = {_value(value)}\n" for key, value in table.items()]
        blocks.append(f"\n[[{name}]]\n{''.join(lines)}")
    return "".join(blocks)


def _section(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    plain = {key: value for key, value in table.items() if not _is_section(value)}
    if path and (plain or not table):
        yield ""
        yield f"[{'.'.join(_key(part) for part in path)}]"
    for key, value in plain.items():
        yield f"{_key(key)} = {_value(value)}"
    for key, value in table.items():
        if _is_section(value):
            yield from _section(value, (*path, key))


def _is_section(value: object) -> bool:
    """A quantity with its basis is a table too, but reads better on one line."""
    return isinstance(value, Mapping) and "value" not in value


def _key(key: str) -> str:
    return key if _BARE_KEY.fullmatch(key) else _string(key)


def _value(value: object) -> str:
    match value:
        case bool():
            return str(value).lower()
        case str():
            return _string(value)
        case int() | float():
            return repr(value)
        case Mapping():
            inside = ", ".join(f"{_key(key)} = {_value(entry)}" for key, entry in value.items())
            return f"{{ {inside} }}" if inside else "{}"
        case list() | tuple():
            if any(isinstance(entry, Mapping) for entry in value):
                return "[\n" + "".join(f"    {_value(entry)},\n" for entry in value) + "]"
            return f"[{', '.join(_value(entry) for entry in value)}]"
        case _:
            raise TypeError(f"a TOML file of ours holds no {type(value).__name__}")


def _string(text: str) -> str:
    # A TOML basic string escapes as JSON does, but for DEL, which JSON lets through.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
