"""Many requests as one: a subject whose figures are arrays with one entry a request.

The rules broadcast, so they judge such a subject as they judge a single one. What a request does
not state is NaN, and what does not concern it is put where no limit is ever met.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, cast

import numpy as np
from pydantic import BaseModel

from configurator.engine.arrays import IntArray
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.many_curves import together
from configurator.request.intake import Filled
from configurator.request.material import Component, Filler, Material
from configurator.rules.cure import Cure, Ends
from configurator.rules.duty import Duty
from configurator.rules.fluid import Fluid
from configurator.rules.frame import Flags, Floats
from configurator.rules.mixed import VolumeShare
from configurator.rules.subject import Subject
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import Quantity

Column = Callable[[Sequence[float]], Floats]
Curves = Callable[[Sequence[FlowCurve]], FlowCurve]


@dataclass(frozen=True, slots=True)
class Spread:
    """A quantity of many requests."""

    low: Floats
    nominal: Floats
    high: Floats
    """In SI, one entry a request."""
    estimated: Flags
    """True where it is somebody's estimate."""
    basis: Basis
    """Of the first request: what findings rest on is asked of each by itself."""


def batch_key(subject: Subject) -> Hashable:
    """What rules branch on: requests with equal keys can be judged as one."""
    return subject.filled.material.two_part, id(subject.catalog), id(subject.question.process)


def batched(subjects: Sequence[Subject], axes: int, of: IntArray | None = None) -> Subject:
    """Lay requests with equal `batch_key` along the first axis of one subject.

    Numbers become arrays of shape (places, 1, ...), with so many axes behind the first. The request
    at each place is the one that `of` says; each comes once without it. What only rules in words
    read is that of the first request.
    """
    first = subjects[0]
    places = np.arange(len(subjects)) if of is None else of
    column = column_of(places, axes)

    def curves(each: Sequence[FlowCurve]) -> FlowCurve:
        return together(each, axes, places)

    fluids = tuple(
        _fluid([subject.fluids[side] for subject in subjects], column, curves)
        for side in range(len(first.fluids))
    )
    shares: tuple[Any, ...] = tuple(
        VolumeShare._make(cast("Any", map(column, zip(*of_side, strict=True))))
        for of_side in zip(*(subject.shares for subject in subjects), strict=True)
    )
    mixed = first.filled.material.two_part
    return replace(
        first,
        filled=Filled(_material([subject.filled.material for subject in subjects], column), ()),
        fluids=fluids,
        shares=shares if mixed else first.shares,
        outlet_fluid=_fluid([subject.outlet_fluid for subject in subjects], column, curves)
        if mixed
        else fluids[0],
        cure=_cure([subject.cure for subject in subjects if subject.cure is not None], column)
        if mixed
        else None,
        contacts={},
        anaerobic_rows=_flags([subject.anaerobic for subject in subjects], column),
    )


def column_of(places: IntArray, axes: int) -> Column:
    """What lays the number of each place's request along the first axis, before some others."""
    return lambda values: np.array(values, dtype=np.float64)[places].reshape(-1, *(1,) * axes)


def _material(materials: Sequence[Material], column: Column) -> Material:
    first = materials[0]
    if not first.two_part:
        return first.model_copy(update={"component": _of_side(materials, 0, column)})
    tolerances = [each.mix.ratio_tolerance for each in materials if each.mix is not None]
    assert first.mix is not None  # a two-part material has one
    mix = first.mix.model_copy(update={"ratio_tolerance": spread_of(tolerances, column)})
    update = {"a": _of_side(materials, 0, column), "b": _of_side(materials, 1, column)}
    return first.model_copy(update={**update, "mix": mix})


def _of_side(materials: Sequence[Material], side: int, column: Column) -> Component:
    return _component([material.components[side][1] for material in materials], column)


