"""Reading TOML files that strangers may have written: bounded, and one clear line on a fault."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import tomli

from configurator.errors import Fault, InputError

MAX_BYTES = 2_000_000
"""A catalog or material of a workshop is a few hundred kilobytes at most."""

MAX_DEPTH = 24
"""Brackets inside brackets; a parser may recurse once for each."""


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
    InputError
        If the file is missing, too large, not UTF-8, too deeply nested, or not TOML.
    """
    name = str(path) if where is None else where
    raw = _read_bytes(path, name)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        given = "bytes that are not UTF-8"
        raise InputError([Fault(name, f"byte {error.start}", given, "UTF-8 text")]) from None
    if (depth := deepest_bracket(text)) > MAX_DEPTH:
        given = f"brackets nested {depth} deep"
        raise InputError([Fault(name, "file", given, f"at most {MAX_DEPTH}")])
    try:
        return tomli.loads(text.replace("\r\n", "\n")), raw
    except (tomli.TOMLDecodeError, RecursionError, ValueError) as error:
        given = str(error) or "nesting without end"
        raise InputError([Fault(name, "file", given, "valid TOML")]) from None


def _read_bytes(path: Path, name: str) -> bytes:
    accepted = f"a TOML file of at most {MAX_BYTES // 1_000_000} MB"
    try:
        if not path.is_file():
            given = "a folder" if path.is_dir() else "no such file"
            raise InputError([Fault(name, "file", given, accepted)])
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as error:
        reason = error.strerror or "cannot be opened"
        raise InputError([Fault(name, "file", reason, accepted)]) from None
    if len(raw) > MAX_BYTES:
        size = path.stat().st_size / 1_000_000
        raise InputError([Fault(name, "file", f"{size:.0f} MB", accepted)])
    return raw


def typed_path(text: str) -> Path:
    """The path that somebody typed; `~` of nobody known stays as it is."""
    try:
        return Path(text).expanduser()
    except RuntimeError:
        return Path(text)


def is_file(path: Path) -> bool:
    """Whether a file stands at a path; a name that no file system takes is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def see_file(path: Path, accepted: str) -> None:
    """Refuse a path at which no file stands.

    Parameters
    ----------
    path : Path
        As typed.
    accepted : str
        What should stand there.

    Raises
    ------
    InputError
        If it is a folder or nothing.
    """
    if not is_file(path):
        given = "a folder" if is_there(path) and path.is_dir() else "no such file"
        raise InputError([Fault(str(path), "file", given, accepted)])


def is_there(path: Path) -> bool:
    """Whether something stands at a path; nothing does at a name that no file system takes."""
    try:
        return path.exists()
    except OSError:
        return False


def deepest_bracket(text: str) -> int:
    """How deep brackets nest anywhere in `text`, counted without parsing it.

    Brackets in strings count too: a quantity or a name never holds many.
    """
    depth = deepest = 0
    for bracket in re.findall(r"[][{}]", text):
        depth = depth + 1 if bracket in "[{" else max(0, depth - 1)
        deepest = max(deepest, depth)
    return deepest
