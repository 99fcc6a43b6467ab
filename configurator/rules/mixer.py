"""Mixing devices at work: volume, loss, residence and mixing over a frame of parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Mixing
from configurator.physics.cure import mean_thickening, thickening
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.mixing import (
    chamber_residence,
    gap_shear_rate,
    mixing_turns,
    oldest_at_tip,
    tube_mixer_volume,
    variation_after,
)
from configurator.physics.tube_flow import tube_pressure_drop, wall_shear_rate
from configurator.rules.comparison import Bound
from configurator.rules.cure import MOST_DOUBLINGS, Cure, Ends
from configurator.rules.duty import AtEnds
from configurator.rules.frame import Floats, Frame
from configurator.rules.mixed import viscosity_ratio
from configurator.rules.subject import Subject
from configurator.units.interval import OPPOSITE, End, Interval

UNLIKE = 10.0
VERY_UNLIKE = 100.0
"""Viscosity ratios from which a static mixer needs a reserve of length (from memory); how much
is a figure of the shop practice."""


@dataclass(frozen=True)
class OutletState:
    """What flows through tip and mixer, and at which end of their figures these are."""

    curve: FlowCurve
    """Of what flows."""
    end: End
    """High presses back most."""

    @property
    def narrow(self) -> End:
        """The end of a bore that presses back so."""
        return OPPOSITE[self.end]


class Mixer:
    """The mixing slot; all but the parts' own figures needs a material of two parts."""

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

    @property
    def cure(self) -> Cure:
        """How fast the mix cures."""
        assert self._subject.cure is not None  # a two-part material has one
        return self._subject.cure

    def age(self, flow: Interval | AtEnds) -> Bound:
        """Age of what leaves the mixer; NaN for shots of which nobody says how often. [s]

        From the mean to the oldest of a shot. In a tube slow layers add to the mean, and the oldest
        comes behind the slowest. A chamber is stirred well, so that its mean is told; if it holds
        less than a shot, the oldest is what stood in it through the pause. Without an end it
        follows from the flow; shots age by their cycle.
        """
        duty, volume = self._duty, self.volume
        tail = self._subject.catalog.practice.mixer_tail
        if duty.shot is None:
            means = [volume / each for each in (flow.high, flow.nominal, flow.low)]
            of_tube, of_chamber = tail.high * means[2], means[2]
        elif duty.cycle is None or duty.shot_time is None:
            return Bound.exact(volume * np.nan)
        else:
            shot, cycle = duty.shot, duty.cycle
            pairs = ((shot.high, cycle.low), (shot.nominal, cycle.nominal), (shot.low, cycle.high))
            means = [
                np.asarray(
                    chamber_residence(chamber_volume=volume, shot_volume=each, cycle_time=time)
                )
                for each, time in pairs
            ]
            held = np.stack(np.broadcast_arrays(tail.high * volume, np.minimum(volume, shot.low)))
            of_tube, of_chamber = np.asarray(
                oldest_at_tip(
                    shots_held=held / shot.low,
                    cycle_time=cycle.high,
                    shot_time=duty.shot_time.low,
                )
            )
        return Bound(
            kind=np.where(self.static, tail.low * means[0], means[0]),
            nominal=np.where(self.static, tail.nominal * means[1], means[1]),
            hard=np.where(self.static, of_tube, np.fmax(means[2], of_chamber)),
            corner="slowest layers, longest cycle" if duty.shot else "slowest layers, lowest flow",
            estimated=True,
        )

    def _laid(self, ends: Ends) -> Floats:
        """Three ends along the first axis, in front of those of the frame."""
        stacked = np.stack([np.asarray(end) for end in ends])
        return stacked.reshape(stacked.shape + (1,) * (1 + self._frame.ndim - stacked.ndim))

    @property
    def doubling(self) -> Floats:
        """Time in which the viscosity doubles; shape (3, ...): longest, nominal, shortest. [s]"""
        return self._laid(self.cure.doubling)

    def thickening(self, flow: AtEnds) -> tuple[Floats, Floats]:
        """Mean in the mixer, and at its exit; each shape (3, ...): least, nominal, most. [-]

        Where nobody knows the age, from fresh to as old as the rule on the pot life lets it get:
        what is older has been refused there.
        """
        age, doubling = self.age(flow), self.doubling
        elapsed = np.stack([age.kind, age.nominal, age.hard])
        if not age.all_known:
            share = self._subject.catalog.practice.pot_life_run_share.nominal
            known, half, most = (share * life for life in self.cure.pot_life)
            allowed = self._laid((0.0 * known, 0.5 * half, most))
            elapsed = np.where(np.isnan(elapsed) & ~np.isnan(self.volume), allowed, elapsed)
        elapsed = np.minimum(elapsed, MOST_DOUBLINGS * doubling)
        mean = mean_thickening(residence=elapsed, pot_life=doubling)
        return np.asarray(mean), np.asarray(thickening(elapsed=elapsed, pot_life=doubling))

    def loss(self, flow: float, states: Sequence[OutletState]) -> Floats:
        """Pressure lost in the mixer in each state, before any cure. [Pa]"""
        losses = []
        for state in states:
            bore = self._frame.column("mixing", "bore", state.narrow)
            empty = tube_pressure_drop(
                curve=state.curve, flow_rate=flow, bore=bore, length=bore * self.length_over_bore
            )
            factor = self._frame.column("mixing", "loss_factor", state.end)
            losses.append(np.where(self.static, factor * empty, 0.0))
        return np.stack(losses)

    @cached_property
    def variation(self) -> Bound:
        """Coefficient of variation behind a static tube; NaN elsewhere. [-]

        The nominal end has no reserve for unlike viscosities, the hard end has it.
        """
        practice = self._subject.catalog.practice
        first, second = self._subject.shares
        minor = np.minimum(first.low, second.low)
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
        """Highest shear rate at the wall of an empty tube of the mixer's bore. [1/s]"""
        rates = [
            wall_shear_rate(
                curve=curve,
                flow_rate=self._duty.flow.high,
                bore=self._frame.column("mixing", "bore", "low"),
            )
            for curve in self._subject.outlet_fluid.curves
        ]
        return np.asarray(np.stack(np.broadcast_arrays(*rates)).max(axis=0))

    @cached_property
    def turns(self) -> Bound:
        """Turns of a chamber's stirrer before a shot, or while the material flows through. [-]

        The longer of both counts for a shot that stood in the chamber as a whole; of a larger one
        the rest flows through. Where nobody says how long it stands, it may be any time.
        """
        duty = self._duty
        kind, nominal, hard = (
            self.volume / each for each in (duty.flow.low, duty.flow.nominal, duty.flow.high)
        )
        if duty.shot is not None and duty.cycle is not None and duty.shot_time is not None:
            shot, cycle, lasts = duty.shot, duty.cycle, duty.shot_time
            kind, nominal, hard = (
                np.maximum(through, np.where(self.volume < most, 0.0, np.maximum(pause, 0.0)))
                for through, most, pause in (
                    (kind, shot.low, cycle.high - lasts.low),
                    (nominal, shot.nominal, cycle.nominal - lasts.nominal),
                    (hard, shot.high, cycle.low - lasts.high),
                )
            )
        speed = self.column("speed_max")
        kind, nominal, hard = (
            np.asarray(mixing_turns(stirrer_speed=speed, residence=time))
            for time in (kind, nominal, hard)
        )
        if duty.shot is None or duty.cycle is not None:
            return Bound(kind, nominal, hard, "shortest pause, highest flow")
        kind = np.where(self.volume < duty.shot.low, kind, np.inf)
        return Bound(kind, nominal, hard, "without any pause", estimated=True)

    @cached_property
    def stirrer_speed(self) -> Floats:
        """Speed at which a chamber's stirrer turns as often as the shop asks, if it can. [1/s]"""
        wanted = self._subject.catalog.practice.chamber_turns.nominal
        return np.asarray(self.column("speed_max") * np.minimum(wanted / self.turns.hard, 1.0))

    @cached_property
    def stirrer_rate(self) -> Floats:
        """Shear rate in the gap of a chamber's stirrer at that speed. [1/s]"""
        across, gap = self._frame.column("mixing", "chamber_diameter"), self.column("gap")
        return np.asarray(gap_shear_rate(diameter=across, gap=gap, speed=self.stirrer_speed))
