"""A sum over many slots under a ceiling, as tables that no array spans whole.

The slots of the lighter summand (tips weigh grams) are sorted into classes by what they leave
to the other one. A helper slot stands for the class, so that one table holds the heavy parts by
class and another the class of each light one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from configurator.rules.comparison import Total
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.screen.dense import Scope, Table

HELPER = "~left for the rest of"
"""How the name of a helper slot begins; no slot of a build has a mark in its name."""


@dataclass(frozen=True, eq=False)
class Load:
    """A sum of two summands that share no slot and that no material moves.

    Attributes
    ----------
    heavy, light : Table
        The summands.
    total : Total
        The sum that they make.
    """

    heavy: Table
    light: Table
    total: Total

    def tables(
        self, level: State, kept: Mapping[str, NDArray[np.intp]], name: str
    ) -> tuple[Table, ...]:
        """What passes up to a level: one table for the heavy slots and one for the light ones.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        kept : Mapping
            By slot, the places to keep.
        name : str
            Of the rule: two sums have two helper slots.
        """
        helper = f"{HELPER} {name}"
        heavy, light = self.heavy.kept(kept), self.light.kept(kept)
        return _at(self.total.ceiling(level), heavy, light, helper)

    def partners(
        self, level: State, alive: Mapping[str, NDArray[np.bool_]]
    ) -> Iterator[tuple[str, NDArray[np.bool_]]]:
        """For each slot, the values that the lightest of the others leave below the ceiling.

        Parameters
        ----------
        level : State
            fits, marginal or unproven.
        alive : Mapping
            By slot, shape (materials, values): what may be taken.
        """
        ceiling = self.total.ceiling(level)
        heavy, light = (_standing(table, alive) for table in (self.heavy, self.light))
        for table, other in ((heavy, light), (light, heavy)):
            rest = other.values.min(axis=tuple(range(1, other.values.ndim)), initial=np.inf)
            for axis, slot in enumerate(table.scope, start=1):
                others = tuple(at for at in range(1, table.values.ndim) if at != axis)
                least = table.values.min(axis=others, initial=np.inf)
                yield slot, least + rest[:, np.newaxis] <= ceiling


def _standing(table: Table, alive: Mapping[str, NDArray[np.bool_]]) -> Table:
    """A summand with infinity where one of its values is not alive."""
    values = np.asarray(table.values, dtype=np.float64)
    for slot in table.scope:
        values = np.where(Table((slot,), alive[slot]).over(table.scope), values, np.inf)
    return Table(table.scope, values)


def load_of(total: Total, frame: Frame, scope: Scope) -> Load:
    """Take a sum over a grid with the list in front apart.

    Parameters
    ----------
    total : Total
        The sum.
    frame : Frame
        What it was worked out over.
    scope : tuple of str
        Slots of the rule.
    """
    heavy, light = (_over_scope(summand, frame, scope) for summand in total.summands)
    return Load(heavy, light, total)


def _at(ceiling: float, heavy: Table, light: Table, helper: str) -> tuple[Table, ...]:
    need = np.asarray(heavy.values, dtype=np.float64)
    allow = ceiling - np.asarray(light.values, dtype=np.float64)
    steps = np.unique(allow)
    wanted = np.searchsorted(steps, need, side="left")
    # Steps between which no need lies leave the same to all.
    borders = np.unique(wanted)
    classes = np.searchsorted(borders, np.searchsorted(steps, allow), side="right")
    present, of_light = np.unique(classes, return_inverse=True)
    if len(present) <= 1:
        passes = np.searchsorted(borders, wanted) < (present[0] if len(present) else 0)
        return (Table(heavy.scope, passes), _everything(light))
    passes = np.searchsorted(borders, wanted)[..., np.newaxis] < present
    member = of_light.reshape(allow.shape)[..., np.newaxis] == np.arange(len(present))
    return (Table((*heavy.scope, helper), passes), Table((*light.scope, helper), member))


def _everything(table: Table) -> Table:
    return Table(table.scope, np.ones(table.values.shape, dtype=np.bool_))


def _over_scope(summand: NDArray[np.float64], frame: Frame, scope: Scope) -> Table:
    """A summand over the slots that move it, at least by their length."""
    full = summand.reshape((1,) * (frame.ndim - summand.ndim) + summand.shape)
    moving = tuple(
        slot for axis, slot in enumerate(frame.slots) if slot in scope and full.shape[axis] > 1
    )
    kept = (0, *(frame.slots.index(slot) for slot in moving))
    others = tuple(axis for axis in range(full.ndim) if axis not in kept)
    return Table(moving, full.squeeze(axis=others))
