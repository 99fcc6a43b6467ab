"""Points inside of a request: every quantity at one value of its range, each drawn by itself.

A claim over the stated range is a claim about each of these points. A point is a request of its
own, without any range; its gaps are filled by values inside of the estimates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from configurator.request.estimates import READING_RATE
from configurator.request.intake import Filled
from configurator.request.material import Component, Flow, Material
from configurator.request.material_sense import stress_ends
from configurator.request.process import Process
from configurator.rules.duty import Duty, duty_of
from configurator.rules.fluid import Fluid, fluid_of
from configurator.rules.mixed import mixed_fluid, volume_shares
from configurator.rules.subject import Subject
from configurator.units.fields import Frozen
from configurator.units.interval import Interval
from configurator.units.quantity import Quantity

AMOUNTS_OF_STRESS = (
    "viscosity",
    "yield_stress",
    "consistency",
    "plastic_viscosity",
    "casson_viscosity",
    "zero_viscosity",
    "infinite_viscosity",
)
"""What a batch moves."""


class _Always:
    """Stands for a source of draws that always gives one share."""

    def __init__(self, share: float) -> None:
        self._share = share

    def random(self) -> float:
        """The share."""
        return self._share

    def choice(self, values: Sequence[float]) -> float:
        """The last of some values: the one between the ends."""
        return values[-1]


class Point:
    """Draws values inside of ranges: often an end of them, where a formula is most likely off.

    Parameters
    ----------
    random : Generator
        Source of the draws.
    """

    def __init__(self, random: np.random.Generator | _Always) -> None:
        self._random = random

    def value(self, interval: Interval) -> float:
        """A value of a range."""
        if interval.low == interval.high:
            return interval.nominal
        share = self._random.choice([0.0, 1.0, self._random.random()])
        return float(interval.low + share * (interval.high - interval.low))

    def of(self, quantity: Quantity) -> Quantity:
        """The quantity at one value of its range."""
        return replace(quantity, interval=Interval.exact(self.value(quantity.interval)))

    def inside(self, model: Any) -> Any:
        """A model of a file with each of its quantities at one value."""
        if isinstance(model, Quantity):
            return self.of(model)
        if isinstance(model, tuple):
            return tuple(map(self.inside, model))
        if isinstance(model, Flow):
            return self._flow(model)
        if isinstance(model, Frozen):
            update = {key: self.inside(getattr(model, key)) for key in type(model).model_fields}
            return model.model_copy(update=update)
        return model

    def _flow(self, flow: Flow) -> Flow:
        """One flow curve of one batch; a lone reading is a power law through it."""
        at = {key: self.inside(getattr(flow, key)) for key in type(flow).model_fields}
        if flow.points is not None:
            # What one point is off by, the others are: a tolerance is that of the instrument.
            alike = Point(_Always(self._random.random()))
            at["points"] = tuple(map(alike.inside, flow.points))
        batch = 1.0
        if flow.batch_spread is not None:
            spread = flow.batch_spread.high
            batch = self.value(Interval(1.0 - spread, 1.0, 1.0 + spread))
        at["batch_spread"] = None
        for key in AMOUNTS_OF_STRESS:
            if at[key] is not None:
                at[key] = _times(at[key], batch)
        if flow.points is not None:
            at["points"] = tuple(
                point.model_copy(
                    update={
                        key: _times(getattr(point, key), batch)
                        for key in ("viscosity", "stress")
                        if getattr(point, key) is not None
                    }
                )
                for point in at["points"]
            )
        if flow.model is None and flow.points is None:
            assert flow.viscosity is not None
            rates = READING_RATE if flow.shear_rate is None else flow.shear_rate.interval
            rate, index = self.value(rates), at["index"].nominal
            consistency = _times(at["viscosity"], rate ** (1.0 - index))
            at |= {"model": "power law", "consistency": consistency, "viscosity": None}
        if at["warm"] is not None:
            # The change with temperature is that of the nominal readings.
            at["warm"] = flow.warm
        return flow.model_copy(update=at)


def _times(quantity: Quantity, factor: float) -> Quantity:
    return replace(quantity, interval=Interval.exact(quantity.nominal * factor))


def point_of(subject: Subject, process: Process, point: Point) -> Subject:
    """A request without any range, inside of another one.

    Parameters
    ----------
    subject : Subject
        Of which the point is one.
    process : Process
        Its process at some point.
    point : Point
        Draws the material.
    """
    material: Material = point.inside(subject.filled.material)
    duty = duty_of(process)
    fluids = tuple(
        _at_a_point(told, stated, component, duty)
        for told, (_, stated), (_, component) in zip(
            subject.fluids,
            subject.filled.material.components,
            material.components,
            strict=True,
        )
    )
    shares = volume_shares(material, fluids)
    mix = material.mix
    return replace(
        subject,
        question=replace(subject.question, process=process),
        filled=Filled(material, ()),
        duty=duty,
        fluids=fluids,
        shares=shares,
        outlet_fluid=fluids[0] if mix is None else mixed_fluid(mix, fluids, shares),
        contacts={},
    )


def _at_a_point(told: Fluid, stated: Component, component: Component, duty: Duty) -> Fluid:
    """A component without any range; what a fit through points misses is no range of it."""
    if component.flow.points is None or stated.flow.points is None:
        return fluid_of(component, duty.temperature)
    # All points of a curve are off by one factor here, so that the fit through them is as well.
    (_, here, _), (_, there, _) = (stress_ends(each.flow.points[0]) for each in (component, stated))
    curve = told.reference.scaled(here / there)
    return fluid_of(component, duty.temperature, (curve, curve, curve))


def parts_inside(parts: dict[str, tuple[Any, ...]], point: Point) -> dict[str, tuple[Any, ...]]:
    """Parts with each figure at one value of its tolerance."""
    return {slot: tuple(map(point.inside, entries)) for slot, entries in parts.items()}
