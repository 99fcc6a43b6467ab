"""How a hypothetical part is named and what is said of it."""

from __future__ import annotations

import re

from configurator.screen.hypothetical.steps import SeriesStep, shown
from configurator.units.quantity import Quantity

_OTHER = re.compile(r"[^a-z0-9.]+")


def mark_of(text: str) -> str:
    """Make a piece of a part's name of a figure or a word.

    Examples
    --------
    >>> mark_of("0.65 mm"), mark_of("step and direction"), mark_of("1.5 mL/rev")
    ('0.65mm', 'stepanddirection', '1.5mlrev')
    """
    return _OTHER.sub("", text.lower())


def setting(step: SeriesStep, like: Quantity) -> str:
    """Say a new figure and those that it was set by, as people read them."""
    value = shown(step.value, like)
    if step.least is None:
        assert step.most is not None
        return f"{value}, one step below the least, {shown(step.most, like)}"
    if step.most is None:
        return f"{value}, one step above the greatest, {shown(step.least, like)}"
    return f"{value}, between {shown(step.least, like)} and {shown(step.most, like)}"
