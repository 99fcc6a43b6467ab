"""Parts that rules over many slots cannot tell apart: alike in every figure that those read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.rules.part_figures import figures_of, numbered

if TYPE_CHECKING:
    from configurator.explain.heard import Few
    from configurator.explain.standing import Judgement

Kinds = Mapping[str, NDArray[np.intp]]
"""By slot, a number for each part: equal for parts of one kind."""

READ_AS_WELL = {"mixing": ("kind", "element_aspect", "void_share", "volume")}
"""Figures behind pressure and thickening that the rules do not name among theirs."""


def kinds_of_parts(
    parts: Mapping[str, Sequence[Part]], judgements: Iterable[Judgement]
) -> dict[str, NDArray[np.intp]]:
    """Number the kinds of parts of each slot.

    Parameters
    ----------
    parts : Mapping[str, Sequence[Part]]
        By slot.
    judgements : iterable of Judgement
        Rules that are to see one part of each kind only. A rule that speaks in words may read
        the name of a part, and so tells all parts of its slots apart.
    """
    read: dict[str, set[str] | None] = {slot: set() for slot in parts}
    for judged in judgements:
        for slot in judged.scope:
            fields, plain = read[slot], slot.rpartition(".")[2]
            if judged.rule.words is not None or fields is None:
                read[slot] = None
                continue
            paths = (path.partition(".") for path in judged.rule.parts)
            fields.update(field for owner, _, field in paths if owner == plain)
            fields.update(READ_AS_WELL.get(plain, ()))
    return {slot: _numbered(entries, read[slot]) for slot, entries in parts.items()}


def kinds_within(kinds: Kinds, few: Sequence[Few]) -> dict[str, NDArray[np.intp]]:
    """Kinds that rules over few slots do not tell apart either, numbered from zero on.

    Parameters
    ----------
    kinds : Mapping[str, ndarray]
        Of the parts that stand, by slot.
    few : sequence of Few
        Rules over several slots among them split kinds; those over one slot do not, for they
        only say how many parts of a kind count.
    """
    seen: dict[str, list[list[object]]] = {
        slot: [[number] for number in numbers.tolist()] for slot, numbers in kinds.items()
    }
    for each in few:
        for axis, slot in enumerate(each.scope if len(each.scope) > 1 else ()):
            rows = np.ascontiguousarray(np.moveaxis(each.states, axis, 0))
            for known, row in zip(seen[slot], rows, strict=True):
                known.append(row.tobytes())
    return {slot: numbered(map(tuple, every)) for slot, every in seen.items()}


def _numbered(parts: Sequence[Part], fields: set[str] | None) -> NDArray[np.intp]:
    if fields is None:
        return np.arange(len(parts))
    wanted = sorted(fields)
    return numbered(figures_of(part, wanted) for part in parts)
