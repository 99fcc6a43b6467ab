"""Many materials as one: a subject whose figures are arrays with one entry a material.

The rules broadcast, so they judge such a subject as they judge a single one, provided that
whatever they branch on is alike in all of its materials: `kin` says which are.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.practice import Practice
from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    FlowCurve,
    HerschelBulkley,
    Newtonian,
    PowerLaw,
)
from configurator.request.intake import Filled
from configurator.request.material import Component, Filler
from configurator.rules.filler import bore_ratio_needed
from configurator.rules.fluid import Fluid
from configurator.rules.subject import Subject
from configurator.units.interval import Basis
from configurator.units.quantity import Quantity

Floats = NDArray[np.float64]
Curves = tuple[FlowCurve, FlowCurve, FlowCurve]

PARAMETERS: dict[type[FlowCurve], tuple[str, ...]] = {
    Newtonian: ("constant",),
    PowerLaw: ("consistency", "index"),
    Bingham: ("yield_stress", "plastic_viscosity"),
    HerschelBulkley: ("yield_stress", "consistency", "index"),
    Casson: ("yield_stress", "casson_viscosity"),
    Carreau: ("zero_viscosity", "infinite_viscosity", "relaxation_time", "index"),
}
"""Arguments of each curve, in the order in which it takes them."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A quantity of many materials, with the one basis that they share.

    Attributes
    ----------
    low, nominal, high : ndarray
        In SI, one entry a material.
    basis : Basis
        Where all of them come from.
    """

    low: Floats
    nominal: Floats
    high: Floats
    basis: Basis


def kin(subject: Subject) -> Hashable:
    """What rules branch on: one-part materials with equal answers can be stacked.

    Parameters
    ----------
    subject : Subject
        One-part, worked out.
    """
    ((_, component),) = subject.filled.material.components
    (fluid,) = subject.fluids
    filler = component.filler
    return (
        tuple(_form(curve) for curve in fluid.curves),
        fluid.estimated,
        bool(np.isinf(fluid.highest_rate)),
        None if filler is None else _filler_form(filler, subject.catalog.practice),
        _stated(component.vapour_pressure),
        _stated(component.shear_rate_max),
        "shear" in component.sensitive_to,
    )


def _form(curve: FlowCurve) -> Hashable:
    """The curve's model; points that no model describes stand alone."""
    return type(curve) if type(curve) in PARAMETERS else curve


def _filler_form(filler: Filler, practice: Practice) -> Hashable:
    return (
        filler.mohs is None,
        filler.hollow,
        bore_ratio_needed(practice, filler),
        _stated(filler.d99),
        _stated(filler.crush_pressure),
    )


def _stated(quantity: Quantity | None) -> Basis | None:
    return None if quantity is None else quantity.basis


def stacked(subjects: Sequence[Subject], axes: int) -> Subject:
    """Lay subjects of one kin along the first axis.

    Parameters
    ----------
    subjects : sequence of Subject
        One-part, with equal `kin`.
    axes : int
        Axes behind the first that the arrays are to broadcast over.

    Returns
    -------
    Subject
        With arrays of shape (subjects, 1, ...) for numbers. What rules do not read keeps the
        first subject's words.
    """
    first = subjects[0]
    shape = (len(subjects),) + (1,) * axes

    def column(values: Sequence[float]) -> Floats:
        return np.array(values, dtype=np.float64).reshape(shape)

    components = [subject.filled.material.components[0][1] for subject in subjects]
    material = first.filled.material.model_copy(
        update={"component": _component(components, column)}
    )
    fluid = _fluid([subject.fluids[0] for subject in subjects], column)
    return replace(
        first,
        filled=Filled(material, ()),
        fluids=(fluid,),
        outlet_fluid=fluid,
        contacts={},
    )


Column = Callable[[Sequence[float]], Floats]


def _component(components: Sequence[Component], column: Column) -> Component:
    first = components[0]
    update: dict[str, object] = {
        name: _spread([getattr(component, name) for component in components], column)
        for name in ("vapour_pressure", "shear_rate_max")
    }
    if first.filler is not None:
        fillers = [component.filler for component in components]
        of_filler = {
            name: _spread([getattr(filler, name) for filler in fillers], column)
            for name in ("d99", "crush_pressure", "mohs")
        }
        update["filler"] = first.filler.model_copy(update=of_filler)
    return first.model_copy(update=update)


def _spread(quantities: Sequence[Quantity | None], column: Column) -> Spread | None:
    known = [quantity for quantity in quantities if quantity is not None]
    if not known:
        return None
    return Spread(
        column([quantity.low for quantity in known]),
        column([quantity.nominal for quantity in known]),
        column([quantity.high for quantity in known]),
        known[0].basis,
    )


def _fluid(fluids: Sequence[Fluid], column: Column) -> Fluid:
    first = fluids[0]
    curves = tuple(_curve([fluid.curves[end] for fluid in fluids], column) for end in range(3))
    return replace(
        first,
        curves=(curves[0], curves[1], curves[2]),
        density=column([float(fluid.density) for fluid in fluids]),
        highest_rate=column([float(fluid.highest_rate) for fluid in fluids]),
    )


def _curve(curves: Sequence[FlowCurve], column: Column) -> FlowCurve:
    kind = type(curves[0])
    if kind not in PARAMETERS:
        return curves[0]
    values = (column([getattr(curve, name) for curve in curves]) for name in PARAMETERS[kind])
    return kind(*values)
