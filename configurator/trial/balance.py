"""What the balance has to resolve, and how many shots go into one weighing."""

from __future__ import annotations

import math
from dataclasses import dataclass

TOLERANCE_SHARE = 0.1
"""Balance step over the tolerance of one weighing, at most (common practice, no source). [-]"""

USUAL_STEP = 1e-7
"""Step of an analytical balance, 0.1 mg (common practice, no source). [kg]"""

MOST_GROUPED = 50
"""Shots in one weighing, at most (common practice, no source). [-]"""


@dataclass(frozen=True, slots=True)
class Weighing:
    """How the shots of the repeatability block are weighed."""

    shots: int
    """Shots in one weighing. [-]"""
    step_needed: float
    """Coarsest balance step that still tells. [kg]"""
    enough: bool
    """False if even the largest group is too light for the balance at hand."""


def weighing(*, shot_mass: float, tolerance: float, step: float = USUAL_STEP) -> Weighing:
    """Group shots so that the balance at hand, of this step [kg], sees a tenth of the tolerance.

    The mean of a group hides what single shots do: their spread follows from that of the
    groups only if shots are independent of one another.

    Examples
    --------
    >>> weighing(shot_mass=1e-6, tolerance=0.05).shots
    20
    """
    wanted = math.ceil(step / (TOLERANCE_SHARE * tolerance * shot_mass) - 1e-9)
    shots = min(max(wanted, 1), MOST_GROUPED)
    return Weighing(
        shots=shots,
        step_needed=coarsest_step(mass=shots * shot_mass, tolerance=tolerance),
        enough=wanted <= MOST_GROUPED,
    )


def coarsest_step(*, mass: float, tolerance: float) -> float:
    """Coarsest balance step for a weighing of a mass. [kg]"""
    return TOLERANCE_SHARE * tolerance * mass
