"""The thickest and the thinnest that a stated flow allows, at its reference temperature.

Plain numbers, ready for a flow curve: a request knows no physics.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import product

from configurator.request.estimates import READING_RATE, index_for
from configurator.request.material import MODEL_KEYS, Flow, FlowModel
from configurator.request.material_sense import stress_ends
from configurator.units.interval import OPPOSITE, Basis, End, Interval
from configurator.units.quantity import Quantity


@dataclass(frozen=True, slots=True)
class FlowParameters:
    """One flow curve as numbers."""

    model: FlowModel
    values: Mapping[str, float] = field(default_factory=dict)
    """Its parameters in SI, by the names of a material file; empty for measured points."""
    rates: tuple[float, ...] = ()
    """Shear rates of measured points, else empty. [1/s]"""
    stresses: tuple[float, ...] = ()
    """Shear stresses of measured points, else empty. [Pa]"""


@dataclass(frozen=True, slots=True)
class FlowBounds:
    """The ends of a stated flow."""

    thin: FlowParameters
    """Lower ends of tolerance and batch spread."""
    nominal: FlowParameters
    thick: FlowParameters
    """Upper ends."""
    estimated: bool
    """True if a parameter is an estimate and not stated."""


def flow_bounds(flow: Flow) -> FlowBounds:
    """Return the thinnest, nominal and thickest curve of a flow at its reference temperature.

    Tolerances and the batch spread count in full, together. The thick curve lies above every
    curve that the stated ranges allow, at any shear rate. The thin one lies below them from
    1 1/s up: an index with a tolerance pivots there, where the consistency is defined. With a
    lone reading it lies below at any rate.
    """
    spread = _batch_spread(flow)
    scales: dict[End, float] = {"low": 1.0 - spread, "nominal": 1.0, "high": 1.0 + spread}
    if flow.points is not None:
        make = _points
    elif flow.model is None:
        make = _reading
    else:
        make = _model
    thin, nominal, thick = (make(flow, end, scale) for end, scale in scales.items())
    return FlowBounds(thin, nominal, thick, estimated=_estimated(flow))


SHAPES = frozenset({"index", "relaxation_time"})
"""Parameters of a flow curve that are no amount of stress: temperature and batch leave them."""


def parameter_corners(flow: Flow, warmth: tuple[float, float]) -> tuple[FlowParameters, ...]:
    """Return what a flow may be with each parameter at an end of its own range.

    Temperature moves what is an amount of stress by `warmth`, least and most [-]; a yield stress
    need not move with the viscosity. Empty where one factor moves the whole curve, so that its two
    ends say all, and for measured points.
    """
    if flow.points is not None:
        return ()
    spread = _batch_spread(flow)
    factors = warmth[0] * (1.0 - spread), warmth[1] * (1.0 + spread)
    if flow.model is None:
        return _reading_corners(flow, factors)
    stated = {key: getattr(flow, key) for key in MODEL_KEYS[flow.model]}
    ranged = {key for key, quantity in stated.items() if quantity.low < quantity.high}
    amounts = [key for key in stated if key not in SHAPES]
    if not ranged or (len(amounts) == 1 and not ranged & SHAPES):
        return ()
    least, most = factors
    ends: list[list[float]] = []
    for key, quantity in stated.items():
        if key not in SHAPES:
            ends.append([quantity.low * least, quantity.high * most])
        else:
            ends.append([quantity.low, quantity.high] if key in ranged else [quantity.nominal])
    return tuple(
        FlowParameters(flow.model, dict(zip(stated, values, strict=True)))
        for values in product(*ends)
    )


def _batch_spread(flow: Flow) -> float:
    return 0.0 if flow.batch_spread is None else flow.batch_spread.high


def _reading_corners(flow: Flow, factors: tuple[float, float]) -> tuple[FlowParameters, ...]:
    """Power laws through the ends of a lone reading, with each end of the index."""
    assert flow.viscosity is not None  # a flow without model has a viscosity
    index = _index(flow)
    if index.low == index.high:
        return ()
    rates = READING_RATE if flow.shear_rate is None else flow.shear_rate.interval
    ends = (
        (flow.viscosity.low * factors[0], rates.low),
        (flow.viscosity.high * factors[1], rates.high),
    )
    return tuple(
        FlowParameters(
            "power law", {"consistency": viscosity * rate ** (1.0 - exponent), "index": exponent}
        )
        for exponent in (index.low, index.high)
        for viscosity, rate in ends
    )


def _index(flow: Flow) -> Interval:
    if flow.index is not None:
        return flow.index.interval
    return index_for(thixotropic=flow.thixotropic, filler=None)


def _estimated(flow: Flow) -> bool:
    if flow.model is None and flow.points is None and flow.index is None:
        return True
    keys = {key for keys in MODEL_KEYS.values() for key in keys} | {"shear_rate", "batch_spread"}
    given = (getattr(flow, key) for key in keys)
    return any(isinstance(each, Quantity) and each.basis is Basis.ESTIMATED for each in given)


def _points(flow: Flow, end: End, scale: float) -> FlowParameters:
    assert flow.points is not None  # the caller looked
    place = ("low", "nominal", "high").index(end)
    return FlowParameters(
        "points",
        rates=tuple(point.rate.nominal for point in flow.points),
        stresses=tuple(stress_ends(point)[place] * scale for point in flow.points),
    )


def _model(flow: Flow, end: End, scale: float) -> FlowParameters:
    assert flow.model is not None  # the caller looked
    values = {key: _at(getattr(flow, key), end) for key in MODEL_KEYS[flow.model]}
    for key in values.keys() - SHAPES:
        values[key] *= scale
    if flow.relaxation_time is not None:
        # A longer relaxation time means thinning from a lower rate on: thinner.
        values["relaxation_time"] = _at(flow.relaxation_time, OPPOSITE[end])
        return FlowParameters(flow.model, values)
    extra = 0.0
    if flow.index is not None and end == "high":
        extra = _envelope_yield(values["consistency"], flow.index.interval)
    if not extra:
        return FlowParameters(flow.model, values)
    values["yield_stress"] = values.get("yield_stress", 0.0) + extra
    return FlowParameters("herschel-bulkley", values)


def _reading(flow: Flow, end: End, scale: float) -> FlowParameters:
    """One viscosity `eta` at a rate `g0`, behind it `eta * g0 * (g/g0)^n` with n in a range.

    Above `g0` the greatest n is thickest, below it the least. Thick: the greatest n everywhere,
    plus the yield stress that lifts it over the least n below `g0`. Thin: constant below `g0`,
    falling with the least n above it, as a Carreau curve, which lies under both.
    """
    assert flow.viscosity is not None  # a flow without model has a viscosity
    index = _index(flow)
    rates = READING_RATE if flow.shear_rate is None else flow.shear_rate.interval
    viscosity = _at(flow.viscosity, end) * scale
    if end == "low":
        values = {
            "zero_viscosity": viscosity,
            "infinite_viscosity": 0.0,
            "relaxation_time": 1.0 / rates.low,
            "index": index.low,
        }
        return FlowParameters("carreau", values)
    if end == "nominal" and index.nominal == 1.0:
        return FlowParameters("newtonian", {"viscosity": viscosity})
    rate, exponent = (
        (rates.nominal, index.nominal)
        if end == "nominal"
        else (
            rates.high,
            index.high,
        )
    )
    values = {"consistency": viscosity * rate ** (1.0 - exponent), "index": exponent}
    if end == "nominal":
        return FlowParameters("power law", values)
    values["yield_stress"] = _envelope_yield(viscosity * rate, index)
    return FlowParameters("herschel-bulkley", values)


def _envelope_yield(stress: float, index: Interval) -> float:
    """Return the stress that lifts `x^high` over `x^low` for x from 0 to 1, times `stress`."""
    if index.low == index.high:
        return 0.0
    place: float = (index.low / index.high) ** (1.0 / (index.high - index.low))
    lift: float = place**index.low - place**index.high
    return stress * lift


def _at(quantity: Quantity, end: End) -> float:
    match end:
        case "low":
            return quantity.low
        case "nominal":
            return quantity.nominal
        case "high":
            return quantity.high
