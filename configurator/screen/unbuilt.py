"""Why materials of a batch have no build: the rule that cuts most, as the long way tells it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from configurator.engine.arrays import BoolArray, IntArray
from configurator.rules.applied import apply_rule
from configurator.rules.case import Case
from configurator.rules.counting import Count
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.losses import nearest_finding
from configurator.rules.propagation import Dropped, Propagation
from configurator.units.display import plural


def reasons_for_none(left: Propagation, rows: IntArray) -> list[str]:
    """Why some materials have no build.

    What decides is the rule that takes out most parts, among those that take out parts of a slot
    that is empty in the end; else the rule that no build passes of those that pass all before it.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts.
    rows : ndarray of int
        Which of the materials; they have no build.
    """
    if not len(rows):
        return []
    cuts = list(left.cuts(rows))
    alive = {slot: flags[rows] for slot, flags in left.stages[0].items()}
    for cut in cuts:
        alive[cut.slot] = alive[cut.slot] & ~cut.out
    emptied = {slot: np.asarray(~flags.any(axis=1)) for slot, flags in alive.items()}
    reasons = {at: _decisive(left, cuts, emptied, at, int(row)) for at, row in enumerate(rows)}
    together = [at for at, reason in reasons.items() if reason is None]
    out = dict(zip(together, _where_builds_run_out(left, rows[together]), strict=True))
    return [reason if reason is not None else out[at] for at, reason in reasons.items()]


def _decisive(
    left: Propagation, cuts: Sequence[Dropped], emptied: Mapping[str, BoolArray], at: int, row: int
) -> str | None:
    """The rule that cuts most where a slot ends up empty, with an example; else None."""
    lost: dict[str, int] = {}
    decides: set[str] = set()
    mine = [cut for cut in cuts if cut.out[at].any()]
    for cut in mine:
        title = cut.judgement.title
        lost[title] = lost.get(title, 0) + int(cut.out[at].sum())
        if emptied[cut.slot][at]:
            decides.add(title)
    if not decides:
        return None
    title = min(decides, key=lambda each: (-lost[each], each))
    cut, place = _first_part(mine, title, at)
    return f"{title}: {_example(left, cut, place, at, row)}"


def _first_part(cuts: Sequence[Dropped], title: str, at: int) -> tuple[Dropped, int]:
    """The first part that was taken out of those that a rule takes out, and the rule's cut."""
    out: dict[tuple[str, int], Dropped | None] = {}
    for cut in cuts:
        of_rule = cut if cut.judgement.title == title else None
        for place in np.flatnonzero(cut.out[at]).tolist():
            part = (cut.slot, place)
            if out.setdefault(part, of_rule) is None:
                out[part] = of_rule
    return next((cut, place) for (_, place), cut in out.items() if cut is not None)


def _example(left: Propagation, cut: Dropped, place: int, at: int, row: int) -> str:
    """What a rule says of one part with the partners that suit it best."""
    every = left.evaluation.rules.frame.parts
    scope = cut.judgement.scope
    parts = {
        slot: tuple(entries[p] for p in np.flatnonzero(cut.before[slot][at]))
        if slot in scope
        else entries[:1]
        for slot, entries in every.items()
    }
    parts[cut.slot] = (every[cut.slot][place],)
    case = Case(left.evaluation.subjects[row], Frame(parts))
    side = case.side(cut.judgement.prefix)
    applied = apply_rule(case, cut.judgement.rule, side)
    assert applied is not None  # it took the part out
    return nearest_finding(applied, cut.slot, 0)[1].reason


def _where_builds_run_out(left: Propagation, rows: IntArray) -> list[str]:
    """The rule at which builds run out, found by halving: more rules never leave more builds."""
    tables = left.tables
    # A rule that judges both sides is heard for both of them before the next one.
    ends = [
        number
        for number, each in enumerate(tables, start=1)
        if number == len(tables) or tables[number].judgement.rule is not each.judgement.rule
    ]

    def builds(number: int, which: IntArray) -> NDArray[np.float64]:
        return Count(left, ends[number - 1] if number else 0, rows[which]).up_to(State.UNPROVEN)

    passes = np.zeros(len(rows), dtype=np.intp)
    fails = np.full(len(rows), len(ends), dtype=np.intp)
    found = builds(0, np.arange(len(rows))) if len(rows) else np.zeros(0)
    while (fails - passes > 1).any():
        middle = (passes + fails) // 2
        for number in np.unique(middle[fails - passes > 1]):
            at = np.flatnonzero((middle == number) & (fails - passes > 1))
            some = builds(int(number), at)
            found[at] = np.where(some > 0, some, found[at])
            passes[at] = np.where(some > 0, number, passes[at])
            fails[at] = np.where(some > 0, fails[at], number)
    return [
        f"{tables[ends[number] - 1].judgement.rule.name}: of {plural(round(of_these), 'build')} "
        "that pass every rule before it, none passes it"
        for number, of_these in zip(passes, found, strict=True)
    ]
