"""The rulebook as a screening reads it: what each rule hangs on, and when it is heard."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.rules.applied import scope_of
from configurator.rules.case import Case
from configurator.rules.narrowing import turn_of
from configurator.rules.rule import Rule
from configurator.screen.worded import is_fixed, is_numeric


@dataclass(frozen=True)
class Heading:
    """A rule with the slots of a one-part build that it depends on.

    Attributes
    ----------
    rule : Rule
        The rule.
    scope : tuple of str
        In the order of the frame.
    turn : int
        When it is heard: 0 for up to one slot, 1 for few combinations, 2 for many.
    numeric, fixed : bool
        Whether it has to be worked out for each material, and whether none moves it.
    """

    rule: Rule
    scope: tuple[str, ...]
    turn: int
    numeric: bool
    fixed: bool


def heading_of(rule: Rule, case: Case) -> Heading:
    """Read a rule for a case over all parts of a one-part build."""
    (side,) = case.sides
    scope = scope_of(rule, case, side)
    return Heading(rule, scope, turn_of(scope, case), is_numeric(rule), is_fixed(rule))
