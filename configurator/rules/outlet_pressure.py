"""Pressure behind the outlet: what tip, mixer and mouth ask for at each end of the range."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Floats as FloatsOrOne
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.taper_flow import taper_pressure_drop
from configurator.physics.tube_flow import end_loss, stress_pressure_drop, wall_stress
from configurator.rules.comparison import Bound
from configurator.rules.duty import AtEnds
from configurator.rules.frame import Floats, Frame
from configurator.rules.kept import OverFrame, wide_figure
from configurator.rules.mixer import Mixer
from configurator.rules.subject import Subject


class OutletPressure(OverFrame):
    """Tip, mixer and mouth over a frame of parts.

    Parameters
    ----------
    subject : Subject
        What flows, and how much.
    frame : Frame
        The parts.
    """

    def __init__(self, subject: Subject, frame: Frame) -> None:
        super().__init__(frame)
        self.fluid = subject.outlet_fluid
        self.flow = subject.duty.flow
        self._duty = subject.duty
        self._mouth = subject.duty.back_pressure
        self._mixes = subject.filled.material.two_part
        self.mixer = Mixer(subject, frame)

    def known(self, name: str) -> object:
        """A figure; worked out over the most parts that anybody has, for all who have fewer.

        It hangs on tips and mixers alone, and in most cases on the same ones.
        """
        if self._wider is not None:
            getattr(self._wider, name)
        return super().known(name)

    def tip_loss(self, flow: float) -> Floats:
        """Pressure lost in the tip at each end of the viscosity range.

        Parameters
        ----------
        flow : float
            Flow of the whole deposit. [m^3/s]

        Returns
        -------
        ndarray
            Shape (3, outlets): thin, nominal and thick material. [Pa]
        """
        bore = self.frame.column("outlet", "bore")
        length = self.frame.column("outlet", "length")
        losses = []
        for curve in self.fluid.curves:
            stress = self._at_bores(partial(wall_stress, curve=curve, flow_rate=flow))
            along = np.asarray(stress_pressure_drop(stress=stress, bore=bore, length=length))
            losses.append(self._with_cones(along, curve, flow) + end_loss(stress=stress))
        return np.stack(losses)

    def _at_bores(self, work: Callable[..., FloatsOrOne]) -> Floats:
        """What hangs on the bore of a tip alone, worked out once for tips of one bore."""
        bore = self.frame.column("outlet", "bore")
        if not self.frame.is_grid:
            return np.asarray(work(bore=bore))
        distinct, tips = np.unique(bore, return_inverse=True)
        axis = self.frame.slots.index("outlet") - self.frame.ndim
        laid = distinct.reshape((-1,) + (1,) * (-1 - axis))
        found = np.asarray(work(bore=laid.reshape((1,) * (bore.ndim - laid.ndim) + laid.shape)))
        return np.take(found, tips.reshape(-1), axis=axis)

    def _with_cones(self, straight: Floats, curve: FlowCurve, flow: float) -> Floats:
        """Loss along the tips: that of a cone where one tapers, of a tube elsewhere. [Pa]"""
        fields = ("bore", "entry_bore", "length")
        bore, entry, length = (self.frame.column("outlet", name) for name in fields)
        tapered = entry > bore * 1.001
        if not tapered.any():
            return straight
        if self.frame.is_grid and not tapered.all():
            # Tips lie along one axis, so that only the cones have to be worked out.
            axis = straight.ndim - bore.ndim + self.frame.slots.index("outlet")
            places = np.flatnonzero(tapered)
            bore, entry, length = (
                np.take(each, places, axis=self.frame.slots.index("outlet"))
                for each in (bore, entry, length)
            )
            whole = np.array(straight)
            cone = taper_pressure_drop(
                curve=curve, flow_rate=flow, bore_in=entry, bore_out=bore, length=length
            )
            whole[(slice(None),) * axis + (places,)] = cone
            return whole
        cone = taper_pressure_drop(
            curve=curve,
            flow_rate=flow,
            bore_in=np.where(tapered, entry, bore * 2.0),
            bore_out=bore,
            length=length,
        )
        return np.where(tapered, cone, straight)

    def behind(self, flow: float) -> Floats:
        """Pressure behind tip and mixer at a flow; shape (3, ...): thin to thick. [Pa]"""
        loss = self.tip_loss(flow)
        if self._mixes:
            inside, at_exit = self.mixer.thickening(AtEnds(flow, flow, flow))
            loss = loss * at_exit + self.mixer.loss(flow) * inside
        return np.asarray(loss + self.mouth)

    @property
    def mouth(self) -> Floats:
        """Pressure at the tip's mouth; shape (3, ...), lowest first. [Pa]"""
        ends = np.stack([self._mouth.low, self._mouth.nominal, self._mouth.high])
        return ends.reshape(ends.shape + (1,) * (1 + self.frame.ndim - ends.ndim))

    @wide_figure
    def fast(self) -> Floats:
        """Pressure behind the outlet at the highest flow; shape (3, ...): thin to thick. [Pa]"""
        return self.behind(self.flow.high)

    @wide_figure
    def slow(self) -> Floats:
        """The same at the lowest flow. [Pa]"""
        return self.fast if np.all(self.flow.low == self.flow.high) else self.behind(self.flow.low)

    @cached_property
    def highest(self) -> Bound:
        """Highest pressure the outlet asks for: thickest material, highest flow. [Pa]"""
        fast, words = self.fast, f"{self.fluid.thick_words}, highest flow"
        return Bound.highest(fast, fast[1], words, estimated=self.estimated)

    @property
    def estimated(self) -> bool | NDArray[np.bool_]:
        """True if the spread of the pressure rests on an estimate."""
        if not self._mixes:
            return self.fluid.estimated
        untold = self._duty.shot is not None and self._duty.cycle is None
        return self.fluid.estimated | self.mixer.cure.thickens_by_estimate | untold


class NoPressure(OutletPressure):
    """The same flow with nothing that presses back: no seal line leaks.

    Parameters
    ----------
    subject : Subject
        What flows, and how much.
    frame : Frame
        The parts.
    outlet : OutletPressure
        The true one. A pressure that is unknown stays so behind all tips, for slip against it
        is unknown too, and may be anything.
    """

    def __init__(self, subject: Subject, frame: Frame, outlet: OutletPressure) -> None:
        super().__init__(subject, frame)
        self._true = outlet

    def behind(self, flow: float) -> Floats:
        """No pressure at any flow, unknown where some true one is. [Pa]"""
        true = self._true.fast if flow == self.flow.high else self._true.behind(flow)
        if self.frame.is_grid:
            front = true.ndim - self.frame.ndim
            slots = self.frame.slots
            axes = tuple(front + slots.index(slot) for slot in ("mixing", "outlet"))
            # NaN wins every minimum.
            true = np.asarray(true.min(axis=axes, keepdims=True, initial=0.0))
        return np.asarray(0.0 * true)
