"""A rule over several slots that is held to more, or to less, than it asks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Self

from configurator.engine.arrays import IntArray
from configurator.engine.table import Table
from configurator.rules.comparison import Comparison
from configurator.rules.mouths import Mouths
from configurator.rules.rule_tables import RuleTables, over_scope


@dataclass(frozen=True, eq=False)
class HeldRule:
    """A rule over several slots that must be kept so far."""

    rule: RuleTables
    halves: tuple[Table, ...]
    """Need and allowance for that, or a lone table of what is let through."""

    @classmethod
    def leaving(cls, rule: RuleTables, share: float) -> Self:
        """Hold a rule that compares numbers to a share of its limit [-]; nothing unknown passes."""
        if rule.total is not None:
            need, light = rule.summands
            most = rule.total.leaving(share, unknown=False)
            return cls(rule, (need, Table(light.scope, most - light.values)))
        assert isinstance(rule.outcome, Comparison)
        halves = rule.outcome.leaving(share, unknown=False)
        scope, slots = rule.scope, rule.slots
        return cls(rule, tuple(Table(scope, over_scope(half, scope, slots)) for half in halves))

    @property
    def lets_all_through(self) -> bool:
        """Whether it is known to."""
        if len(self.halves) == 1:
            return self.halves[0].allows_all
        need, allow = (each.values for each in self.halves)
        return bool(need.size and allow.size and need.max() <= allow.min())

    def flags(
        self, chosen: Mapping[str, IntArray], mouths: Mouths | None, which: IntArray | None = None
    ) -> Table:
        """What it lets through; parameters as for `RuleTables.laid_out`."""
        return self.rule.laid(self.halves, chosen, mouths, which)
