"""From measured points to a flow curve, with a gate that refuses a model that does not fit.

Least squares on the logarithm of the stress, so that every decade counts the same, over the
logarithms of the parameters; the tests hold it against ``scipy.optimize.least_squares`` and against
published curves.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from configurator.physics.domain import (
    Array,
    PhysicsDomainError,
    array,
    in_one_order,
    require_positive,
)
from configurator.physics.flow_curve import FlowCurve
from configurator.physics.least_squares import LeastSquares
from configurator.physics.rheology import (
    Bingham,
    Carreau,
    Casson,
    HerschelBulkley,
    Newtonian,
    PowerLaw,
)

DEFAULT_GATE = 0.10
"""Largest root mean square of ln(stress) with which a model counts as describing the points
[-] (common practice, no source: repeat runs of one sample differ by 5 %)."""

_FLOOR = 1e-3
"""Root mean square below which two fits are equally perfect, so that the simpler one is kept."""

PERFECT = 1e-16
"""Mean square of the residuals at which a search stops: nothing is left to improve."""

NO_YIELD = 1e-6
"""Yield stress over least measured stress below which a fit has found none [-] (own choice)."""


@dataclass(frozen=True)
class Points:
    """Measured points to which a curve is fitted."""

    rates: Sequence[float] | Array
    stresses: Sequence[float] | Array
    """One stress for each rate; pairs with a NaN are left out. [1/s], [Pa]"""
    model: str | None = None
    """A name of `MODEL_NAMES`, or None for the one that describes the points best for its number of
    parameters."""


@dataclass(frozen=True)
class Fit:
    """A fitted curve, and whether it may be used.

    A refused fit still holds its curve, for a plot; no rule may use it.
    """

    curve: FlowCurve
    rms_ln: float
    accepted: bool


@dataclass(frozen=True)
class _Columns:
    """Points of many materials, each a column; where one has fewer points, its last weigh nothing.

    Entries may stand there several times, once for each start of a search.
    """

    rates: Array
    stresses: Array
    weights: Array

    @classmethod
    def of(cls, pairs: Sequence[tuple[Array, Array]]) -> "_Columns":
        shape = (max(rates.size for rates, _ in pairs), len(pairs))
        rates, stresses, weights = np.ones(shape), np.ones(shape), np.zeros(shape)
        for column, (across, up) in enumerate(pairs):
            size = across.size
            rates[:size, column], stresses[:size, column] = across, up
            weights[:size, column] = 1.0
        return cls(rates, stresses, weights)

    def at(self, places: NDArray[np.intp]) -> "_Columns":
        return _Columns(self.rates[:, places], self.stresses[:, places], self.weights[:, places])

    @property
    def sizes(self) -> Array:
        return in_one_order(self.weights)

    @property
    def least_stress(self) -> Array:
        return np.asarray(np.where(self.weights > 0.0, self.stresses, np.inf).min(axis=0))

    def known(self, values: Array) -> Array:
        """Values of the points, NaN where a column has none."""
        return np.where(self.weights > 0.0, values, np.nan)

    def mean(self, values: Array) -> Array:
        return np.asarray(in_one_order(values * self.weights) / self.sizes)


@dataclass(frozen=True)
class _Model:
    """How one model is built from unconstrained numbers, and where the search starts."""

    build: Callable[[Array], FlowCurve]
    starts: Callable[[_Columns], list[Array]]
    size: int


def _power_law_line(points: _Columns, stresses: Array) -> tuple[Array, Array]:
    """Return ln K and the index of the straight line through the log-log points."""
    across, up = np.log(points.rates), np.log(stresses)
    middle, height = points.mean(across), points.mean(up)
    off = across - middle
    spread = points.mean(off**2)
    flat = spread == 0.0
    slope = points.mean(off * (up - height)) / np.where(flat, 1.0, spread)
    intercept = height - slope * middle
    index = np.where(flat, 1.0, np.clip(slope, 0.05, 2.0))
    return np.where(flat, height - middle, intercept), index


def _power_law_starts(points: _Columns) -> list[Array]:
    line, index = _power_law_line(points, points.stresses)
    return [np.stack([line, np.log(index)])]


def _yielding_starts(points: _Columns) -> list[Array]:
    starts = []
    for share in (0.95, 0.5, 0.05):
        yielding = share * points.least_stress
        slopes = points.known((points.stresses - yielding) / points.rates)
        starts.append(np.stack([np.log(yielding), np.log(np.nanmedian(slopes, axis=0))]))
    return starts


def _herschel_bulkley_starts(points: _Columns) -> list[Array]:
    starts = []
    for share in (0.95, 0.5, 0.05):
        yielding = share * points.least_stress
        above = np.where(points.weights > 0.0, points.stresses - yielding, 1.0)
        line, index = _power_law_line(points, above)
        starts.append(np.stack([np.log(yielding), line, np.log(index)]))
    return starts


def _carreau_starts(points: _Columns) -> list[Array]:
    viscosities = np.where(points.weights > 0.0, points.stresses / points.rates, 0.0)
    plateau = np.log(viscosities.max(axis=0))
    rates = np.nanquantile(points.known(np.log(points.rates)), (0.2, 0.5, 0.8), axis=0)
    return [
        np.stack([plateau, -rate, np.full_like(rate, shape)])
        for rate in rates
        for shape in (-1.0, 0.5)
    ]


def _share(value: Array) -> Array:
    """Return a number between 0 and 1, for the index of a Carreau curve."""
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(value, -30.0, 30.0))))


def _exp(value: Array) -> Array:
    return np.asarray(np.exp(np.clip(value, -200.0, 200.0)))


_MODELS: Final[dict[str, _Model]] = {
    Newtonian.name: _Model(
        lambda p: Newtonian(_exp(p[0])),
        lambda points: [points.mean(np.log(points.stresses / points.rates))[np.newaxis]],
        1,
    ),
    PowerLaw.name: _Model(lambda p: PowerLaw(_exp(p[0]), _exp(p[1])), _power_law_starts, 2),
    Bingham.name: _Model(lambda p: Bingham(_exp(p[0]), _exp(p[1])), _yielding_starts, 2),
    Casson.name: _Model(lambda p: Casson(_exp(p[0]), _exp(p[1])), _yielding_starts, 2),
    HerschelBulkley.name: _Model(
        lambda p: HerschelBulkley(_exp(p[0]), _exp(p[1]), _exp(p[2])), _herschel_bulkley_starts, 3
    ),
    Carreau.name: _Model(
        lambda p: Carreau(_exp(p[0]), 0.0, _exp(p[1]), _share(p[2])), _carreau_starts, 3
    ),
}

MODEL_NAMES: Final = tuple(_MODELS)
"""Models that can be asked for by name."""


def _fit_one(model: _Model, points: _Columns) -> tuple[list[FlowCurve], Array]:
    """Return the best curve of one model for each column, and its root mean square of ln(stress)."""
    starts = model.starts(points)
    count = points.rates.shape[1]
    every = points.at(np.tile(np.arange(count), len(starts)))

    def missed(parameters: Array, columns: NDArray[np.intp]) -> Array:
        some = every.at(columns)
        between = (slice(None),) + (np.newaxis,) * (parameters.ndim - 2)
        stress = model.build(parameters).stress_of(some.rates[between])
        off = np.log(np.clip(stress, 1e-300, 1e300)) - np.log(some.stresses[between])
        return np.asarray(off * some.weights[between])

    search = LeastSquares(missed, PERFECT * every.sizes)
    found, costs = search.best(np.concatenate(starts, axis=1))
    first = np.argmin(costs.reshape(len(starts), count), axis=0)
    best = first * count + np.arange(count)
    least = NO_YIELD * points.least_stress
    curves = [
        _without_empty_yield(model.build(parameters), float(limit))
        for parameters, limit in zip(found[:, best].T, least, strict=True)
    ]
    return curves, np.sqrt(costs[best] / points.sizes)


def _without_empty_yield(curve: FlowCurve, least: float) -> FlowCurve:
    """Return the curve with plain numbers, its yield stress 0 where the fit drove it to nothing."""
    held = float(curve.yield_stress)
    held = 0.0 if held < least else held
    match curve:
        case Newtonian():
            return Newtonian(float(curve.constant))
        case PowerLaw():
            return PowerLaw(float(curve.consistency), float(curve.index))
        case Bingham():
            return Bingham(held, float(curve.plastic_viscosity))
        case HerschelBulkley():
            return HerschelBulkley(held, float(curve.consistency), float(curve.index))
        case Casson():
            return Casson(held, float(curve.casson_viscosity))
        case _:
            assert isinstance(curve, Carreau)  # no other model is fitted
            return Carreau(
                float(curve.zero_viscosity),
                float(curve.infinite_viscosity),
                float(curve.relaxation_time),
                float(curve.index),
            )


def _score(rms_ln: float, size: int, points: int) -> float:
    """Return the corrected information criterion: a parameter must earn its place."""
    spare = points - size - 1
    if spare <= 0:
        return float(np.inf)
    likelihood = points * 2.0 * float(np.log(max(rms_ln, _FLOOR)))
    return likelihood + 2.0 * size * points / spare


def fit_flow_curves(*, points: Sequence[Points], gate: float = DEFAULT_GATE) -> list[Fit]:
    """Fit flow curves to measured points, and say whether the models describe them.

    Parameters
    ----------
    points : Sequence
        Of many materials; each is fitted as it would be alone. [curve]
    gate : float
        Largest root mean square of ln(stress) that is accepted. [-]

    Returns
    -------
    fits : list
        For each the curve, its miss, and whether it is accepted. [curve]

    Raises
    ------
    PhysicsDomainError
        If some points are not pairs, not positive, or fewer than the model has parameters.

    Notes
    -----
    Carreau is fitted with no plateau at high rates, which needs faster rates than instruments give.

    Source: least squares on the logarithm; choice by the corrected Akaike criterion (from
    memory); compared with fits of published curves in the tests.

    Examples
    --------
    >>> paste = Points([0.1, 1.0, 10.0, 100.0, 1000.0], [11.0, 15.0, 26.0, 60.0, 170.0])
    >>> (fit,) = fit_flow_curves(points=[paste])
    >>> fit.curve.name, fit.accepted
    ('Herschel-Bulkley', True)
    """
    require_positive(gate=gate)
    pairs = [_pairs(each) for each in points]
    rivals: list[list[tuple[float, int, float, FlowCurve]]] = [[] for _ in points]
    for name, model in _MODELS.items():
        asked = [
            place
            for place, (each, (rates, _)) in enumerate(zip(points, pairs, strict=True))
            if each.model in {None, name} and model.size <= np.unique(rates).size
        ]
        if not asked:
            continue
        with np.errstate(all="ignore"):
            fitted = _fit_one(model, _Columns.of([pairs[place] for place in asked]))
        for place, curve, miss in zip(asked, *fitted, strict=True):
            score = _score(float(miss), model.size, pairs[place][0].size)
            rivals[place].append((score, model.size, float(miss), curve))
    chosen = [min(each, key=lambda rival: rival[:2]) for each in rivals]
    return [Fit(curve, miss, miss <= gate) for _, _, miss, curve in chosen]


def _pairs(points: Points) -> tuple[Array, Array]:
    """Return the known pairs, or refuse points that say nothing."""
    across, up = array(np.asarray(points.rates)), array(np.asarray(points.stresses))
    if across.ndim != 1 or across.shape != up.shape:
        raise PhysicsDomainError("rates and stresses must be two lists of the same length")
    known = ~(np.isnan(across) | np.isnan(up))
    across, up = across[known], up[known]
    require_positive(rates=across, stresses=up)
    if points.model is not None and points.model not in MODEL_NAMES:
        raise PhysicsDomainError(
            f"unknown model {points.model!r}; known are {', '.join(MODEL_NAMES)}"
        )
    least = 2 if points.model is None else _MODELS[points.model].size
    if np.unique(across).size < least:
        raise PhysicsDomainError(
            f"{least} or more points at different rates are needed, got {np.unique(across).size}"
        )
    return across, up
