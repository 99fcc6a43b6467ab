"""How hard a filler is, in the four words that limits are given for."""

from __future__ import annotations

import math

import numpy as np

from configurator.catalog.parts import FillerClass
from configurator.physics.domain import Floats, plain
from configurator.request.material import Component

CLASSES: tuple[FillerClass, ...] = ("clean", "mild", "hard", "very hard")

MILD_UP_TO = 4.0
HARD_UP_TO = 7.5
"""Mohs hardness at the class borders: chalk and hydroxides are mild, quartz hard, alumina very
hard (common practice, no source)."""


def by_class(
    component: Component, *, clean: float, mild: float, hard: float, very_hard: float
) -> Floats:
    """The figure that goes with the class of a component's filler, NaN if nobody knows it.

    Parameters
    ----------
    component : Component
        One, or many at once with arrays for figures.
    clean, mild, hard, very_hard : float
        A figure for each class.

    Returns
    -------
    float or ndarray
        One figure for each component.
    """
    if component.filler is None:
        return clean
    if component.filler.mohs is None:
        return math.nan
    mohs = np.asarray(component.filler.mohs.high)
    return plain(np.where(mohs <= MILD_UP_TO, mild, np.where(mohs <= HARD_UP_TO, hard, very_hard)))


def filler_class(component: Component) -> FillerClass | None:
    """Class of a component's filler; None if it has one of unknown hardness."""
    if component.filler is None:
        return "clean"
    if component.filler.mohs is None:
        return None
    mohs = component.filler.mohs.high
    if mohs <= MILD_UP_TO:
        return "mild"
    return "hard" if mohs <= HARD_UP_TO else "very hard"


def hardness_in_vickers(mohs: float) -> float:
    """Vickers hardness that goes with a Mohs hardness, HV.

    A smooth curve through the minerals of the Mohs scale; good to about 25 % (from memory,
    corner points quartz 7 at 1200 and corundum 9 at 2100).
    """
    table = (
        (1.0, 50.0),
        (2.0, 60.0),
        (3.0, 150.0),
        (4.0, 200.0),
        (5.0, 540.0),
        (6.0, 800.0),
        (7.0, 1200.0),
        (8.0, 1500.0),
        (9.0, 2100.0),
        (10.0, 8000.0),
    )
    below = table[0]
    for point in table:
        if mohs <= point[0]:
            if point == below:
                return point[1]
            share = (mohs - below[0]) / (point[0] - below[0])
            return below[1] * math.pow(point[1] / below[1], share)
        below = point
    return table[-1][1]
