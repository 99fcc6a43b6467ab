"""Root finding for many equations at once: bracketed, elementwise, NaN in gives NaN out.

The package must run without scipy, so this solver is here; tests hold it against
``scipy.optimize.brentq``.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Array

MAX_STEPS = 200

PLAIN_STEPS = 30
"""Newton steps without a guard; each at least halves, so that these reach the tolerance or stray."""

LAST_STEP = 1e-8
"""A Newton step on a smooth function of slope and bend near one leaves its square [-]."""


Function = Callable[[Array], tuple[Array, Array]]
"""Value and slope at some points."""

FEW = 64
"""Entries below which leaving out those that have arrived saves nothing."""


def root_by_slope(
    function: Function,
    start: Array,
    low: Array,
    *,
    tolerance: float = 3e-14,
    kinked: bool = False,
    some: Callable[[NDArray[np.intp]], Function] | None = None,
) -> Array:
    """Return the root of an increasing function above `low`, by Newton steps, guarded where needed.

    Plain steps come first. An entry whose steps do not shrink by half each time, or leave the
    bracket, is solved anew with the root held between two ends: a step that would leave them is
    replaced by halving, and so is one that does not shrink, so that a kinked function (measured
    points) converges as well.

    Parameters
    ----------
    function : Callable
        Returns value and slope, arrays of the shape of `start`. [-]
    start : Array
        First guess. [-]
    low : Array
        A point at or below the root. [-]
    tolerance : float
        Step, relative to the larger of one and the root, that counts as converged. [-]
    kinked : bool
        True if the slope may jump. Otherwise a step of 1e-8 ends the search as well, for what it
        leaves is about its square. [-]
    some : Callable, optional
        The function for some places along the one axis of `start` alone, so that entries that
        have arrived are not worked out again. [-]

    Notes
    -----
    No entry hangs on its neighbours: alone it takes the same steps.

    Source: guarded Newton iteration, textbook (from memory).
    """
    last_step = tolerance if kinked else max(tolerance, LAST_STEP)
    low = np.broadcast_to(low, start.shape)
    root = np.array(np.maximum(start, low), dtype=np.float64)
    found = np.zeros(root.shape, dtype=np.bool_)
    moving: Any = ...
    point, floor, settled = root, low, found
    astray = np.zeros_like(settled)
    last = np.full(point.shape, np.inf)
    with np.errstate(all="ignore"):
        for _ in range(PLAIN_STEPS):
            value, slope = function(point)
            ahead = point - value / slope
            size = np.abs(ahead - point)
            arrived = size <= last_step * np.maximum(1.0, np.abs(ahead))
            point = np.where(settled, point, ahead)
            settled = settled | arrived | np.isnan(value)
            astray = astray | ~(settled | ((size <= 0.5 * last) & (ahead >= floor)))
            last = size
            still = ~(settled | astray)
            left = int(np.count_nonzero(still))
            if not left:
                break
            if some is not None and left > FEW and 2 * left < still.size:
                root[moving], found[moving] = point, settled & ~astray
                moving = np.flatnonzero(still) if moving is ... else moving[still]
                function = some(moving)
                point, floor, last = point[still], floor[still], last[still]
                settled, astray = np.zeros_like(still, shape=left), np.zeros_like(still, shape=left)
        root[moving], found[moving] = point, settled & ~astray
        if bool(np.all(found)):
            return root
        if some is None:
            known = np.where(found, root, np.nan)
            return np.where(found, root, _root_held(function, start, low, known, tolerance))
        lost = np.flatnonzero(~found)
        root[lost] = _root_held(
            some(lost), start[lost], low[lost], np.full(lost.shape, np.nan), tolerance
        )
        return root


def _root_held(
    function: Function,
    start: Array,
    low: Array,
    known: Array,
    tolerance: float,
) -> Array:
    """Return the roots that are not known yet; the upper end is met on the way."""
    found = ~np.isnan(known)
    below = low.astype(np.float64)
    above = np.full(below.shape, np.inf)
    point = np.where(found, known, np.maximum(start, below))
    settled, last = found.copy(), above
    for _ in range(MAX_STEPS):
        value, slope = function(point)
        below = np.where(value <= 0.0, np.maximum(below, point), below)
        above = np.where(value >= 0.0, np.minimum(above, point), above)
        ahead = point - value / slope
        outside = ~((ahead >= below) & (ahead <= above))
        # A step that is not half of the last one may be going round a kink in circles.
        bracketed = np.isfinite(above)
        circling = bracketed & (np.abs(ahead - point) > 0.5 * last)
        replaced = outside | circling
        if bool(np.any(replaced)):
            halved = np.where(bracketed, 0.5 * (below + above), point + 1.0)
            ahead = np.where(replaced, halved, ahead)
            ahead = np.where(np.isnan(value), np.nan, ahead)
        # An entry that has arrived stays, so that its value does not hang on its neighbours.
        last = np.abs(ahead - point)
        moving = last > tolerance * np.maximum(1.0, np.abs(ahead))
        point = np.where(settled, point, ahead)
        settled = settled | ~moving
        if bool(np.all(settled)):
            break
    return point
