"""What the physics functions accept: numbers or arrays, NaN for unknown, and a named refusal.

Every function of this package works elementwise on floats or numpy arrays and broadcasts.
NaN means "unknown": it is accepted anywhere and comes out as NaN, never as an error and never
as a value that could pass a limit. A value that cannot exist (a bore of zero, an infinite
viscosity) is refused with `PhysicsDomainError`.
"""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
"""Inside the functions: always an array, also of zero dimensions."""

Floats: TypeAlias = float | NDArray[np.float64]
"""What goes in and comes out: one number, or many."""

STANDARD_GRAVITY = 9.80665
"""Acceleration of free fall [m/s^2], exact by convention (CGPM 1901, as printed in ISO 80000-3)."""

GAS_CONSTANT = 8.31446261815324
"""Molar gas constant [J/(mol*K)], exact since the 2019 SI."""


class PhysicsDomainError(ValueError):
    """A value outside what the equation can describe, with the argument named."""


def array(value: Floats) -> Array:
    """Return the value as an array of floats; a single number becomes zero-dimensional."""
    return np.asarray(value, dtype=np.float64)


def plain(value: Array) -> Floats:
    """Return a float for a zero-dimensional array, the array itself otherwise."""
    if value.ndim == 0:
        return float(value)
    return value


def entries(values: Array, shape: tuple[int, ...], places: NDArray[np.intp]) -> Array:
    """Return the entries at flat places of the shape that values broadcast to.

    Neither the whole array is laid out nor an index for each of its axes.
    """
    own = (1,) * (len(shape) - values.ndim) + values.shape
    index = np.zeros_like(places)
    behind = own_behind = 1  # entries of the shape and of the values behind a run of axes
    axis = len(shape) - 1
    while axis >= 0:
        run = 1
        while axis >= 0 and own[axis] == shape[axis]:
            run, axis = run * shape[axis], axis - 1
        if run > 1:
            along = places // behind if behind > 1 else places
            index += (along % run if axis >= 0 else along) * own_behind
            behind, own_behind = behind * run, own_behind * run
        while axis >= 0 and own[axis] < shape[axis]:
            behind, axis = behind * shape[axis], axis - 1
    return values.reshape(-1)[index]


def in_one_order(values: Array) -> Array:
    """Return the sum over the first axis, its entries added up one after the other.

    However many columns stand side by side, no digit of one hangs on the others.
    """
    rows = np.ascontiguousarray(values).reshape(len(values), -1)
    if rows.shape[1] == 1:  # a single column would be added up in pairs
        rows = np.repeat(rows, 2, axis=1)
        return np.asarray(rows.sum(axis=0)[:1]).reshape(values.shape[1:])
    return np.asarray(rows.sum(axis=0)).reshape(values.shape[1:])


def weighted_sum(weights: Array, values: Array) -> Array:
    """Return the sum over the first axis, each of its entries times a weight, in one order."""
    products = np.multiply(weights[:, None], values.reshape(len(weights), -1), order="C")
    return in_one_order(products).reshape(values.shape[1:])


def _refuse(name: str, value: Floats, demand: str) -> PhysicsDomainError:
    return PhysicsDomainError(f"{name} must be {demand}, got {value!r}")


def _ends(values: Array) -> tuple[float, float]:
    """Least and greatest known value; both 1 where nothing is known."""
    if values.ndim == 0:
        number = float(values)
        return (1.0, 1.0) if number != number else (number, number)  # noqa: PLR0124 - NaN
    if not values.size:
        return 1.0, 1.0
    least, most = float(values.min()), float(values.max())
    if np.isnan(least):
        # Most arrays know all of their values, so that the plain and quicker way goes first.
        known = values[~np.isnan(values)]
        return (float(known.min()), float(known.max())) if known.size else (1.0, 1.0)
    return least, most


def require_positive(**named: Floats) -> None:
    """Refuse zero, negative and infinite values; NaN (unknown) passes."""
    for name, value in named.items():
        least, most = _ends(array(value))
        if least <= 0.0 or most == np.inf:
            raise _refuse(name, value, "positive and finite")


def require_not_negative(**named: Floats) -> None:
    """Refuse negative and infinite values; zero and NaN (unknown) pass."""
    for name, value in named.items():
        least, most = _ends(array(value))
        if least < 0.0 or most == np.inf:
            raise _refuse(name, value, "zero or positive, and finite")


def require_between(low: float, high: float, **named: Floats) -> None:
    """Refuse values outside the closed interval; NaN (unknown) passes."""
    for name, value in named.items():
        checked = array(value)
        if bool(np.any((checked < low) | (checked > high))):
            raise _refuse(name, value, f"between {low:g} and {high:g}")


def require_inside(low: float, high: float, **named: Floats) -> None:
    """Refuse values outside the open interval, its ends included; NaN (unknown) passes."""
    for name, value in named.items():
        checked = array(value)
        if bool(np.any((checked <= low) | (checked >= high))):
            raise _refuse(name, value, f"above {low:g} and below {high:g}")
