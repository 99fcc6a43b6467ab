"""What panels tell in paragraphs, and what Enter does on one."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.tui.wish import Wish


@dataclass(frozen=True)
class Remedy:
    """A change that brings something back.

    Attributes
    ----------
    words : str
        What it changes.
    wish : Wish
        The wish after it.
    """

    words: str
    wish: Wish


@dataclass(frozen=True)
class Said:
    """One paragraph.

    Attributes
    ----------
    text : str
        In words.
    style : str
        Name of a span style.
    remedy : Remedy or None
        What Enter does on it.
    """

    text: str
    style: str = ""
    remedy: Remedy | None = None
