"""Exact counting: floats while they are exact, several primes beyond.

After full reduction every row, with any choice in the clusters behind it, extends to at least
one build, and different ones to different builds. So no message, no sum over all of its rows
and no running sum exceeds the number of builds without picks; picks only make values smaller.
One float pass therefore decides for all later queries: if it counts fewer than 2^52 builds
(half of what is exact, so that its own rounding cannot matter), floats are exact. If not,
messages are computed modulo primes below 2^31 whose product exceeds the raw number of
combinations, and put together at the end.
"""

from collections.abc import Mapping, Sequence
from functools import reduce

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray
from configurator.engine.assembly import JoinTree
from configurator.engine.model import product
from configurator.engine.plan import MessagePass
from configurator.engine.semiring import Counting, Residues, Semiring

EXACT_FLOAT = 1 << 52
"""Numbers of builds below this are counted in floats."""

_Masked = dict[int, AnyArray]
"""Slots of one cluster, with 1 on each row that the mask of the slot allows, else 0."""


class Counter:
    """Counts of builds over a reduced join tree, total and for each live value of each slot."""

    def __init__(self, tree: JoinTree, widths: Sequence[int]) -> None:
        homes = [tree.home((slot,)) for slot in range(len(widths))]
        self._homes = [home for home in homes if home is not None]
        assert len(self._homes) == len(widths), "every slot is in some cluster"
        self._columns = [tree.clusters[h].columns[slot] for slot, h in enumerate(self._homes)]
        ends = np.cumsum(widths, dtype=np.int64).tolist()
        self._parts = [slice(end - width, end) for end, width in zip(ends, widths, strict=True)]
        cells = [
            each.astype(np.int64) + part.start
            for each, part in zip(self._columns, self._parts, strict=True)
        ]
        self._cells = np.concatenate([np.zeros(0, dtype=np.int64), *cells])
        """The value of every slot on every row of its home, numbered one slot after the other."""
        self._primes: tuple[int, ...] = ()
        self._base = [_pass(tree, Counting())]
        if self._base[0].belief(0).sum() >= EXACT_FLOAT:
            self._primes = primes_for(product(widths))
            self._base = [_pass(tree, Residues(prime)) for prime in self._primes]

    def total(self, masks: Mapping[int, BoolArray]) -> int:
        """Number of builds under the masks (slot to mask over live positions)."""
        root = self._homes[min(masks)] if masks else 0  # fewest messages change there
        passes = self._under(self._allowed(masks))
        return self._together([int(each.belief(root).sum()) for each in passes])

    def remaining(self, masks: Mapping[int, BoolArray]) -> list[AnyArray]:
        """For each slot, the builds left at each live value, shape ``(width,)``.

        A slot's own mask is left out of its own count, so alternatives to a pick come from
        the same messages: a row counts for slot ``s`` if no other mask of its home forbids it.
        Messages without picks are computed once; a pick renews those that lead away from it.
        """
        if not self._parts:
            return []
        allowed = self._allowed(masks)
        found = [self._by_value(each, allowed) for each in self._under(allowed)]
        if not self._primes:
            counts = found[0].astype(np.int64)
            return [counts[part] for part in self._parts]
        numbers = [self._together(each) for each in np.stack(found, axis=1).tolist()]
        return [python_integers(numbers[part]) for part in self._parts]

    def _by_value(self, each: MessagePass, allowed: Mapping[int, _Masked]) -> AnyArray:
        """What one pass leaves at each value, one slot after the other."""
        arrived = {home: each.product(home, with_local=False) for home in set(self._homes)}
        left = {home: arrived[home] * _all_of(masked) for home, masked in allowed.items()}
        weights = [left.get(home, arrived[home]) for home in self._homes]
        for home, masked in allowed.items():
            for slot in masked:
                others = {other: rows for other, rows in masked.items() if other != slot}
                weights[slot] = arrived[home] * _all_of(others) if others else arrived[home]
        return each.ring.scatter(np.concatenate(weights), self._cells, self._parts[-1].stop)

    def _allowed(self, masks: Mapping[int, BoolArray]) -> dict[int, _Masked]:
        """For each home with masked slots: 1 or 0 on each row, slot by slot."""
        kind = np.int64 if self._primes else np.float64
        allowed: dict[int, _Masked] = {}
        for slot, mask in masks.items():
            rows = mask.astype(kind).take(self._columns[slot])
            allowed.setdefault(self._homes[slot], {})[slot] = rows
        return allowed

    def _under(self, allowed: Mapping[int, _Masked]) -> list[MessagePass]:
        """The passes over those rows alone that all masks allow."""
        if not allowed:
            return self._base
        local = {home: _all_of(masked) for home, masked in allowed.items()}
        return [base.fork(local) for base in self._base]

    def _together(self, residues: Sequence[int]) -> int:
        return chinese_remainder(residues, self._primes) if self._primes else residues[0]


def _all_of(masked: _Masked) -> AnyArray:
    """1 on the rows that every mask allows."""
    return reduce(np.multiply, masked.values())


def _pass(tree: JoinTree, ring: Semiring) -> MessagePass:
    return MessagePass(tree.plan, tree.edges, tree.rows, ring)


def python_integers(numbers: Sequence[int]) -> AnyArray:
    """int64 where all numbers fit, Python integers in an object array otherwise."""
    if max(numbers, default=0) <= np.iinfo(np.int64).max:
        return np.array(numbers, dtype=np.int64)
    array = np.empty(len(numbers), dtype=object)
    array[:] = list(numbers)
    return array


def primes_for(bound: int) -> tuple[int, ...]:
    """Primes below 2^31, largest first, whose product exceeds ``bound``."""
    found: list[int] = []
    candidate = (1 << 31) - 1
    while product(found) <= bound:
        if all(candidate % divisor for divisor in range(3, 46342, 2)):
            found.append(candidate)
        candidate -= 2
    return tuple(found)


def chinese_remainder(residues: Sequence[int], primes: Sequence[int]) -> int:
    """The number below the primes' product that leaves these residues (Garner's scheme)."""
    number, modulus = 0, 1
    for residue, prime in zip(residues, primes, strict=True):
        step = (residue - number) * pow(modulus, -1, prime) % prime
        number += modulus * step
        modulus *= prime
    return number
