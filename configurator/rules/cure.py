"""How fast a mix cures over the process temperatures: its pot life, and what it thickens by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.catalog import Practice
from configurator.physics.cure import pot_life_at
from configurator.physics.domain import Floats as FloatOrFloats
from configurator.request.material import Mix
from configurator.rules.comparison import Bound
from configurator.units.interval import Basis, Interval

CUP = 10.0
"""Doublings up to a temperature in a cup, at most (from memory); it may also be a single one."""

MOST_DOUBLINGS = 30.0
"""Doublings beyond which it counts as set: a thousand million times as thick."""

Ends = tuple[FloatOrFloats, FloatOrFloats, FloatOrFloats]


@dataclass(frozen=True)
class Cure:
    """Each from the kindest to the hardest end; arrays for many requests at once."""

    pot_life: Ends
    """As the data sheet means it: longest, nominal, shortest. [s]"""
    doublings: Ends
    """How often the viscosity doubles in that time: fewest, nominal, most. [-]"""
    estimated: bool | NDArray[np.bool_]
    """True if the spread of the pot life rests on an estimate and not on stated ranges."""
    thickens_by_estimate: bool | NDArray[np.bool_]
    """The same of the thickening."""

    def share(self, share: float) -> Bound:
        """A share of the pot life, as a limit."""
        life = Bound.spread(*self.pot_life, "warmest", estimated=self.estimated)
        return life.each(lambda end: end * share)

    @property
    def doubling(self) -> Ends:
        """Time in which the viscosity doubles: longest, nominal, shortest. [s]"""
        longest, nominal, shortest = (
            life / times for life, times in zip(self.pot_life, self.doublings, strict=True)
        )
        return longest, nominal, shortest


def cure_of(mix: Mix, temperature: Interval, practice: Practice) -> Cure:
    """Work out the ends of a mix's cure over the process temperatures [K], by shop practice."""
    life, factor, gel = mix.pot_life, practice.pot_life_factor, practice.doublings_to_gel
    corners = np.meshgrid(
        [factor.low, factor.high], [temperature.low, temperature.high], [life.at.low, life.at.high]
    )
    moved = pot_life_at(
        pot_life=1.0,
        temperature=corners[1],
        reference_temperature=corners[2],
        factor=corners[0],
    )
    nominal = pot_life_at(
        pot_life=life.value.nominal,
        temperature=temperature.nominal,
        reference_temperature=life.at.nominal,
        factor=factor.nominal,
    )
    elsewhere = len({temperature.low, temperature.high, life.at.low, life.at.high}) > 1
    guessed = elsewhere or life.value.basis is Basis.ESTIMATED
    doublings = {
        "viscosity doubles": (1.0, 1.0, 1.0),
        "gel time": (gel.low, gel.nominal, gel.high),
    }.get(life.definition, (1.0, gel.nominal, CUP))
    return Cure(
        pot_life=(
            life.value.high * float(np.max(moved)),
            float(nominal),
            life.value.low * float(np.min(moved)),
        ),
        doublings=doublings,
        estimated=guessed,
        thickens_by_estimate=guessed or life.definition != "viscosity doubles",
    )
