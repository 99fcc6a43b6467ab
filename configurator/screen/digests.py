"""Short digests of what a row rests on, so that a later comparison can say what has changed.

Each is the first 12 hexadecimal digits of a SHA-256: enough to tell a shop's versions apart,
and no proof against somebody who wants two of them to look alike.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cache
from typing import Any

from pydantic import BaseModel

from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.workshop import Workshop

LENGTH = 12
"""Hexadecimal digits that are kept."""

DIGITS = 9
"""Significant digits of a quantity: a comparison tells no closer ones apart."""

REMARKS = frozenset({"title", "note", "invented"})
"""Keys of a material or process that no rule reads."""


def short(raw: bytes) -> str:
    """Return the short digest of bytes."""
    return hashlib.sha256(raw).hexdigest()[:LENGTH]


def shortened(sha256: str) -> str:
    """Return the short form of a whole digest."""
    return sha256[:LENGTH]


def content_digest(asked: BaseModel) -> str:
    """Return the digest of what a material or process states.

    Quantities count by their SI bounds and basis, so that `20 Pa*s` and `20000 mPa*s` are the same.
    Titles, notes and keys that are left out do not count.
    """
    dumped = asked.model_dump(mode="json", exclude_defaults=True)
    content = {key: value for key, value in dumped.items() if key not in REMARKS}
    return short(_canonical(_plain(content)))


def _canonical(data: object) -> bytes:
    return json.dumps(data, sort_keys=True, ensure_ascii=True, separators=(",", ":")).encode()


def _plain(value: Any) -> Any:
    """The value with each quantity as its bounds, unit and basis alone."""
    match value:
        case {"low": low, "nominal": nominal, "high": high, "unit": unit, "basis": basis}:
            return [*(f"{bound:.{DIGITS}g}" for bound in (low, nominal, high)), unit, basis]
        case Mapping():
            return {key: _plain(entry) for key, entry in value.items()}
        case list() | tuple():
            return [_plain(entry) for entry in value]
        case _:
            return value


def findings_digest(workshop: Workshop) -> str:
    """Return the digest of what a shop has measured, on pairs and on heads; empty without any."""
    lines = [record.line for record in workshop.evidence.records]
    text = "\n".join([*lines, *(record.line for record in workshop.heads)])
    return short(text.encode()) if text else ""


@cache
def rules_digest() -> str:
    """Return the digest of all rules: names, what they read, sentences and sources, in order."""
    return short(
        _canonical(
            [
                {
                    "name": rule.name,
                    "family": rule.family,
                    "parts": rule.parts,
                    "asks": rule.asks,
                    "practice": rule.practice,
                    "sentence": rule.sentence,
                    "source": rule.source,
                    "whole": rule.whole,
                }
                for rule in RULEBOOK
            ]
        )
    )


@cache
def tool_version() -> str:
    """Return the version of the installed package; `unknown` in a checkout without one."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("headwright")
    except PackageNotFoundError:
        return "unknown"
