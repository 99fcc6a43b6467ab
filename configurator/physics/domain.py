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
