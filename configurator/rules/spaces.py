"""Spaces of the builds up to each level, laid out where somebody asks, and what leaves no build."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property

import numpy as np

from configurator.engine import Blame, BuildSpace, Picks
from configurator.rules.finding import LISTED, State
from configurator.rules.propagation import Propagation
from configurator.rules.space import HELPER_MARK, SpaceTables


class Spaces(Mapping[State, BuildSpace]):
    """Nested spaces of the builds of one request up to each level, over its live parts.

    They are laid out where somebody asks for them first: a list of heads needs none.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts.
    """

    def __init__(self, left: Propagation) -> None:
        self._left = left
        self._live = {slot: np.flatnonzero(flags[0]) for slot, flags in left.live.items()}
        self._known: dict[State, BuildSpace] = {}

    def __getitem__(self, level: State) -> BuildSpace:
        if level not in self._known:
            self._known[level] = self._laid_out(level)
            if len(self._known) == len(LISTED):
                self.__dict__.pop("_tables", None)  # large, and for no other level
        return self._known[level]

    def __iter__(self) -> Iterator[State]:
        return iter(LISTED)

    def __len__(self) -> int:
        return len(LISTED)

    @property
    def ready(self) -> bool:
        """True once any is laid out."""
        return bool(self._known)

    def _laid_out(self, level: State) -> BuildSpace:
        """The space of a level, from that of the next wider one."""
        domains = {slot: len(places) for slot, places in self._live.items()}
        if not all(domains.values()):
            # A slot without a part settles it; a table over no part at all cannot be laid out.
            return BuildSpace(domains)
        found = self._tables.at(level)
        if level is LISTED[-1]:
            return BuildSpace(domains | found.helpers, found.relations, found.thresholds)
        wider = self[LISTED[LISTED.index(level) + 1]]
        return wider.tightened(found.relations, found.thresholds)

    @cached_property
    def _tables(self) -> SpaceTables:
        return SpaceTables(self._left, self._live)


def conflict_in(
    space: BuildSpace, picks: Picks, known: Iterable[tuple[Blame, ...]] = ()
) -> tuple[Blame, ...]:
    """A minimal set of rules and picks that leaves no build; none if there are builds.

    What only defines a class or a kind is never blamed: nobody could do anything about it.
    """
    defined = [each.name for each in space.relations if each.name.startswith(HELPER_MARK)]
    found = space.conflict(picks, defined, map(frozenset, known))
    return tuple(sorted(found or ()))
