"""The seal lines of one side's cavities and stators: how far they gape, and how sure that is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.catalog import Practice
from configurator.catalog.parts import Stator
from configurator.physics.slip_calibration import (
    gap_from_rated_point,
    leakage_of_efficiency,
    opening_from_rated_point,
    opening_gap,
)
from configurator.rules.frame import Floats, Frame
from configurator.rules.kept import OverFrame, figure


@dataclass(frozen=True)
class SealLine:
    """One way of sealing over all cavities."""

    gap: Callable[[Floats], Floats]
    """Clearance under a pressure per stage. [m]"""
    factor: Floats
    """How far slip may be off either way. [-]"""


class SealLines(OverFrame):
    """What the parts of a side say of its seal lines; no material and no process comes in."""

    def __init__(self, frame: Frame, prefix: str, practice: Practice) -> None:
        super().__init__(frame)
        self._cavity, self.stator = prefix + "cavity", prefix + "stator"
        self._practice = practice

    def column(self, field: str) -> Floats:
        """A figure of the cavities, in SI."""
        return self.frame.column(self._cavity, field)

    @figure
    def rigid(self) -> NDArray[np.bool_]:
        """True for stators that seal with a clearance instead of interference."""
        return self.frame.flags(
            self.stator, lambda part: isinstance(part, Stator) and part.kind == "rigid"
        )

    @figure
    def _clearance(self) -> Floats:
        """Gap of a rigid stator, from its rated point. [m]"""
        return np.asarray(
            gap_from_rated_point(
                viscosity=self.column("rated_rigid.viscosity"),
                density=self.column("rated_rigid.density"),
                width=self.column("seal_width"),
                land_length=self.column("seal_land"),
                pressure_per_stage=self._rated_stage_pressure("rated_rigid"),
                leakage=self._rated_leakage("rated_rigid"),
            )
        )

    @figure
    def _compliance(self) -> Floats:
        """Opening per pressure of an elastomer stator, from its rated point. [m/Pa]"""
        return np.asarray(
            opening_from_rated_point(
                viscosity=self.column("rated_elastomer.viscosity"),
                density=self.column("rated_elastomer.density"),
                width=self.column("seal_width"),
                land_length=self.column("seal_land"),
                pressure_per_stage=self._rated_stage_pressure("rated_elastomer"),
                opening_pressure=self.column("opening_pressure"),
                leakage=self._rated_leakage("rated_elastomer"),
            )
        )

    def _rated_stage_pressure(self, point: str) -> Floats:
        return self.column(f"{point}.pressure") / self.column("stages")

    def _rated_leakage(self, point: str) -> Floats:
        return np.asarray(
            leakage_of_efficiency(
                displacement=self.column("displacement"),
                speed=self.column(f"{point}.speed"),
                volumetric_efficiency=self.column(f"{point}.efficiency"),
            )
        )

    def _opening(self, pressure: Floats) -> Floats:
        """Gap of an elastomer stator under a pressure per stage. [m]"""
        return np.asarray(
            opening_gap(
                compliance=self._compliance,
                opening_pressure=self.column("opening_pressure"),
                pressure_per_stage=pressure,
            )
        )

    def _factor(self, point: str) -> Floats:
        practice = self._practice
        factors = {
            "own material": practice.slip_factor_own.nominal,
            "water": practice.slip_factor_other.nominal,
            "oil": practice.slip_factor_other.nominal,
        }

        def read(part: object) -> float:
            fluid = getattr(getattr(part, point, None), "fluid", None)
            return factors.get(str(fluid), practice.slip_factor_untested.nominal)

        return self.frame.numbers(self._cavity, read)

    @property
    def factor(self) -> Floats:
        """How far slip may be off either way: less if the head was tested on its own material."""
        return self.of_stators([line.factor for line in self.lines])

    @property
    def lines(self) -> tuple[SealLine, ...]:
        """Each way of sealing that stators of the frame have: elastomer, then rigid.

        In a grid no cavity meets its gap once a stator, but once for each of the two. In rows a
        single way has the gap of each row's stator.
        """
        if self.frame.is_grid:
            found = []
            if not self.rigid.all() or not self.rigid.size:  # no stator left is one empty line
                found.append(SealLine(self._opening, self._factor("rated_elastomer")))
            if self.rigid.any():
                found.append(SealLine(lambda _: self._clearance, self._factor("rated_rigid")))
            return tuple(found)
        rigid = self.rigid
        factor = np.where(rigid, self._factor("rated_rigid"), self._factor("rated_elastomer"))

        def gap(pressure: Floats) -> Floats:
            opening = self._opening(pressure)
            return np.where(rigid, self._clearance, opening) if rigid.any() else opening

        return (SealLine(gap, factor),)

    def of_stators(self, values: list[Floats]) -> Floats:
        """A figure of each way of sealing as one of each stator."""
        if len(values) == 1:
            return values[0]
        elastomer, stiff = values
        return np.where(self.rigid, stiff, elastomer)
