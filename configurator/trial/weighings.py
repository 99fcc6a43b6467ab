"""What was weighed: the rows of a filled form."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.trial.plan import Run, TrialPlan
from configurator.units.interval import Interval

Densities = dict[tuple[int, str], tuple[Interval, bool]]
"""By batch and side: the density, and whether it was measured. [kg/m^3]"""


@dataclass(frozen=True, slots=True)
class Reading:
    """One filled row."""

    run: Run
    """As planned."""
    mass: float
    """Of the whole catch. [kg]"""
    pressure: float
    """As read, else as planned. [Pa]"""
    temperature: float
    """As read, else as planned. [K]"""
    clock: float | None
    """Since the start of the trial or block. [min]"""
    left_out: str
    """Why it does not count; empty if it does."""


@dataclass(frozen=True)
class Weighings:
    """A filled form."""

    plan: TrialPlan
    """What was planned."""
    readings: tuple[Reading, ...]
    """Rows that have a mass, in the order of the plan."""
    missing: tuple[int, ...]
    """Runs without one."""
    densities: Densities
    """By batch and side, each with whether it was measured. [kg/m^3]"""
    date: str
    """As written; may be empty."""


def expected_mass(
    run: Run,
    plan: TrialPlan,
    densities: Densities,
) -> float | None:
    """Mass of a catch by the catalog's displacement; None where a density is missing. [kg]"""
    mass = 0.0
    for side in plan.sides:
        if run.side in ("", side.name):
            density = densities.get((run.batch, side.name))
            if density is None:
                return None
            per_turn = side.displacement if run.side else plan.ideal_per_turn * side.share
            mass += run.turns * run.shots * per_turn * density[0].nominal
    return mass