def _cure(cures: Sequence[Cure], column: Column) -> Cure:
    def ends(every: Sequence[Ends]) -> Ends:
        kind, nominal, hard = (column([float(of[end]) for of in every]) for end in range(3))
        return kind, nominal, hard

    return Cure(
        pot_life=ends([cure.pot_life for cure in cures]),
        doublings=ends([cure.doublings for cure in cures]),
        estimated=_flags([cure.estimated for cure in cures], column),
        thickens_by_estimate=_flags([cure.thickens_by_estimate for cure in cures], column),
    )


def _flags(values: Sequence[bool | Flags], column: Column) -> bool | Flags:
    """One answer where all agree, for an array of them makes wide tables wider."""
    every = [bool(value) for value in values]
    return every[0] if len(set(every)) == 1 else column(every) > 0.0


def _component(components: Sequence[Component], column: Column) -> Component:
    first = components[0]
    # Whom shear does not hurt and who states no limit stands any rate; who is hurt by it and
    # states none stands an unknown one.
    hurt = any(
        each.shear_rate_max is not None or "shear" in each.sensitive_to for each in components
    )
    stands = [np.nan if "shear" in each.sensitive_to else np.inf for each in components]
    thixotropic = column([each.flow.thixotropic for each in components]) > 0.0
    update: dict[str, object] = {
        "flow": first.flow.model_copy(update={"thixotropic": thixotropic}),
        "vapour_pressure": spread_of([each.vapour_pressure for each in components], column, 0.0),
        "shear_rate_max": spread_of([each.shear_rate_max for each in components], column, stands)
        if hurt
        else None,
        "bulk_modulus": spread_of([each.bulk_modulus for each in components], column),
        "surface_tension": spread_of([each.surface_tension for each in components], column),
        "open_time": spread_of([each.open_time for each in components], column, np.inf),
        "filler": _fillers([each.filler for each in components], column),
    }
    return first.model_copy(update=update)


def _fillers(fillers: Sequence[Filler | None], column: Column) -> Filler | None:
    """A filler whose figures are arrays; where there is none, its hardness is below any."""
    found = [filler for filler in fillers if filler is not None]
    if not found:
        return None

    def flags(read: Callable[[Filler], bool]) -> Flags:
        return column([filler is not None and read(filler) for filler in fillers]) > 0.0

    def spread(name: str, absent: float) -> Spread:
        values = [None if filler is None else getattr(filler, name) for filler in fillers]
        without = [absent if filler is None else np.nan for filler in fillers]
        found = spread_of(values, column, without)
        return found or Spread(*(column(without),) * 3, flags(bool) & False, Basis.DATASHEET)

    flat = ("flake", "fibre")
    return found[0].model_copy(
        update={
            "d99": spread("d99", np.nan),
            "crush_pressure": spread("crush_pressure", np.nan),
            "mohs": spread("mohs", -np.inf),
            "volume_fraction": spread("volume_fraction", np.nan),
            "hollow": flags(lambda filler: filler.hollow),
            "shape": np.where(
                flags(lambda filler: filler.shape in flat),
                "flake",
                np.where(flags(lambda filler: filler.shape == "sphere"), "sphere", "irregular"),
            ),
        }
    )


def spread_of(
    quantities: Sequence[Quantity | Interval | None],
    column: Column,
    without: float | Sequence[float] = np.nan,
) -> Spread | None:
    """Quantities as arrays, with some other figure where there is none; None if nobody has one."""
    stated = [quantity for quantity in quantities if quantity is not None]
    if not stated and np.ndim(without) == 0:
        return None
    others = np.broadcast_to(without, len(quantities)).tolist()

    def end(name: str) -> Floats:
        return column(
            [
                other if quantity is None else getattr(quantity, name)
                for quantity, other in zip(quantities, others, strict=True)
            ]
        )

    known = [each.basis if isinstance(each, Quantity) else Basis.DATASHEET for each in quantities]
    estimated = [basis is Basis.ESTIMATED for basis in known]
    basis = next((each.basis for each in stated if isinstance(each, Quantity)), Basis.DATASHEET)
    return Spread(end("low"), end("nominal"), end("high"), column(estimated) > 0.0, basis)


