"""What to say of a constituent that the tables do not hold."""

from __future__ import annotations

import re

from configurator.catalog.catalog import Substances
from configurator.chemistry.lookup import lookup_of
from configurator.errors import nearest

MOST_NAMES = 3

CAS_NUMBER = re.compile(r"[0-9]{2,7}-[0-9]{2}-[0-9]")


def unknown_constituent(text: str, substances: Substances) -> tuple[str, ...]:
    """Return the titles in the tables that a misspelt constituent most likely meant.

    At most three, best first; none when nothing is close.
    """
    lookup = lookup_of(substances)
    typed = " ".join(text.split())
    if CAS_NUMBER.fullmatch(typed):
        return ()  # numbers that look alike mean nothing of the kind
    if typed not in lookup.meant:
        names: dict[str, None] = {}
        for spelling in nearest(typed, lookup.spellings, limit=2 * MOST_NAMES):
            names[substances.constituents[lookup.spellings[spelling]].title] = None
        lookup.meant[typed] = tuple(names)[:MOST_NAMES]
    return lookup.meant[typed]
