"""Exact counting: floats while they are exact, several primes beyond.

After full reduction every row, and every partial count in a message, extends to at least one
build, so no intermediate value exceeds the number of builds without picks; picks only make
values smaller. One probing pass therefore decides for all later queries: if its largest value
stays below 2^53, floats are exact. If not, messages are computed modulo primes below 2^31
whose product exceeds the raw number of combinations, and put together at the end.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from configurator.engine.arrays import AnyArray, BoolArray, IntArray
from configurator.engine.assembly import JoinTree
from configurator.engine.messages import MessagePass
from configurator.engine.model import product
from configurator.engine.semiring import EXACT_FLOAT, Counting, Probe, Residues, Semiring


class Counter:
    """Counts of builds, total and for each value of each slot.

    Parameters
    ----------
    tree : JoinTree
        Reduced join tree.
    widths : sequence of int
        Live values of each slot.
    """

    def __init__(self, tree: JoinTree, widths: Sequence[int]) -> None:
        self._tree = tree
        self._widths = tuple(widths)
        self._homes = tuple(_home(tree, slot) for slot in range(len(widths)))
        self._primes: tuple[int, ...] = ()
        probe = Probe()
        largest = _total(self._pass(probe).belief(0))
        rings: list[Semiring] = [Counting()]
        if max(probe.largest, largest) >= EXACT_FLOAT:
            self._primes = primes_for(product(self._widths))
            rings = [Residues(prime) for prime in self._primes]
        self._base = [self._pass(ring) for ring in rings]
        self._warm = False

    @property
    def exact_in_floats(self) -> bool:
        """Whether one float pass answers exactly."""
        return not self._primes

    def home(self, slot: int) -> int:
        """The cluster that a slot's masks and counts live in: the smallest that has it."""
        return self._homes[slot]

    def total(self, masks: Mapping[int, BoolArray]) -> int:
        """Number of builds under the masks (slot to mask over live positions)."""
        local = self._local(masks)
        root = self._root(masks)
        totals = [_total(base.fork(local).belief(root)) for base in self._base]
        return self._integer(totals)

    def remaining(self, masks: Mapping[int, BoolArray], slots: Sequence[int]) -> list[AnyArray]:
        """For each slot, the builds left at each live value, shape ``(width,)``.

        A slot's own mask is left out of its own count, so alternatives to a pick come from
        the same messages: a row counts for slot ``s`` if no other mask of its home forbids it.
        Messages without picks are computed once; a pick renews those that lead away from it.
        """
        local = self._local(masks)
        if local and not self._warm:
            self.remaining({}, range(len(self._widths)))
            self._warm = True
        passes = [base.fork(local) for base in self._base] if local else self._base
        arrivals: dict[int, list[AnyArray]] = {}
        broken = self._broken(masks)
        answers = []
        for slot in slots:
            home = self._homes[slot]
            if home not in arrivals:
                arrivals[home] = [each.product(home, with_local=False) for each in passes]
            column = self._tree.clusters[home].columns[slot]
            allowed: BoolArray | None = None
            if home in broken:
                own = (~masks[slot])[column].astype(np.int64) if slot in masks else 0
                allowed = broken[home] <= own
            parts = [
                _by_value(weights if allowed is None else weights * allowed, column, width)
                for weights, width in ((each, self._widths[slot]) for each in arrivals[home])
            ]
            answers.append(self._integers(parts))
        return answers

    def _pass(self, ring: Semiring) -> MessagePass:
        return MessagePass(self._tree.plan, self._tree.edges, self._tree.rows, ring)

    def _root(self, masks: Mapping[int, BoolArray]) -> int:
        """Count at the home of the first masked slot: fewest messages change."""
        return self._homes[min(masks)] if masks else 0

    def _broken(self, masks: Mapping[int, BoolArray]) -> dict[int, IntArray]:
        """How many masks of a home each of its rows violates."""
        broken: dict[int, IntArray] = {}
        for slot, mask in masks.items():
            home = self._homes[slot]
            against = (~mask)[self._tree.clusters[home].columns[slot]].astype(np.int64)
            broken[home] = against if home not in broken else broken[home] + against
        return broken

    def _local(self, masks: Mapping[int, BoolArray]) -> dict[int, AnyArray]:
        kind = np.int64 if self._primes else np.float64
        return {home: (count == 0).astype(kind) for home, count in self._broken(masks).items()}

    def _integer(self, totals: Sequence[float | int]) -> int:
        if not self._primes:
            return round(totals[0])
        return chinese_remainder([int(total) for total in totals], self._primes)

    def _integers(self, parts: Sequence[AnyArray]) -> AnyArray:
        if not self._primes:
            return np.rint(parts[0]).astype(np.int64)
        columns = [[int(value) for value in part] for part in parts]
        numbers = [
            chinese_remainder(residues, self._primes) for residues in zip(*columns, strict=True)
        ]
        return python_integers(numbers)


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


def _home(tree: JoinTree, slot: int) -> int:
    home = tree.home((slot,))
    assert home is not None, "every slot is in some cluster"
    return home


def _total(weights: AnyArray) -> float | int:
    """Sum over rows; int64 residues of 2^31 stay exact for 2^32 rows."""
    total: float | int = weights.sum().item()
    return total


def _by_value(weights: AnyArray, column: IntArray, width: int) -> AnyArray:
    """Weights summed by the value of one slot, shape ``(width,)``."""
    if weights.dtype == np.float64:
        return np.bincount(column, weights=weights, minlength=width)
    high = np.bincount(column, weights=weights >> 16, minlength=width).astype(np.int64)
    low = np.bincount(column, weights=weights & 0xFFFF, minlength=width).astype(np.int64)
    return (high << 16) + low
