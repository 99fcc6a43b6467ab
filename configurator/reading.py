"""Reading TOML files that strangers may have written: bounded, and one clear line on a fault."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import tomli

from configurator.errors import Fault

MAX_BYTES = 2_000_000
"""A catalog or material of a workshop is a few hundred kilobytes at most."""

MAX_DEPTH = 24
"""Brackets inside brackets; a parser may recurse once for each."""


class ReadFault(Exception):
    """A file could not be read; carries the one fault that says why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.line())
        self.fault = fault


def read_toml(path: Path, *, where: str | None = None) -> tuple[dict[str, Any], bytes]:
    """Parse a TOML file and return its tables and its bytes.

    Parameters
    ----------
    path : Path
        The file.
    where : str, optional
        How to name the file in a fault; the path as given if left out.

    Raises
    ------
    ReadFault
        If the file is missing, too large, not UTF-8, too deeply nested, or not TOML.
    """
    name = str(path) if where is None else where
    raw = _read_bytes(path, name)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ReadFault(
            Fault(name, f"byte {error.start}", "bytes that are not UTF-8", "UTF-8 text")
        ) from None
    if (depth := deepest_bracket(text)) > MAX_DEPTH:
        raise ReadFault(
            Fault(name, "file", f"brackets nested {depth} deep", f"at most {MAX_DEPTH}")
        )
    try:
        return tomli.loads(text.replace("\r\n", "\n")), raw
    except (tomli.TOMLDecodeError, RecursionError, ValueError) as error:
        raise ReadFault(
            Fault(name, "file", str(error) or "nesting without end", "valid TOML")
        ) from None


def _read_bytes(path: Path, name: str) -> bytes:
    accepted = f"a TOML file of at most {MAX_BYTES // 1_000_000} MB"
    try:
        if not path.is_file():
            given = "a folder" if path.is_dir() else "no such file"
            raise ReadFault(Fault(name, "file", given, accepted))
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        raise ReadFault(Fault(name, "file", reason, accepted)) from None
    if len(raw) > MAX_BYTES:
        size = path.stat().st_size / 1_000_000
        raise ReadFault(Fault(name, "file", f"{size:.0f} MB", accepted))
    return raw


def deepest_bracket(text: str) -> int:
    """How deep brackets nest anywhere in `text`, counted without parsing it.

    Brackets in strings count too: a quantity or a name never holds many.
    """
    depth = deepest = 0
    for character in text:
        if character in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif character in "]}":
            depth = max(0, depth - 1)
    return deepest
