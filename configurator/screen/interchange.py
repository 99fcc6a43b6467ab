"""Parts that no figure tells apart: rules over several slots are heard for one part of each kind.

Two parts of a slot are of one kind if they agree in every figure that those rules read. What
rules on one slot alone say of them may differ, and is kept part by part.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.rules.part_figures import figures_of, numbered
from configurator.rules.rule import Rule


@dataclass(frozen=True, eq=False)
class Kinds:
    """The parts of a slot sorted into kinds.

    Attributes
    ----------
    first : tuple of Part
        One part of each kind, in the order of the parts.
    of : ndarray of int
        The kind of each part.
    """

    first: tuple[Part, ...]
    of: NDArray[np.intp]

    def any_of(self, flags: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """For each kind, whether any of its parts is flagged; parts lie on the last axis."""
        return np.logical_or.reduceat(flags[..., self._order], self._starts, axis=-1)

    def number_of(self, flags: NDArray[np.bool_]) -> NDArray[np.float64]:
        """For each kind, how many of its parts are flagged; parts lie on the last axis."""
        return np.add.reduceat(flags[..., self._order], self._starts, axis=-1, dtype=np.float64)

    def least_of(self, keys: NDArray[np.int64]) -> NDArray[np.int64]:
        """For each kind, the least key of its parts; parts lie on the last axis."""
        return np.minimum.reduceat(keys[..., self._order], self._starts, axis=-1)

    @cached_property
    def _order(self) -> NDArray[np.intp]:
        """The parts, those of a kind beside each other."""
        return np.argsort(self.of, kind="stable")

    @cached_property
    def _starts(self) -> NDArray[np.intp]:
        """Where each kind begins in that order; none is empty."""
        return np.searchsorted(self.of[self._order], np.arange(len(self.first)))


def kinds_of(parts: Mapping[str, Sequence[Part]], rules: Iterable[Rule]) -> dict[str, Kinds]:
    """Sort the parts of each slot by the figures that some rules read.

    Parameters
    ----------
    parts : Mapping[str, sequence of Part]
        By slot.
    rules : iterable of Rule
        Those that are heard for one part of a kind.
    """
    fields: dict[str, set[str]] = {slot: set() for slot in parts}
    for rule in rules:
        for path in rule.parts:
            slot, _, field = path.partition(".")
            if slot in fields:
                fields[slot].add(field)
    return {slot: _sorted(entries, sorted(fields[slot])) for slot, entries in parts.items()}


def _sorted(parts: Sequence[Part], fields: Sequence[str]) -> Kinds:
    of = numbered(figures_of(part, fields) for part in parts)
    first = np.unique(of, return_index=True)[1]
    return Kinds(tuple(parts[place] for place in first), of)
