"""From measured points to a flow curve, with a gate that refuses a model that does not fit.

Least squares on the logarithm of the stress, so that every decade counts the same. The solver is
a damped Gauss-Newton iteration on the logarithms of the parameters; the tests hold it against
``scipy.optimize.least_squares`` and against published curves.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from configurator.physics.domain import Array, PhysicsDomainError, array, require_positive
from configurator.physics.flow_curve import FlowCurve
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

_STEPS = 200


@dataclass(frozen=True)
class Alternative:
    """How well one more model described the same points."""

    model: str
    rms_ln: float
    accepted: bool


@dataclass(frozen=True)
class Fit:
    """A fitted curve, and whether it may be used."""

    curve: FlowCurve
    rms_ln: float
    accepted: bool
    reason: str
    alternatives: tuple[Alternative, ...]
    lowest_rate: float
    highest_rate: float
    """Rates beyond the measured ones are extrapolation, whatever the model [1/s]."""


@dataclass(frozen=True)
class _Model:
    """How one model is built from unconstrained numbers, and where the search starts."""

    build: Callable[[Array], FlowCurve]
    starts: Callable[[Array, Array], list[Array]]
    size: int


def _power_law_line(rates: Array, stresses: Array) -> tuple[float, float]:
    """Return ln K and the index of the straight line through the log-log points."""
    if rates.size < 2 or float(np.ptp(np.log(rates))) == 0.0:
        return float(np.mean(np.log(stresses / rates))), 1.0
    index, log_consistency = np.polyfit(np.log(rates), np.log(stresses), 1)
    return float(log_consistency), float(np.clip(index, 0.05, 2.0))


def _yielding_starts(rates: Array, stresses: Array, *, with_index: bool) -> list[Array]:
    starts = []
    for share in (0.95, 0.5, 0.05):
        yielding = share * float(np.min(stresses))
        log_k, index = _power_law_line(rates, stresses - yielding)
        if with_index:
            starts.append(np.array([np.log(yielding), log_k, np.log(index)]))
        else:
            slope = float(np.median((stresses - yielding) / rates))
            starts.append(np.array([np.log(yielding), np.log(slope)]))
    return starts


def _carreau_starts(rates: Array, stresses: Array) -> list[Array]:
    plateau = float(np.log(np.max(stresses / rates)))
    middle = np.exp(np.quantile(np.log(rates), (0.2, 0.5, 0.8)))
    return [
        np.array([plateau, -float(np.log(rate)), shape]) for rate in middle for shape in (-1.0, 0.5)
    ]


def _share(value: float) -> float:
    """Return a number between 0 and 1, for the index of a Carreau curve."""
    return float(1.0 / (1.0 + np.exp(-np.clip(value, -30.0, 30.0))))


def _exp(value: float) -> float:
    return float(np.exp(np.clip(value, -200.0, 200.0)))


_MODELS: Final[dict[str, _Model]] = {
    Newtonian.name: _Model(
        lambda p: Newtonian(_exp(p[0])),
        lambda g, t: [np.array([np.mean(np.log(t / g))])],
        1,
    ),
    PowerLaw.name: _Model(
        lambda p: PowerLaw(_exp(p[0]), _exp(p[1])),
        lambda g, t: [np.array([line[0], np.log(line[1])]) for line in [_power_law_line(g, t)]],
        2,
    ),
    Bingham.name: _Model(
        lambda p: Bingham(_exp(p[0]), _exp(p[1])),
        lambda g, t: _yielding_starts(g, t, with_index=False),
        2,
    ),
    Casson.name: _Model(
        lambda p: Casson(_exp(p[0]), _exp(p[1])),
        lambda g, t: _yielding_starts(g, t, with_index=False),
        2,
    ),
    HerschelBulkley.name: _Model(
        lambda p: HerschelBulkley(_exp(p[0]), _exp(p[1]), _exp(p[2])),
        lambda g, t: _yielding_starts(g, t, with_index=True),
        3,
    ),
    Carreau.name: _Model(
        lambda p: Carreau(_exp(p[0]), 0.0, _exp(p[1]), _share(p[2])),
        _carreau_starts,
        3,
    ),
}


def least_squares(*, residuals: Callable[[Array], Array], start: Array) -> tuple[Array, float]:
    """Parameters with the least sum of squared residuals near a start.

    Parameters
    ----------
    residuals : Callable
        Residuals of a parameter vector. [-]
    start : Array
        First guess. [-]

    Returns
    -------
    best : tuple
        Parameters, and the sum of squares there. [-]

    Notes
    -----
    Slopes by central differences; the damping follows the success of the last step.

    Source: K. Levenberg 1944, D. Marquardt 1963 (method from memory).

    Examples
    --------
    >>> place, left = least_squares(
    ...     residuals=lambda p: np.array([p[0] - 3.0, p[0] + p[1]]), start=np.array([0.0, 0.0]))
    >>> np.round(place, 6).tolist(), left < 1e-12
    ([3.0, -3.0], True)
    """
    point = np.array(start, dtype=np.float64)
    missed = residuals(point)
    cost = float(missed @ missed)
    damping = 1e-3
    for _ in range(_STEPS):
        slopes = np.empty((missed.size, point.size))
        for number in range(point.size):
            step = 1e-6 * max(1.0, abs(float(point[number])))
            ahead, behind = point.copy(), point.copy()
            ahead[number] += step
            behind[number] -= step
            slopes[:, number] = (residuals(ahead) - residuals(behind)) / (2.0 * step)
        normal, gradient = slopes.T @ slopes, slopes.T @ missed
        scale = np.diag(np.diag(normal) + 1e-12)
        for _ in range(12):
            tried = point - np.linalg.solve(normal + damping * scale, gradient)
            tried_missed = residuals(tried)
            tried_cost = float(tried_missed @ tried_missed)
            if tried_cost < cost:
                break
            damping *= 4.0
        else:
            break
        gain = cost - tried_cost
        point, missed, cost = tried, tried_missed, tried_cost
        damping = max(damping / 5.0, 1e-12)
        if gain <= 1e-9 * cost or cost <= PERFECT * missed.size:
            break
    return point, cost


def _fit_one(model: _Model, rates: Array, stresses: Array) -> tuple[FlowCurve, float]:
    """Return the best curve of one model and its root mean square of ln(stress)."""
    logs = np.log(stresses)

    def residuals(parameters: Array) -> Array:
        stress = array(model.build(parameters).stress(rates))
        return np.asarray(np.log(np.clip(stress, 1e-300, 1e300)) - logs)

    found = [
        least_squares(residuals=residuals, start=start) for start in model.starts(rates, stresses)
    ]
    parameters, cost = min(found, key=lambda pair: pair[1])
    curve = _without_empty_yield(model.build(parameters), NO_YIELD * float(np.min(stresses)))
    return curve, float(np.sqrt(cost / rates.size))


def _without_empty_yield(curve: FlowCurve, least: float) -> FlowCurve:
    """Return the curve with a yield stress of 0 where the fit drove it to nothing."""
    if not 0.0 < float(array(curve.yield_stress)) < least:
        return curve
    match curve:
        case Bingham():
            return Bingham(0.0, curve.plastic_viscosity)
        case HerschelBulkley():
            return HerschelBulkley(0.0, curve.consistency, curve.index)
        case Casson():
            return Casson(0.0, curve.casson_viscosity)
        case _:
            return curve


def _score(rms_ln: float, size: int, points: int) -> float:
    """Return the corrected information criterion: a parameter must earn its place."""
    spare = points - size - 1
    if spare <= 0:
        return float(np.inf)
    likelihood = points * 2.0 * float(np.log(max(rms_ln, _FLOOR)))
    return likelihood + 2.0 * size * points / spare


def fit_flow_curve(
    *,
    rates: Sequence[float] | Array,
    stresses: Sequence[float] | Array,
    model: str | None = None,
    gate: float = DEFAULT_GATE,
) -> Fit:
    """Fit a flow curve to measured points, and say whether the model describes them.

    Parameters
    ----------
    rates : Sequence
        Shear rates; pairs with a NaN are left out. [1/s]
    stresses : Sequence
        Shear stresses, one for each rate. [Pa]
    model : str
        Name of the one model to fit, or None for the one that describes the points best for its
        number of parameters. [-]
    gate : float
        Largest root mean square of ln(stress) that is accepted. [-]

    Returns
    -------
    fit : Fit
        The curve, its miss, whether it is accepted, why, and what other models do. [-]

    Raises
    ------
    PhysicsDomainError
        If the points are not pairs, not positive, or fewer than the model has parameters.

    Notes
    -----
    A refused fit still holds its curve, for a plot; no rule may use it. Carreau is fitted with no
    plateau at high rates, which needs faster rates than instruments give.

    Source: least squares on the logarithm; choice by the corrected Akaike criterion (from
    memory); compared with fits of published curves in the tests.

    Examples
    --------
    >>> fit = fit_flow_curve(
    ...     rates=[0.1, 1.0, 10.0, 100.0, 1000.0], stresses=[11.0, 15.0, 26.0, 60.0, 170.0])
    >>> fit.curve.name, fit.accepted
    ('Herschel-Bulkley', True)
    """
    across, up = array(np.asarray(rates)), array(np.asarray(stresses))
    if across.ndim != 1 or across.shape != up.shape:
        raise PhysicsDomainError("rates and stresses must be two lists of the same length")
    known = ~(np.isnan(across) | np.isnan(up))
    across, up = across[known], up[known]
    require_positive(rates=across, stresses=up, gate=gate)
    if model is not None and model not in _MODELS:
        raise PhysicsDomainError(f"unknown model {model!r}; known are {', '.join(_MODELS)}")
    least = 2 if model is None else _MODELS[model].size
    if np.unique(across).size < least:
        raise PhysicsDomainError(
            f"{least} or more points at different rates are needed, got {np.unique(across).size}"
        )
    tried = {
        name: (*_fit_one(form, across, up), form.size)
        for name, form in _MODELS.items()
        if form.size <= np.unique(across).size
    }
    order = sorted(
        tried,
        key=lambda name: (_score(tried[name][1], tried[name][2], across.size), tried[name][2]),
    )
    chosen = order[0] if model is None else model
    curve, rms_ln, _ = tried[chosen]
    accepted = rms_ln <= gate
    alternatives = tuple(
        Alternative(name, tried[name][1], tried[name][1] <= gate)
        for name in order
        if name != chosen
    )
    return Fit(
        curve=curve,
        rms_ln=rms_ln,
        accepted=accepted,
        reason=_reason(chosen, rms_ln, gate, alternatives),
        alternatives=alternatives,
        lowest_rate=float(across.min()),
        highest_rate=float(across.max()),
    )


def _reason(name: str, rms_ln: float, gate: float, alternatives: tuple[Alternative, ...]) -> str:
    """Return a sentence with the numbers, and the model to take instead."""
    miss = f"{name} misses the points by {100.0 * rms_ln:.2g} % rms of ln(stress)"
    if rms_ln <= gate:
        return f"{miss}, within the limit of {100.0 * gate:.2g} %"
    better = [other for other in alternatives if other.accepted]
    if better:
        instead = f"{better[0].model} describes them to {100.0 * better[0].rms_ln:.2g} %"
    else:
        instead = "no model at hand describes them: keep the measured points"
    return f"{miss}, more than the limit of {100.0 * gate:.2g} %; {instead}"
