"""Things put together by what they have in common."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

Item = TypeVar("Item")
Common = TypeVar("Common", bound=Hashable)


def grouped(items: Iterable[Item], key: Callable[[Item], Common]) -> dict[Common, list[Item]]:
    """Put items together by a key, in the order in which each key comes first."""
    groups: dict[Common, list[Item]] = {}
    for item in items:
        groups.setdefault(key(item), []).append(item)
    return groups
