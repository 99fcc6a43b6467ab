"""How often laws are tried: a fixed small draw with every run of the tests, a large one on request.

A large draw looks for the fault that nobody has met; most faults show in the first few worlds.
`HEADWRIGHT_ALL_DRAWS=1` asks for all of them.
"""

from __future__ import annotations

import os

ALL = bool(os.environ.get("HEADWRIGHT_ALL_DRAWS"))


def draws(few: int, many: int) -> int:
    """How many examples to draw of what was asked for."""
    return many if ALL else few
