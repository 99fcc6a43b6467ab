"""One request against one frame of parts: what all rules look at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import SIDE_SLOTS
from configurator.catalog.practice import Practice
from configurator.chemistry.contact import Contact
from configurator.chemistry.evidence import Evidence
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.taper_flow import taper_pressure_drop, taper_start_pressure
from configurator.physics.tube_flow import end_loss, start_pressure, tube_pressure_drop
from configurator.request.intake import Filled
from configurator.request.request import Request
from configurator.rules.basis import basis_of
from configurator.rules.comparison import Bound, cut
from configurator.rules.duty import Duty
from configurator.rules.fluid import Fluid
from configurator.rules.frame import Frame
from configurator.rules.mixer import Mixer
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.interval import Basis

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Subject:
    """What is asked, worked out once: it does not depend on any part.

    Attributes
    ----------
    request : Request
        As asked.
    filled : Filled
        The material with bounded estimates in its gaps.
    catalog : Catalog
        What can be built from.
    duty : Duty
        The process as numbers.
    fluids : tuple of Fluid
        One a side, as metered.
    shares : tuple of float
        Volume share of the flow that each side meters.
    outlet_fluid : Fluid
        What leaves the tip.
    evidence : Evidence
        What the shop has measured.
    contacts : dict
        Judged contacts by side prefix, material code and compound: worked out when first asked.
    """

    request: Request
    filled: Filled
    catalog: Catalog
    duty: Duty
    fluids: tuple[Fluid, ...]
    shares: tuple[float, ...]
    outlet_fluid: Fluid
    evidence: Evidence = field(default_factory=Evidence)
    contacts: dict[tuple[str, str, str], Contact] = field(default_factory=dict)


class Case:
    """A subject and a frame, with everything that several rules need worked out once."""

    def __init__(self, subject: Subject, frame: Frame) -> None:
        self.subject = subject
        self.frame = frame
        self.duty = subject.duty
        self.process = subject.request.process
        self.material = subject.filled.material
        self.practice: Practice = subject.catalog.practice

    def only(self, live: Mapping[str, NDArray[np.intp]]) -> Case:
        """The case over fewer parts of a grid; pressures that were worked out are kept.

        Parameters
        ----------
        live : Mapping
            By slot, places among this case's parts.
        """
        fewer = Case(self.subject, self.frame.only(live))
        kept = {axis + 1: live[slot] for axis, slot in enumerate(self.frame.slots) if slot in live}
        for name in ("back_pressure_fast", "back_pressure_slow"):
            if name in vars(self):
                vars(fewer)[name] = cut(vars(self)[name], kept)
        return fewer

    @cached_property
    def sides(self) -> tuple[Side, ...]:
        """One metering side for a one-part material, two for a two-part one."""
        return tuple(
            Side(case=self, prefix=prefix, component=component, fluid=fluid, share=share)
            for (prefix, component), fluid, share in zip(
                self.material.components, self.subject.fluids, self.subject.shares, strict=True
            )
        )

    @cached_property
    def prefixes(self) -> tuple[str, ...]:
        """Slot prefixes of the sides: one empty, or `a.` and `b.`."""
        return tuple(prefix for prefix, _ in self.material.components)

    def column(self, slot: str, field: str) -> Floats:
        """A figure of a shared slot's parts, in SI."""
        return self.frame.column(slot, field)

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
        bore = self.column("outlet", "bore")
        length = self.column("outlet", "length")
        losses = []
        for curve in self.subject.outlet_fluid.curves:
            along = tube_pressure_drop(curve=curve, flow_rate=flow, bore=bore, length=length)
            ends = end_loss(curve=curve, flow_rate=flow, bore=bore)
            losses.append(self._with_cones(np.asarray(along), curve, flow) + ends)
        return np.stack(losses)

    def _with_cones(self, straight: Floats, curve: FlowCurve, flow: float) -> Floats:
        """Loss along the tips: that of a cone where one tapers, of a tube elsewhere. [Pa]"""
        columns = (self.column("outlet", name) for name in ("bore", "entry_bore", "length"))
        bore, entry, length = columns
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

    @cached_property
    def tip_start(self) -> Floats:
        """Pressure at which the material begins to move in the tip. [Pa]"""
        bore = self.column("outlet", "bore")
        entry = self.column("outlet", "entry_bore")
        length = self.column("outlet", "length")
        tapered = entry > bore * 1.001
        held = self.subject.outlet_fluid.curves[2].yield_stress
        straight = start_pressure(yield_stress=held, bore=bore, length=length)
        cone = taper_start_pressure(
            yield_stress=held,
            bore_in=np.where(tapered, entry, bore * 2.0),
            bore_out=bore,
            length=length,
        )
        return np.asarray(np.where(tapered, cone, straight))

    @cached_property
    def mixer(self) -> Mixer:
        """The mixing slot of a two-part material."""
        return Mixer(self)

    def behind_outlet(self, flow: float) -> Floats:
        """Pressure behind tip and mixer at a flow; shape (3, ...): thin to thick. [Pa]"""
        loss = self.tip_loss(flow)
        if self.material.two_part:
            loss = (loss + self.mixer.loss(flow)) * self.mixer.thickening(flow)
        return loss + self._mouth

    @cached_property
    def back_pressure_fast(self) -> Floats:
        """Pressure behind the outlet at the highest flow; shape (3, ...): thin to thick. [Pa]"""
        return self.behind_outlet(self.duty.flow.high)

    @cached_property
    def back_pressure_slow(self) -> Floats:
        """The same at the lowest flow. [Pa]"""
        if self.duty.flow.low == self.duty.flow.high:
            return self.back_pressure_fast
        return self.behind_outlet(self.duty.flow.low)

    @cached_property
    def _mouth(self) -> Floats:
        mouth = self.duty.back_pressure
        ends = np.array([mouth.low, mouth.nominal, mouth.high])
        return ends.reshape((3,) + (1,) * self.frame.ndim)

    @cached_property
    def pressure(self) -> Bound:
        """Highest pressure the outlet asks for: thickest material, highest flow. [Pa]"""
        fluid = self.subject.outlet_fluid
        fast = self.back_pressure_fast
        return Bound.highest(
            fast, fast[1], f"{fluid.thick_words}, highest flow", estimated=fluid.estimated
        )

    def basis(self, rule: Rule, side: Side) -> Basis:
        """What the weakest input from the request and the shop practice rests on."""
        return basis_of(
            rule.asks,
            component=side.component,
            material=self.material,
            process=self.process,
            practice=self.practice,
            practice_fields=rule.practice,
        )


def slots_of(*, two_part: bool) -> tuple[str, ...]:
    """Slots of a build in the order in which it is named."""
    if not two_part:
        return (*SIDE_SLOTS[:-1], "mixing", "outlet", SIDE_SLOTS[-1])
    sides = tuple(f"{side}.{slot}" for side in ("a", "b") for slot in SIDE_SLOTS)
    return (*sides, "mixing", "outlet")
