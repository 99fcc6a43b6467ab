"""Why a material of a group has no build: the rule that cuts most, as the long way tells it.

Rules are heard in three turns, from those on one slot to those on many, and each turn takes
parts out for the next. What decides is the rule that takes out most parts, among those that
take out parts of a slot that is empty in the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from configurator.rules.applied import apply_rule
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.losses import nearest_finding
from configurator.screen.group import Group
from configurator.screen.heading import Heading
from configurator.screen.solved import count_first
from configurator.screen.verdict import runs_out

Flags = NDArray[np.bool_]
Part = tuple[str, int]


@dataclass
class _Account:
    """What each rule has taken out so far, of one material."""

    alive: dict[str, Flags]
    by_part: dict[Part, list[tuple[Heading, dict[str, Flags]]]] = field(default_factory=dict)

    def hear(self, cuts: Iterable[tuple[Heading, str, Flags]]) -> None:
        """Note the cuts of one turn: rule, slot, and the parts that it leaves no partner."""
        before = self.alive
        after = {slot: flags.copy() for slot, flags in before.items()}
        for heading, slot, out in cuts:
            if not all(before[each].any() for each in heading.scope):
                continue
            lost = out & before[slot]
            after[slot] &= ~lost
            for place in np.flatnonzero(lost):
                self.by_part.setdefault((slot, int(place)), []).append((heading, before))
        self.alive = after


def reasons_for_lost(group: Group, rows: Sequence[int]) -> dict[int, str | None]:
    """Why materials have no build.

    Parameters
    ----------
    group : Group
        Materials of one kin.
    rows : sequence of int
        Which of them; they have no build.

    Returns
    -------
    dict of int to str or None
        A reason for each, None where only rules together leave no build.
    """
    accounts = [
        _Account({slot: flags[row] for slot, flags in group.alive[0].items()}) for row in rows
    ]
    for row, account in zip(rows, accounts, strict=True):
        account.hear(_single(group, row))
    for turn in (1, 2):
        heard = _several(group, rows, turn, [account.alive for account in accounts])
        for at, account in enumerate(accounts):
            account.hear((heading, slot, out[at]) for heading, slot, out in heard)
    return {
        row: _decisive(group, row, account) for row, account in zip(rows, accounts, strict=True)
    }


def _decisive(group: Group, row: int, account: _Account) -> str | None:
    """The rule that cuts most where a slot ends up empty, with an example; else None."""
    emptied = {slot for slot, flags in account.alive.items() if not flags.any()}
    cuts: dict[str, int] = {}
    slots: dict[str, set[str]] = {}
    for (slot, _), found in account.by_part.items():
        for heading, _ in found:
            cuts[heading.rule.name] = cuts.get(heading.rule.name, 0) + 1
            slots.setdefault(heading.rule.name, set()).add(slot)
    decisive = [name for name in cuts if slots[name] & emptied]
    if not decisive:
        return None
    name = min(decisive, key=lambda each: (-cuts[each], each))
    heading, part, before = next(
        (heading, part, before)
        for part, found in account.by_part.items()
        for heading, before in found
        if heading.rule.name == name
    )
    return f"{name}: {_example(group, row, heading, part, before)}"


def where_builds_run_out(group: Group, rows: Sequence[int]) -> dict[int, str]:
    """The rule at which builds run out, for materials that no rule alone leaves without parts.

    Parameters
    ----------
    group : Group
        Materials of one kin.
    rows : sequence of int
        Which of them.

    Returns
    -------
    dict of int to str
        A reason for each.
    """
    places = np.array(rows, dtype=np.intp)
    passes = np.zeros(len(places), dtype=np.intp)
    fails = np.full(len(places), len(group.judged), dtype=np.intp)
    left = count_first(group, 0, places) if len(places) else np.zeros(0)
    while (fails - passes > 1).any():
        middle = (passes + fails) // 2
        for number in np.unique(middle[fails - passes > 1]):
            at = np.flatnonzero((middle == number) & (fails - passes > 1))
            builds = count_first(group, int(number), places[at])
            left[at] = np.where(builds > 0, builds, left[at])
            passes[at] = np.where(builds > 0, number, passes[at])
            fails[at] = np.where(builds > 0, fails[at], number)
    return {
        row: runs_out(group.judged[number].heading.rule.name, round(builds))
        for row, number, builds in zip(rows, passes, left, strict=True)
    }


def _single(group: Group, row: int) -> Iterator[tuple[Heading, str, Flags]]:
    """Cuts of rules over one slot."""
    numeric = {heading.rule.name: (slot, states) for heading, slot, states in group.unary}
    heard = group.verbal[row].heard
    for heading in group.bench.headings:
        if heading.turn or not heading.scope:
            continue
        name = heading.rule.name
        if name in numeric:
            slot, states = numeric[name]
            yield heading, slot, states[row if len(states) > 1 else 0] == State.RULED_OUT
        elif name in heard:
            (slot,) = heading.scope
            yield heading, slot, heard[name].applied.states == State.RULED_OUT


def _several(
    group: Group, rows: Sequence[int], turn: int, alive: Sequence[dict[str, Flags]]
) -> list[tuple[Heading, str, Flags]]:
    """Cuts of rules over several slots, among parts that are still alive; materials in front."""
    if not rows:
        return []
    places = np.array(rows, dtype=np.intp)
    together = {slot: np.stack([each[slot] for each in alive]) for slot in group.bench.slots}
    return [
        (judged.heading, slot, ~has)
        for judged in group.judged
        if judged.heading.turn == turn
        for slot, has in group.partners(judged, together, rows=places)
    ]


def _example(group: Group, row: int, heading: Heading, part: Part, before: dict[str, Flags]) -> str:
    """What the rule says of one part with the partners that suit it best."""
    slot, place = part
    parts = {
        each: tuple(entry for entry, stands in zip(entries, before[each], strict=True) if stands)
        for each, entries in group.bench.parts.items()
    }
    parts[slot] = (group.bench.parts[slot][place],)
    case = Case(group.subjects[row], Frame(parts))
    applied = apply_rule(case, heading.rule, case.sides[0])
    assert applied is not None  # it took the part out
    return nearest_finding(applied, slot, 0)[1].reason
