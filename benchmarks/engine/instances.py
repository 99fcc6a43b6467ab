"""Seeded instances: 13 slots, 20 to 24 tables, one seven-slot threshold.

Two groups of slots hang together by tables of two and three slots; one table joins the
groups, and the threshold compares three slots of one with four of the other. The same seed
gives the same instance on every machine (numpy's PCG64).
"""

from dataclasses import dataclass

import numpy as np

from configurator.engine import Relation, Threshold

SHAPE = (3, 4, 4, 5, 5, 4, 4, 4, 5, 3, 4, 3, 6)
"""Relative domain sizes of s0..s12; scaled up to reach the wanted raw product."""

TABLES = (
    (0, 1), (0, 2), (0, 6), (1, 3), (1, 4), (3, 4), (2, 5), (3, 5), (5, 6), (6, 11),
    (7, 8), (8, 9), (8, 10), (7, 10), (9, 10), (10, 12), (2, 12), (0, 1, 4), (3, 4, 5),
    (7, 8, 9), (0, 11), (2, 6), (1, 11), (8, 12),
)  # fmt: skip
NEED = (7, 8, 9)
ALLOW = (0, 1, 4, 6)
DENSITY = 0.75


@dataclass(frozen=True)
class Instance:
    name: str
    domains: dict[str, int]
    relations: tuple[Relation, ...]
    threshold: Threshold

    @property
    def raw(self) -> int:
        total = 1
        for size in self.domains.values():
            total *= size
        return total


def instance(name: str, raw: float, tables: int, seed: int) -> Instance:
    """An instance with about ``raw`` combinations and the first ``tables`` tables."""
    rng = np.random.default_rng(seed)
    sizes = _sizes(raw)
    slots = [f"s{number}" for number in range(len(sizes))]
    domains = dict(zip(slots, sizes, strict=True))

    def shape(scope: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(sizes[slot] for slot in scope)

    def names(scope: tuple[int, ...]) -> tuple[str, ...]:
        return tuple(slots[slot] for slot in scope)

    relations = tuple(
        Relation(f"table {number}", names(scope), rng.random(shape(scope)) < DENSITY)
        for number, scope in enumerate(TABLES[:tables])
    )
    threshold = Threshold(
        "threshold",
        names(NEED),
        rng.integers(0, 1000, shape(NEED)),
        names(ALLOW),
        rng.integers(0, 1000, shape(ALLOW)),
    )
    return Instance(name, domains, relations, threshold)


def _sizes(raw: float) -> list[int]:
    """Scaled sizes, then single steps on the slots that lag most behind the common scale."""
    factor = (raw / np.prod([float(size) for size in SHAPE])) ** (1 / len(SHAPE))
    sizes = [max(2, int(size * factor)) for size in SHAPE]
    while np.prod([float(size) for size in sizes]) < 0.9 * raw:
        lag = [size / (base * factor) for size, base in zip(sizes, SHAPE, strict=True)]
        sizes[int(np.argmin(lag))] += 1
    return sizes


MEDIUM = ("M", 9e7, 20, 101)
REGULAR = ("R", 1.5e9, 22, 102)
LARGE = ("L", 1.3e11, 24, 103)
GROWTH = tuple((f"G{power}", 10.0**power, 24, 200 + power) for power in range(8, 17))
