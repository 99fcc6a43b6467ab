"""Why nothing is left, as data: minimal sets of wishes that no build meets at once, step by step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from configurator.explain.blame import Group
from configurator.explain.nearest import Miss
from configurator.explain.request_data import Datum


@dataclass(frozen=True, slots=True)
class Step:
    """One member of a conflict and what it takes out of what the members before it leave."""

    kind: Literal["rule", "pick", "without"]
    """rule, pick or without."""
    name: str
    """The rule's name, or the slot."""
    groups: tuple[Group, ...]
    """Parts that it takes out by itself; none if it only forbids combinations."""
    nearest: Miss | None
    """Its finding on what comes nearest to passing; for a pick that does not go together with what
    stands, the finding that says so; else None."""
    source: str
    """Where its limit or formula comes from."""
    asked: tuple[Datum, ...]
    """Values of the request behind it."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """A minimal set of rules, picks and exclusions that leaves no build."""

    steps: tuple[Step, ...]
    """The members, narrowest first."""
    emptied: tuple[str, ...]
    """Slots for which no part is left in the end; none if parts are left that do not go
    together."""
    left: Mapping[str, int]
    """Parts left by slot where none is emptied."""

    @property
    def members(self) -> frozenset[tuple[str, str]]:
        """Kind and name of each member."""
        return frozenset((step.kind, step.name) for step in self.steps)

    @property
    def asked(self) -> tuple[Datum, ...]:
        """Every value of the request behind the conflict, once."""
        return tuple({datum.field: datum for step in self.steps for datum in step.asked}.values())


@dataclass(frozen=True, slots=True)
class Conflicts:
    """The conflicts of a request."""

    found: tuple[Conflict, ...]
    """Different minimal ones."""
    complete: bool
    """True if there are no others."""
    catalog_alone: bool
    """True if the catalog has builds as long as nobody wishes anything."""
