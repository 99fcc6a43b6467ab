"""What a list says of a catalog: rows without a build, parts that would open them, idle parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from configurator.catalog.catalog import Catalog
from configurator.rules.finding import State
from configurator.screen.hypothetical.part import Hypothetical


@dataclass(frozen=True, slots=True)
class Unread:
    """A row that could not be read or not be judged."""

    number: int
    line: int
    fault: str


@dataclass(frozen=True, slots=True)
class Unserved:
    """A row of the list and a process for which no build counts."""

    number: int
    line: int
    """Of the row."""
    material: str
    process: str
    """Their names."""
    state: str
    """Of the best build: ruled out, or with `strict` also unproven or marginal."""
    reason: str
    """Why."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """A hypothetical part and what it would open."""

    part: Hypothetical
    """The part."""
    opened: tuple[tuple[int, State], ...]
    """Places among the unserved rows, each with the state of its best build with the part."""
    further: int
    """How many of them no part that is ranked higher opens."""

    def count(self, state: State) -> int:
        """Rows whose best build with the part is in a state."""
        return sum(each is state for _, each in self.opened)


@dataclass(frozen=True)
class Gaps:
    """What a list says of a catalog."""

    catalog: Catalog
    """What can be built from."""
    processes: tuple[str, ...]
    """Their names."""
    strict: bool
    """True if only builds that fit count."""
    rows: int
    """Rows of the list."""
    unread: tuple[Unread, ...]
    """Rows that were passed over."""
    unserved: tuple[Unserved, ...]
    """Rows without a build that counts, once a process."""
    tried: int
    """Hypothetical parts."""
    ranked: tuple[Ranked, ...]
    """Those that open a row, from most rows to fewest."""
    refused: tuple[str, ...]
    """Those whose figures the physics refuses."""
    idle: Mapping[str, tuple[str, ...]]
    """By slot, names of the parts of the catalog that no row uses."""

    @property
    def closed(self) -> tuple[int, ...]:
        """Places of the unserved rows that no hypothetical part opens by itself."""
        opened = {place for each in self.ranked for place, _ in each.opened}
        return tuple(place for place in range(len(self.unserved)) if place not in opened)
