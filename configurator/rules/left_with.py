"""How many builds are left with each of some parts where most slots hold one part already."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from configurator.engine.arrays import IntArray, distinct_positions
from configurator.engine.eliminate import exact, summed_to
from configurator.engine.table import Table
from configurator.rules.finding import State
from configurator.rules.frame import Floats
from configurator.rules.propagation import Propagation


def left_with(
    left: Propagation, level: State, among: Mapping[str, IntArray], told: Iterable[str]
) -> dict[str, Floats]:
    """Builds of one request up to a level with each of some parts, exact, by slot.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts of the request.
    level : State
        Up to which.
    among : Mapping of str to ndarray of int
        By every slot, the places of the parts that a build may have there, all of them live.
    told : iterable of str
        Slots whose parts are told, each in the order in which it is given.

    Raises
    ------
    TooWideError
        If the engine has to give up.
    """
    kinds = left.evaluation.rules.kinds
    chosen: dict[str, IntArray] = {}
    of: dict[str, IntArray] = {}
    stands: dict[str, Floats] = {}
    weights: dict[str, Table] = {}
    for slot, places in among.items():
        chosen[slot], of[slot] = distinct_positions(kinds[slot].of[places])
        stands[slot] = (left.parts[slot][0, places] <= level) * 1.0
        numbers = np.bincount(of[slot], stands[slot], minlength=len(chosen[slot]))
        weights[slot] = Table((slot,), numbers[np.newaxis])
    heard = (each for each in left.tables if not each.always[level])
    tables = [each.laid_out(level, chosen) for each in heard]
    sizes = {slot: len(places) for slot, places in chosen.items()}
    found = {}
    for slot in told:
        others = (table for other, table in weights.items() if other != slot)
        values = np.full(sizes[slot], float(left.floor[0] <= level))
        for table in summed_to([*tables, *others], sizes, (slot,), exact):
            values = values * table.over((slot,))[0]
        found[slot] = exact(values[of[slot]] * stands[slot])
    return found