def _corners(
    fluids: Sequence[Fluid], ends: tuple[FlowCurve, FlowCurve], curves: Curves
) -> tuple[FlowCurve, ...]:
    """Corners of fluids that have unlike numbers of them: the last one stands in for more."""
    most = max(len(fluid.corners) for fluid in fluids)
    if most <= len(ends):
        return ends[:most]
    return tuple(
        curves([fluid.corners[min(at, len(fluid.corners) - 1)] for fluid in fluids])
        for at in range(most)
    )


def _fluid(fluids: Sequence[Fluid], column: Column, curves: Curves) -> Fluid:
    first = fluids[0]
    thin, nominal, thick = (curves([fluid.curves[end] for fluid in fluids]) for end in range(3))

    def batches(
        read: Callable[[Fluid], tuple[FlowCurve, FlowCurve]],
    ) -> tuple[FlowCurve, FlowCurve]:
        """Ends of the batches at one temperature."""
        ends = [read(fluid) for fluid in fluids]
        low = curves([end[0] for end in ends])
        if not any(fluid.batches for fluid in fluids):
            return low, low
        return low, curves([end[1] for end in ends])

    return replace(
        first,
        curves=(thin, nominal, thick),
        reference=nominal,  # only a mixture asks for it, before requests are laid together
        warm=batches(lambda fluid: fluid.warm),
        cold=batches(lambda fluid: fluid.cold),
        corners=_corners(fluids, (thin, thick), curves),
        density=column([float(fluid.density) for fluid in fluids]),
        density_ends=(
            column([float(fluid.density_ends[0]) for fluid in fluids]),
            column([float(fluid.density_ends[1]) for fluid in fluids]),
        ),
        lowest_rate=column([float(fluid.lowest_rate) for fluid in fluids]),
        highest_rate=column([float(fluid.highest_rate) for fluid in fluids]),
        estimated=_flags([fluid.estimated for fluid in fluids], column),
    )


def process_key(model: BaseModel) -> Hashable:
    """What a process states at all: those with equal keys can be judged as one."""
    return type(model), tuple(
        process_key(value) if isinstance(value, BaseModel) else value is None
        for value in (getattr(model, name) for name in type(model).model_fields)
    )


def with_processes(stack: Subject, subjects: Sequence[Subject], axes: int = 0) -> Subject:
    """Lay the processes of requests with equal `process_key` along the first axis as well.

    The stack holds the same requests with their materials laid along it. Numbers that differ become
    arrays of shape (subjects, 1, ...); words are those of the first.
    """
    column = column_of(np.arange(len(subjects)), axes)
    process = _together([subject.question.process for subject in subjects], column)
    duties = [subject.duty for subject in subjects]
    question = replace(stack.question, process=process)
    return replace(stack, question=question, duty=_duty(duties, column))


def _together(models: Sequence[Any], column: Column) -> Any:
    first = models[0]
    update: dict[str, object] = {}
    for name in type(first).model_fields if any(each is not first for each in models) else ():
        values = [getattr(each, name) for each in models]
        if any(value is not values[0] and value != values[0] for value in values):
            if isinstance(values[0], BaseModel):
                update[name] = _together(values, column)
            elif isinstance(values[0], Quantity):
                update[name] = spread_of(values, column)
    return first.model_copy(update=update) if update else first


def _duty(duties: Sequence[Duty], column: Column) -> Duty:
    update: dict[str, Any] = {}
    for each in fields(Duty):
        values = [getattr(duty, each.name) for duty in duties]
        if all(value is values[0] or value == values[0] for value in values):
            continue
        if isinstance(values[0], Interval):
            update[each.name] = spread_of(values, column)
        elif isinstance(values[0], float):
            update[each.name] = column(values)
    return replace(duties[0], **update)
