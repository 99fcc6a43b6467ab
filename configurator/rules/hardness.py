"""How hard a filler is, in the four words that limits are given for."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

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
    """The figure that goes with the class of a component's filler, NaN if nobody knows it."""
    if component.filler is None:
        return clean
    if component.filler.mohs is None:
        return math.nan
    mohs = np.asarray(component.filler.mohs.high)
    known = np.where(mohs <= MILD_UP_TO, mild, np.where(mohs <= HARD_UP_TO, hard, very_hard))
    return plain(np.where(np.isnan(mohs), np.nan, np.where(np.isneginf(mohs), clean, known)))


def is_filled(component: Component) -> bool | NDArray[np.bool_]:
    """Whether a component has a filler; for many at once, whether each has.

    Where one of many has none, its hardness is below any.
    """
    filler = component.filler
    if filler is None:
        return False
    return True if filler.mohs is None else ~np.isneginf(np.asarray(filler.mohs.high))


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


VICKERS: Final = np.array([50.0, 60.0, 150.0, 200.0, 540.0, 800.0, 1200.0, 1500.0, 2100.0, 8000.0])
"""Vickers hardness of the minerals 1 to 10 of the Mohs scale (from memory, corner points quartz 7
at 1200 and corundum 9 at 2100)."""


def hardness_in_vickers(mohs: Floats) -> NDArray[np.float64]:
    """Vickers hardness that goes with a Mohs hardness, HV.

    A smooth curve through the minerals of the Mohs scale; good to about 25 %. Where there is no
    filler, and so a hardness below any, it is 0.
    """
    asked = np.clip(np.asarray(mohs), 1.0, 10.0)
    # An unknown hardness stays so, whatever line it is put on.
    line = np.clip(np.nan_to_num(np.floor(asked), nan=1.0).astype(np.intp) - 1, 0, 8)
    share = asked - (line + 1.0)
    between = VICKERS[line] * np.power(VICKERS[line + 1] / VICKERS[line], share)
    return np.where(np.isneginf(mohs), 0.0, between)
