"""Mixing devices at work: volume, loss, residence and mixing over a frame of parts."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Mixing
from configurator.physics.cure import mean_thickening, pot_life_at
from configurator.physics.mixing import tube_mixer_volume, variation_after
from configurator.physics.tube_flow import tube_pressure_drop, wall_shear_rate
from configurator.rules.comparison import Bound
from configurator.rules.frame import Floats, Frame
from configurator.rules.mixed import viscosity_ratio
from configurator.rules.subject import Subject

UNLIKE = 10.0
VERY_UNLIKE = 100.0
"""Viscosity ratios from which a static mixer needs a reserve of length (from memory); how much
is a figure of the shop practice."""


class Mixer:
    """The mixing slot of a two-part case.

    Parameters
    ----------
    subject : Subject
        What is mixed; all but the parts' own figures needs a material of two parts.
    frame : Frame
        The parts.
    """

    def __init__(self, subject: Subject, frame: Frame) -> None:
        self._subject = subject
        self._frame = frame
        self._duty = subject.duty

    def column(self, field: str) -> Floats:
        """A figure of the mixing parts, in SI."""
        return self._frame.column("mixing", field)

    def _is(self, kind: str) -> NDArray[np.bool_]:
        return self._frame.flags(
            "mixing", lambda part: isinstance(part, Mixing) and part.kind == kind
        )

    @cached_property
    def static(self) -> NDArray[np.bool_]:
        """True for static tubes."""
        return self._is("static")

    @cached_property
    def chamber(self) -> NDArray[np.bool_]:
        """True for driven chambers."""
        return self._is("chamber")

    @cached_property
    def length_over_bore(self) -> Floats:
        """Mixing length of a static tube in bores. [-]"""
        return self.column("elements") * self.column("element_aspect")

    @cached_property
    def volume(self) -> Floats:
        """Volume of mixed material inside. [m^3]"""
        bore = self.column("bore")
        tube = tube_mixer_volume(
            bore=bore,
            length=bore * self.length_over_bore,
            free_share=self.column("void_share"),
        )
        return np.where(self.static, tube, np.where(self.chamber, self.column("volume"), 0.0))

    @cached_property
    def pot_life(self) -> Floats:
        """Pot life at the warmest the process gets. [s]"""
        mix = self._subject.filled.material.mix
        assert mix is not None  # a two-part material has one
        return np.asarray(
            pot_life_at(
                pot_life=mix.pot_life.value.low,
                temperature=self._duty.temperature.high,
                reference_temperature=mix.pot_life.at.nominal,
            )
        )

    def residence(self, flow: float) -> Floats:
        """Mean time in the mixer at a flow. [s]"""
        return self.volume / flow

    def thickening(self, flow: float) -> Floats:
        """Mean thickening by the cure on the way through, at the warmest. [-]"""
        return np.asarray(mean_thickening(residence=self.residence(flow), pot_life=self.pot_life))

    def loss(self, flow: float) -> Floats:
        """Pressure lost in the mixer, before any cure; shape (3, ...): thin to thick. [Pa]"""
        bore = self.column("bore")
        losses = []
        for curve in self._subject.outlet_fluid.curves:
            empty = tube_pressure_drop(
                curve=curve, flow_rate=flow, bore=bore, length=bore * self.length_over_bore
            )
            losses.append(np.where(self.static, self.column("loss_factor") * empty, 0.0))
        return np.stack(losses)

    @cached_property
    def variation(self) -> Bound:
        """Coefficient of variation behind a static tube; NaN elsewhere. [-]

        The nominal end has no reserve for unlike viscosities, the hard end has it.
        """
        practice = self._subject.catalog.practice
        first, second = self._subject.shares
        minor = np.minimum(first, second)
        _, worst = viscosity_ratio(self._subject.fluids)
        above_10, above_100 = (
            np.asarray(reserve.nominal)
            for reserve in (practice.mixing_reserve_above_10, practice.mixing_reserve_above_100)
        )
        reserve = np.where(
            worst >= VERY_UNLIKE, above_100, np.where(worst >= UNLIKE, above_10, 0.0)
        )
        ends = [
            np.asarray(
                variation_after(
                    share=minor,
                    variation_base=self.column("mixing_rate"),
                    length_over_diameter=self.length_over_bore / (1.0 + share),
                )
            )
            for share in (np.asarray(0.0), reserve)
        ]
        return Bound(ends[0], ends[0], ends[1], "with the reserve for unlike viscosities")

    @cached_property
    def wall_rate(self) -> Floats:
        """Shear rate at the wall of an empty tube of the mixer's bore. [1/s]"""
        return np.asarray(
            wall_shear_rate(
                curve=self._subject.outlet_fluid.nominal,
                flow_rate=self._duty.flow.high,
                bore=self.column("bore"),
            )
        )

    @cached_property
    def turns(self) -> Floats:
        """Turns of a chamber's stirrer while the material is inside, at the highest flow. [-]"""
        return self.column("speed_max") * self.residence(self._duty.flow.high)
