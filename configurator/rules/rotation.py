"""One side's rotor at work: how fast it turns, and how much slips back on the way."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import NamedTuple

import numpy as np

from configurator.physics.inlet import rubbing_speed_max
from configurator.physics.slip import slit_leakage
from configurator.rules.comparison import Bound
from configurator.rules.fluid import Fluid
from configurator.rules.frame import Floats
from configurator.rules.kept import OverFrame, figure
from configurator.rules.mixed import VolumeShare
from configurator.rules.outlet_pressure import OutletPressure
from configurator.rules.seal_lines import SealLine, SealLines
from configurator.units.interval import ENDS, End

NOMINAL = 1
"""Place of what is usual among `OutletPressure.slip_states`."""


class SlipEnds(NamedTuple):
    """Slip in each of the outlet's `slip_states`, before its own uncertainty. [m^3/s]"""

    low: Floats
    high: Floats


class Rotation(OverFrame):
    """Turns, slip and speed of the rotors of one side; the prefix is empty, `a.` or `b.`."""

    def __init__(
        self,
        *,
        seals: SealLines,
        outlet: OutletPressure,
        prefix: str,
        fluid: Fluid,
        share: VolumeShare,
    ) -> None:
        super().__init__(seals.frame)
        self.seals = seals
        self.fluid = fluid
        self._outlet = outlet
        self._share = share
        self._curves = outlet.slip_curves(fluid)
        self._cavity = prefix + "cavity"
        self.flow_high = outlet.flow.high * share.high
        self.flow_low = outlet.flow.low * share.low

    def column(self, field: str, end: End = "nominal") -> Floats:
        """A figure of the cavities, in SI."""
        return self.frame.column(self._cavity, field, end)

    @cached_property
    def turns(self) -> Floats:
        """Rotor speed at the highest flow without slip. [1/s]"""
        return self.flow_high / self.column("displacement", "low")

    def rubbing_speed(self, speed: Floats) -> Floats:
        """Highest speed between rotor and stator. [m/s]"""
        return np.asarray(
            rubbing_speed_max(
                eccentricity=self.column("eccentricity"),
                rotor_diameter=self.column("rotor_diameter"),
                speed=speed,
            )
        )

    def slip(self, back_pressure: Floats, flow: float) -> SlipEnds:
        """Slip at a flow [m^3/s] against a pressure [Pa] in each of the `slip_states`."""
        states = (len(self._curves), *np.shape(back_pressure)[1:])
        (ends,) = self._leaks([np.broadcast_to(back_pressure, states)], [flow])
        low = self.seals.of_stators([each.low for each in ends])
        return SlipEnds(low, self.seals.of_stators([each.high for each in ends]))

    def slip_at(self, flow: float) -> SlipEnds:
        """Slip of this side behind tip and mixer at a flow of the whole deposit. [m^3/s]"""
        pressure = self._outlet.behind(flow, self._outlet.slip_states)
        return self.slip(pressure, flow * self._share.nominal)

    def _leaks(self, back_pressures: list[Floats], flows: list[float]) -> list[list[SlipEnds]]:
        """At each flow, slip of each way of sealing, whatever the stator.

        All of them are worked out together for a curve, for a search costs by its steps.
        """
        per_stage = np.stack(back_pressures) / self.column("stages")
        sliding = np.stack(
            [self.rubbing_speed(flow / self.column("displacement")) for flow in flows]
        )
        lines = self.seals.lines
        found = []
        for state, (curve, pressure) in enumerate(
            zip(self._curves, np.moveaxis(per_stage, 1, 0), strict=True)
        ):
            # What is light is held back least by its inertia.
            density = self.fluid.density if state == NOMINAL else self.fluid.density_ends[0]
            gaps = np.broadcast_arrays(*(line.gap(pressure) for line in lines), pressure)[:-1]
            found.append(
                slit_leakage(
                    curve=curve,
                    density=density,
                    width=self.column("seal_width"),
                    gap=np.stack(gaps),
                    land_length=self.column("seal_land"),
                    pressure_per_stage=pressure,
                    sliding_speed=sliding,
                )
            )
        low = np.stack([np.asarray(each.low) for each in found])
        newtonian = all(each.low is each.high for each in found)
        high = low if newtonian else np.stack([np.asarray(each.high) for each in found])
        return [
            [
                SlipEnds(part, part if newtonian else high[:, line, at])
                for line, part in enumerate(np.moveaxis(low[:, :, at], 1, 0))
            ]
            for at in range(len(flows))
        ]

    @cached_property
    def _slips(self) -> tuple[list[SlipEnds], list[SlipEnds]]:
        """Slip of each way of sealing at the highest and at the lowest flow.

        One flow at the tip is no single one of a side whose share of it has a range.
        """
        if self._outlet.one_flow and np.all(self.flow_low == self.flow_high):
            (fast,) = self._leaks([self._outlet.slip_fast], [self.flow_high])
            return fast, fast
        pressures = [self._outlet.slip_fast, self._outlet.slip_slow]
        fast, slow = self._leaks(pressures, [self.flow_high, self.flow_low])
        return fast, slow

    @figure
    def speed(self) -> Bound:
        """Rotor speed that delivers the highest flow. [1/s]

        The hard end has the worst slip times its uncertainty; the nominal end has it divided,
        so that slip alone rules a head out only where even its kindest value does.
        """
        least_moved, usual, most_moved = (self.column("displacement", end) for end in ENDS)
        kind, nominal, hard = [], [], []
        for line, slip in zip(self.seals.lines, self._slips[0], strict=True):
            least = slip.low / line.factor
            # Slip that nobody can work out is at least none.
            kind.append((self.flow_high + np.nan_to_num(least.min(axis=0))) / most_moved)
            nominal.append((self.flow_high + least[NOMINAL]) / usual)
            worst = slip.high.max(axis=0) * line.factor
            hard.append((self.flow_high + worst) / least_moved)
        return Bound(
            kind=self.seals.of_stators(kind),
            nominal=self.seals.of_stators(nominal),
            hard=self.seals.of_stators(hard),
            corner=f"{self.fluid.thin_words} or thick, most slip, highest flow",
            estimated=self.fluid.estimated,
        )

    @figure
    def slip_error(self) -> Bound:
        """Share of the flow by which slip moves it over the stated range. [-]

        The head is set on the scale at some flow of some material in the range, and its speed
        follows the flow from there: what counts is how far the share that slips changes, with the
        material at one flow and with the flow, which slip does not follow.
        """
        mild, worst = self._over_lines(_moved)
        return Bound(
            kind=mild,
            nominal=mild,
            hard=worst,
            corner="thin to thick, most slip, lowest to highest flow",
            estimated=self.fluid.estimated,
        )

    @figure
    def slip_at_one_flow(self) -> Floats:
        """The part of it that changes while the flow does not, at the hard end. [-]"""
        return self._over_lines(_moved_at_one)[1]

    @figure
    def slip_unset(self) -> Floats:
        """Most that slips over the least, as a share of the flow, of a head that nobody set. [-]"""
        return self._over_lines(_unset)[1]

    def _over_lines(self, work: Callable[..., tuple[Floats, Floats]]) -> tuple[Floats, Floats]:
        """Two figures of each way of sealing, from slip as a share of each of the two flows."""
        found = []
        for line, fast, slow in zip(self.seals.lines, *self._slips, strict=True):
            flows = [(fast, self.flow_high)]
            if slow is not fast:
                flows.append((slow, self.flow_low))
            found.append(work(line, *(_shares(slip, flow) for slip, flow in flows)))
        first, second = zip(*found, strict=True)
        return self.seals.of_stators(list(first)), self.seals.of_stators(list(second))


