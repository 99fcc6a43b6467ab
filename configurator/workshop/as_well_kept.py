"""Builds that keep every rule as well as one of them does, or a step less well."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from configurator.engine.table import Table
from configurator.rules.comparison import DEPTHS, UNKNOWN_STEPS, Comparison
from configurator.rules.finding import Finding, State
from configurator.rules.held_rule import HeldRule
from configurator.rules.outcome import WORD_STEPS
from configurator.rules.propagation import Propagation
from configurator.rules.rule_tables import RuleTables
from configurator.workshop.told import RankedBuild
from configurator.workshop.worst import Demanded

MORE_STEPS = 1
"""Steps by which a rule that compares numbers may be kept less well (chosen for this tool): what
fits may lack its margin, what is past its limit may be a step further past it."""


def as_well_kept(
    left: Propagation,
    live: Mapping[str, np.ndarray[tuple[int], np.dtype[np.intp]]],
    build: RankedBuild,
) -> Demanded:
    """Let through what is no worse than a build in any verdict, and `MORE_STEPS` in any number.

    Where the build keeps a limit they keep it too: one step is the margin alone.

    Parameters
    ----------
    left : Propagation
        What the rules leave of the parts.
    live : Mapping of str to ndarray of int
        By slot, the places of the parts that are in question.
    build : RankedBuild
        The one that the others are held against.
    """
    found = {each.rule: each for each in build.findings}
    flags = []
    for judgement, said in left.unary:
        finding = found.get(judgement.title)
        for slot, states in said.by_slot.items() if finding else ():
            assert finding is not None
            if said.depth is None:
                here = np.take(WORD_STEPS, states) <= finding.short
            else:
                here = said.depth <= finding.short + MORE_STEPS
            flags.append(Table((slot,), here[:, live[slot]]))
    several = (
        _held(rule, found[t]) for rule in left.tables if (t := rule.judgement.title) in found
    )
    held = [rule for rule in several if rule is not None and not rule.lets_all_through]
    return [table for table in flags if not table.allows_all], held


def _held(rule: RuleTables, finding: Finding) -> HeldRule | None:
    """A rule over several slots that is kept so well; None if any way is as good."""
    if rule.total is not None:
        return None  # beyond its limit no build stands, so that a step is all that it can lack
    if isinstance(rule.outcome, Comparison):
        steps = finding.short + MORE_STEPS
        if steps > len(DEPTHS):
            return None
        within = rule.within(DEPTHS[steps - 1], unknown=steps >= UNKNOWN_STEPS)
        return HeldRule(rule, within)
    levels = [state for state in (State.FITS, State.MARGINAL) if WORD_STEPS[state] >= finding.short]
    return HeldRule(rule, rule.sides[levels[0]]) if levels else None
