"""One side's rotor at work: how fast it turns, and how much slips back on the way."""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

import numpy as np

from configurator.physics.cavity import rubbing_speed_max
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
    """Turns, slip and speed of the rotors of one side.

    Parameters
    ----------
    seals : SealLines
        Of this side, over the same frame.
    outlet : OutletPressure
        What presses back.
    prefix : str
        Empty for a one-part material, else `a.` or `b.`.
    fluid : Fluid
        What is metered, at the ends of the range.
    share : VolumeShare
        Its volume share of the whole flow.
    """

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
        """Slip of this side against a back pressure, by the flow model alone.

        Parameters
        ----------
        back_pressure : ndarray
            In each of the outlet's `slip_states`, or one for all. [Pa]
        flow : float
            Flow of this side. [m^3/s]
        """
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
        """Slip of each way of sealing at the highest and at the lowest flow."""
        if self._outlet.one_flow:
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

        The head is set on the scale at nominal conditions, so that only the change of slip
        between the ends counts, at whichever flow it weighs most.
        """
        kind, hard = [], []
        for line, fast, slow in zip(self.seals.lines, *self._slips, strict=True):
            mildest, worst = _moved(fast, line, self.flow_high)
            if slow is not fast:
                at_slow = _moved(slow, line, self.flow_low)
                mildest, worst = np.maximum(mildest, at_slow[0]), np.maximum(worst, at_slow[1])
            kind.append(mildest)
            hard.append(worst)
        mildest = self.seals.of_stators(kind)
        return Bound(
            kind=mildest,
            nominal=mildest,
            hard=self.seals.of_stators(hard),
            corner="thin to thick, most slip",
            estimated=self.fluid.estimated,
        )


def _moved(slip: SlipEnds, line: SealLine, flow: float) -> tuple[Floats, Floats]:
    """Change of slip between the ends as a share of the flow: kindest and hardest. [-]

    Each model bound against itself: what the model does not know, the scale does.
    """
    first = np.ptp(slip.low, axis=0)
    second = first if slip.low is slip.high else np.ptp(slip.high, axis=0)
    return (
        np.minimum(first, second) / line.factor / flow,
        np.maximum(first, second) * line.factor / flow,
    )
