"""Pressure behind the outlet: what tip, mixer and mouth ask for at each end of the range."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import Floats as FloatsOrOne
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.short_tube import inertial_loss, kinetic_pressure, taper_pressure_drop
from configurator.physics.tube_flow import end_loss, stress_pressure_drop, wall_shear_rate
from configurator.rules.comparison import Bound
from configurator.rules.duty import AtEnds
from configurator.rules.fluid import Fluid
from configurator.rules.frame import Floats, Frame
from configurator.rules.kept import OverFrame, wide_figure
from configurator.rules.mixer import Mixer, OutletState
from configurator.rules.subject import Subject
from configurator.units.interval import ENDS, End


class OutletPressure(OverFrame):
    """Tip, mixer and mouth over a frame of parts."""

    def __init__(self, subject: Subject, frame: Frame) -> None:
        super().__init__(frame)
        self.fluid = subject.outlet_fluid
        self.flow = subject.duty.flow
        self._duty = subject.duty
        self._mouth = subject.duty.back_pressure
        self._tips_vary = subject.catalog.tips_vary
        self._mixes = subject.filled.material.two_part
        self.mixer = Mixer(subject, frame)

    def known(self, name: str) -> object:
        """A figure; worked out over the most parts that anybody has, for all who have fewer.

        It hangs on tips and mixers alone, and in most cases on the same ones.
        """
        if self._wider is not None:
            getattr(self._wider, name)
        return super().known(name)

    def tip_loss(self, flow: float, states: Sequence[OutletState] = ()) -> Floats:
        """Pressure lost in the tip at a flow [m^3/s] in some states; shape (states, outlets). [Pa]

        Thin, nominal and thick if none are given. At the low end with the least that inertia may
        take, at the high end with the most.
        """
        states = states or self._ends
        return self._tip_losses(flow, states, np.ones(len(states)))

    def _thickening(self, flow: float) -> tuple[Floats, Floats]:
        """Mean in the mixer and at its exit, least to most; none of a one-part material. [-]"""
        if self._mixes:
            return self.mixer.thickening(AtEnds(flow, flow, flow))
        return np.ones(3), np.ones(3)

    def _tip_losses(self, flow: float, states: Sequence[OutletState], thicker: Floats) -> Floats:
        """Loss in the tip of material that cure has made thicker, and no heavier. [Pa]"""
        losses = []
        for state, thick in zip(states, thicker, strict=True):
            bore, length = self._tip("bore", state.narrow), self._tip("length", state.end)
            work = partial(wall_shear_rate, curve=state.curve, flow_rate=flow)
            rate = self._at_bores(bore, work)
            stress = np.asarray(state.curve.stress(rate))
            along = np.asarray(stress_pressure_drop(stress=stress, bore=bore, length=length))
            along = self._with_cones(along, state, flow) * thick
            inertia = self._inertia(state, rate, along, flow)
            losses.append(along + np.asarray(end_loss(stress=stress)) * thick + inertia)
        return np.stack(np.broadcast_arrays(*losses))

    def _inertia(self, state: OutletState, rate: Floats, developed: Floats, flow: float) -> Floats:
        """What jet and developing profile take, at the end of its bounds. [Pa]"""
        bore = self._tip("bore", state.narrow)
        lightest, heaviest = self.fluid.density_ends
        density = {"low": lightest, "nominal": self.fluid.density, "high": heaviest}[state.end]
        low, high = inertial_loss(
            curve=state.curve,
            wall_rate=rate,
            developed=developed,
            density=density,
            flow_rate=flow,
            bore=bore,
        )
        # In a cone a profile stays flatter than in a tube, so that no curve has a single value.
        jet = kinetic_pressure(density=density, flow_rate=flow, bore=bore)
        low = np.where(self._tapered, np.fmin(low, jet), low)
        ends = {"low": low, "nominal": 0.5 * (low + high), "high": high}
        return np.asarray(ends[state.end])

    @property
    def _tapered(self) -> NDArray[np.bool_]:
        """True for tips that narrow towards their mouth."""
        return np.asarray(self._tip("entry_bore", "nominal") > self._tip("bore", "nominal") * 1.001)

    def _tip(self, field: str, end: End) -> Floats:
        return self.frame.column("outlet", field, end)

    def _at_bores(self, bore: Floats, work: Callable[..., FloatsOrOne]) -> Floats:
        """What hangs on the bore of a tip alone, worked out once for tips of one bore."""
        if not self.frame.has_axis("outlet"):
            return np.asarray(work(bore=bore))
        distinct, tips = np.unique(bore, return_inverse=True)
        axis = self.frame.slots.index("outlet") - self.frame.ndim
        laid = distinct.reshape((-1,) + (1,) * (-1 - axis))
        found = np.asarray(work(bore=laid.reshape((1,) * (bore.ndim - laid.ndim) + laid.shape)))
        return np.take(found, tips.reshape(-1), axis=axis)

    def _with_cones(self, straight: Floats, state: OutletState, flow: float) -> Floats:
        """Loss along the tips: that of a cone where one tapers, of a tube elsewhere. [Pa]"""
        bore, entry = (self._tip(name, state.narrow) for name in ("bore", "entry_bore"))
        length = self._tip("length", state.end)
        curve = state.curve
        tapered = self._tapered
        if not tapered.any():
            return straight
        if self.frame.has_axis("outlet") and not tapered.all():
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

    @cached_property
    def _ends(self) -> tuple[OutletState, ...]:
        """Thin, nominal and thick, each with parts and mouth at the end that makes it worse."""
        thin, nominal, thick = self.fluid.curves
        return (
            OutletState(thin, "low"),
            OutletState(nominal, "nominal"),
            OutletState(thick, "high"),
        )

    @cached_property
    def slip_states(self) -> tuple[OutletState, ...]:
        """What presses back on a seal line that leaks most, usually and least: `slip_curves`.

        Of one part, each corner of the material is in tip and gap at once. Of two parts, a side
        that is thin meets a mixture as thick as it can be at that temperature, and the other way
        round.
        """
        fluid = self.fluid
        most: Sequence[FlowCurve]
        least: Sequence[FlowCurve]
        if self._mixes:
            most, least = (fluid.warm[1], fluid.cold[1]), (fluid.warm[0], fluid.cold[0])
        else:
            most = least = fluid.corners
        nominal = OutletState(fluid.nominal, "nominal")
        high = [OutletState(curve, "high") for curve in most]
        low = [OutletState(curve, "low") for curve in least]
        # How far a mixture has cured is a range as well. The whole catalog tells of the tips: a
        # build has the same states by itself as among others.
        ranged = self._mixes or self._tips_vary or np.less(self._mouth.low, self._mouth.high).any()
        return (high[0], nominal, *high[1:], *(low if ranged else ()))

    def slip_curves(self, side: Fluid) -> tuple[FlowCurve, ...]:
        """Curves of a side in its gaps, one for each of `slip_states`."""
        if self._mixes:
            return (side.warm[0], side.nominal, side.cold[0], side.warm[1], side.cold[1])
        return tuple(state.curve for state in self.slip_states)

    def behind(self, flow: float, states: Sequence[OutletState] = ()) -> Floats:
        """Pressure behind tip and mixer at a flow, in each state, or thin to thick. [Pa]"""
        states = states or self._ends
        places = [ENDS.index(state.end) for state in states]
        inside, at_exit = self._thickening(flow)
        loss = self._tip_losses(flow, states, at_exit[places])
        if self._mixes:
            loss = loss + self.mixer.loss(flow, states) * inside[places]
        return np.stack([lost + end for lost, end in zip(loss, self.mouth[places], strict=True)])

    @property
    def mouth(self) -> Floats:
        """Pressure at the tip's mouth; shape (3, ...), lowest first. [Pa]"""
        ends = np.stack([self._mouth.low, self._mouth.nominal, self._mouth.high])
        return ends.reshape(ends.shape + (1,) * (1 + self.frame.ndim - ends.ndim))

    @wide_figure
    def fast(self) -> Floats:
        """Pressure behind the outlet at the highest flow; shape (3, ...): thin to thick. [Pa]"""
        return self.behind(self.flow.high, self._ends)

    @wide_figure
    def slip_fast(self) -> Floats:
        """Pressure at the highest flow in each of `slip_states`. [Pa]"""
        return self.behind(self.flow.high, self.slip_states)

    @wide_figure
    def slip_slow(self) -> Floats:
        """The same at the lowest flow. [Pa]"""
        if self.one_flow:
            return self.slip_fast
        return self.behind(self.flow.low, self.slip_states)

    @property
    def one_flow(self) -> bool:
        """Whether the flow has no range."""
        return bool(np.all(self.flow.low == self.flow.high))

    @cached_property
    def highest(self) -> Bound:
        """Highest pressure the outlet asks for: thickest material, highest flow. [Pa]"""
        words = f"{self.fluid.thick_words}, highest flow"
        return Bound.highest(self.fast, words, estimated=self.estimated)

    @property
    def estimated(self) -> bool | NDArray[np.bool_]:
        """True if the spread of the pressure rests on an estimate."""
        if not self._mixes:
            return self.fluid.estimated
        untold = self._duty.shot is not None and self._duty.cycle is None
        return self.fluid.estimated | self.mixer.cure.thickens_by_estimate | untold


class NoPressure(OutletPressure):
    """The same flow with nothing that presses back: no seal line leaks.

    A true pressure that is unknown stays so behind all tips, for slip against it is unknown too,
    and may be anything.
    """

    def __init__(self, subject: Subject, frame: Frame, outlet: OutletPressure) -> None:
        super().__init__(subject, frame)
        self._true = outlet

    def behind(self, flow: float, states: Sequence[OutletState] = ()) -> Floats:  # noqa: ARG002 - alike at all
        """No pressure at any flow, unknown where some true one is. [Pa]"""
        true = self._true.slip_fast
        if self.frame.is_grid:
            front = true.ndim - self.frame.ndim
            slots = self.frame.slots
            axes = tuple(front + slots.index(slot) for slot in ("mixing", "outlet"))
            # NaN wins every minimum.
            true = np.asarray(true.min(axis=axes, keepdims=True, initial=0.0))
        return np.asarray(0.0 * true)
