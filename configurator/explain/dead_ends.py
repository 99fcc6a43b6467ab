"""What was found to open nothing, so that changes that leave it as it is are not tried again.

A few rules that empty a slot go on doing so as long as nothing moves that they could read,
whatever else of a request is changed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from configurator.explain.request_data import could_read
from configurator.rules.existence import EmptySlot
from configurator.rules.ruleset import Judgement

Moves = Mapping[str, object]
"""Values of the fields in which a request differs from the one that stands."""


class DeadEnds:
    """Slots that some judgements, in the order of their numbers, empty, each with its moves."""

    def __init__(self, judgements: Sequence[Judgement]) -> None:
        self._judgements = judgements
        self._reads: dict[tuple[int, str], bool] = {}
        self._known: dict[EmptySlot, list[Moves]] = {}
        self._matter: dict[tuple[EmptySlot, frozenset[str]], tuple[str, ...]] = {}

    def reads(self, number: int, field: str) -> bool:
        """Whether a rule could read a field, also through what fills a gap."""
        key = number, field
        if key not in self._reads:
            self._reads[key] = could_read(self._judgements[number].rule, field)
        return self._reads[key]

    def add(self, empty: EmptySlot, moves: Moves) -> None:
        """Keep that a slot is empty under some moves."""
        self._known.setdefault(empty, []).append(self._that_matter(empty, moves))

    def hold(self, moves: Moves) -> bool:
        """Whether something that is known to empty a slot does so under some moves."""
        return any(self._that_matter(empty, moves) in known for empty, known in self._known.items())

    def _that_matter(self, empty: EmptySlot, moves: Moves) -> Moves:
        key = empty, frozenset(moves)
        if key not in self._matter:
            self._matter[key] = tuple(field for field in moves if self._matters(empty, field))
        return {field: moves[field] for field in self._matter[key]}

    def _matters(self, empty: EmptySlot, field: str) -> bool:
        kind, _, slot = field.partition(" ")
        if kind in ("pick", "without"):
            return slot in empty.slots
        return any(self.reads(number, field) for number in empty.rules)
