"""Array types that every file of the solver shares."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
AnyArray = NDArray[Any]


def narrow(numbers: AnyArray, width: int) -> AnyArray:
    """Numbers in ``0..width-1`` in as few bytes as hold them; to be widened before any sum."""
    return numbers.astype(np.min_scalar_type(max(width - 1, 0)))


def distinct(numbers: AnyArray) -> AnyArray:
    """The different numbers of an array, ascending.

    Sorted, not hashed as in np.unique, which moreover loads numpy's masked arrays.
    """
    ordered = np.sort(numbers, axis=None)
    if len(ordered) == 0:
        return ordered
    return ordered[np.r_[True, ordered[1:] != ordered[:-1]]]


def distinct_positions(numbers: IntArray) -> tuple[IntArray, IntArray]:
    """The different numbers, ascending, and the position of each element among them."""
    span = int(numbers.max(initial=-1)) + 1
    if numbers.min(initial=0) >= 0 and span <= max(4 * len(numbers), 1 << 16):
        occurs = np.zeros(span, dtype=np.bool_)
        occurs[numbers] = True
        return np.flatnonzero(occurs), (np.cumsum(occurs) - 1)[numbers]
    values = distinct(numbers)
    return values, np.searchsorted(values, numbers)
