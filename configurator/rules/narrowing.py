"""When a rule is heard: narrow rules first, so that wide ones see few parts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from configurator.rules.case import Case

NARROW_UP_TO = 20_000
"""Combinations up to which a rule is heard before the wide ones."""


def turn_of(scope: Sequence[str], case: Case) -> int:
    """When a rule is heard: 0 for one slot at most, 1 for few combinations, 2 for many."""
    if len(scope) <= 1:
        return 0
    return 1 if cells(case, scope) <= NARROW_UP_TO else 2


def cells(case: Case, scope: Sequence[str]) -> int:
    """Combinations of the parts of a scope."""
    return math.prod(len(case.frame.parts[slot]) for slot in scope)
