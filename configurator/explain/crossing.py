"""Where a smooth function passes zero between nought and one, in as few looks as may be."""

from __future__ import annotations

import math
from collections.abc import Generator

NEARLY = 0.01
"""Share of the nearer end's value below which a value counts as close to zero."""

MOST_LOOKS = 12
"""Looks after which a function counts as not smooth enough."""


def root_of_line(close: float) -> Generator[float, float, float | None]:
    """Find where a function that starts at or below zero and ends above it passes zero.

    Yields a share from 0 to 1, to be answered with the value there, until steps are below `close`.
    Returns None where the ends do not tell, a value is unknown, or the function is not smooth.

    False position, with the stale end halved (Illinois rule, textbook, from memory).
    """
    low, high = 0.0, 1.0
    below = yield low
    above = yield high
    if not (below <= 0.0 < above):
        return None
    small = NEARLY * min(-below, above)
    place, value, was_above = math.inf, math.inf, None
    for _ in range(MOST_LOOKS):
        last, place = place, low - below * (high - low) / (above - below)
        if abs(place - last) < close and abs(value) <= small:
            return place
        value = yield place
        if math.isnan(value):
            return None
        is_above = value > 0.0
        if is_above:
            high, above = place, value
        else:
            low, below = place, value
        if was_above is is_above:  # the other end has not moved twice: pull it in
            above, below = (above, below / 2.0) if is_above else (above / 2.0, below)
        was_above = is_above
    return None