def _shares(slip: SlipEnds, flow: float) -> tuple[SlipEnds, SlipEnds]:
    """Least and most that slips as a share of a flow, by either bound of the model. [-]"""
    first = slip.low.min(axis=0) / flow, slip.low.max(axis=0) / flow
    if slip.low is slip.high:
        return SlipEnds(first[0], first[0]), SlipEnds(first[1], first[1])
    second = slip.high.min(axis=0) / flow, slip.high.max(axis=0) / flow
    return SlipEnds(first[0], second[0]), SlipEnds(first[1], second[1])


def _moved(line: SealLine, *flows: tuple[SlipEnds, SlipEnds]) -> tuple[Floats, Floats]:
    """Change of the share over flows: kindest and hardest. [-]

    Each model bound against itself: what the model does not know, the scale does.
    """
    first, second = (
        np.maximum.reduce([most[end] for _, most in flows])
        - np.minimum.reduce([least[end] for least, _ in flows])
        for end in range(2)
    )
    return np.minimum(first, second) / line.factor, np.maximum(first, second) * line.factor


def _moved_at_one(line: SealLine, *flows: tuple[SlipEnds, SlipEnds]) -> tuple[Floats, Floats]:
    """The same at whichever flow it is most. [-]"""
    kindest, hardest = zip(*(_moved(line, flow) for flow in flows), strict=True)
    return np.maximum.reduce(kindest), np.maximum.reduce(hardest)


def _unset(line: SealLine, *flows: tuple[SlipEnds, SlipEnds]) -> tuple[Floats, Floats]:
    """The least that slips, and by how much the most passes it. [-]"""
    least = np.minimum.reduce([least.low for least, _ in flows]) / line.factor
    most = np.maximum.reduce([most.high for _, most in flows]) * line.factor
    return least, most - least
