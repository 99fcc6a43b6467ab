"""What a material is made of, as far as someone says so, and what a misspelt name may mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Constituent
from configurator.chemistry.lookup import lookup_of
from configurator.errors import nearest
from configurator.request.material import Component
from configurator.units.cell import is_registry_number

UNNAMED = "constituents that the data sheet does not name"
"""Stands for what is left when the stated shares do not add up."""

NEARLY_ALL = 0.98
"""Shares that reach this together leave nothing worth naming (common practice, no source)."""

MOST_NAMES = 3


@dataclass(frozen=True, slots=True)
class MassFraction:
    """A constituent and its mass fraction.

    Raises
    ------
    ValueError
        If only one bound is given, or the bounds are not 0 <= low <= high <= 1.
    """

    name: str
    """Name, synonym or CAS number as written on the data sheet."""
    fraction_low: float | None = None
    fraction_high: float | None = None
    """Bounds of the mass fraction; None when it is not stated, and then the constituent counts
    whatever its threshold. [-]"""
    numbers: str = ""
    """Registry numbers beside the name."""

    def __post_init__(self) -> None:
        low, high = self.fraction_low, self.fraction_high
        if low is None or high is None:
            if low is not high:
                raise ValueError("give both bounds of a mass fraction, or neither")
        elif not 0.0 <= low <= high <= 1.0:
            raise ValueError(f"mass fractions need 0 <= low <= high <= 1, got {low} and {high}")


def shares_of(component: Component) -> tuple[MassFraction, ...]:
    """Constituents of a component as chemistry takes them."""
    return tuple(
        MassFraction(entry.name, numbers=entry.numbers)
        if entry.mass_fraction is None
        else MassFraction(
            entry.name, entry.mass_fraction.low, entry.mass_fraction.high, entry.numbers
        )
        for entry in component.constituents
    )


def counts(share: MassFraction, constituent: Constituent) -> bool:
    """Whether there is enough of a constituent for it to be judged.

    The high end of the stated fraction decides, since the worst batch does the harm.
    """
    return share.fraction_high is None or share.fraction_high >= constituent.counts_from.low


SMALL_SHARE = 0.01
"""Below this an additive of which the class is known is judged by its class (common practice, no
source): reactions of the class are held against each part, and what nobody knows of it is told
once and not part by part. [-]"""

TRACE = 0.001
"""Below this a class counts only where its own threshold is as low: what section 3 of a safety data
sheet need not list as a rule (from memory). [-]"""


def is_small_class(share: MassFraction, constituent: Constituent) -> bool:
    """Whether a constituent is a little of a substance of which only the class is told."""
    high = share.fraction_high
    return constituent.kind == "class" and high is not None and TRACE <= high < SMALL_SHARE


def unnamed_share(shares: Sequence[MassFraction]) -> MassFraction | None:
    """Return what the stated shares leave unnamed, or None when they nearly add up.

    A list with an unstated fraction may or may not be whole, so it leaves an unnamed rest of
    unstated size.

    Examples
    --------
    >>> unnamed_share([MassFraction("toluene", 0.4, 0.5)])
    MassFraction(name='constituents that the data sheet does not name', fraction_low=0.5, fraction_high=0.6)
    """
    low = high = 0.0
    for share in shares:
        if share.fraction_low is None or share.fraction_high is None:
            return MassFraction(UNNAMED)
        low += share.fraction_low
        high += share.fraction_high
    if (low + high) / 2.0 >= NEARLY_ALL:
        return None
    return MassFraction(UNNAMED, max(0.0, 1.0 - high), max(0.0, 1.0 - low))


def unknown_constituent(text: str, substances: Substances) -> tuple[str, ...]:
    """Return the titles in the tables that a misspelt constituent most likely meant.

    At most three, best first; none when nothing is close.
    """
    lookup = lookup_of(substances)
    typed = " ".join(text.split())
    if is_registry_number(typed):
        return ()  # numbers that look alike mean nothing of the kind
    if typed not in lookup.meant:
        names: dict[str, None] = {}
        for spelling in nearest(typed, lookup.spellings, limit=2 * MOST_NAMES):
            names[substances.constituents[lookup.spellings[spelling]].title] = None
        lookup.meant[typed] = tuple(names)[:MOST_NAMES]
    return lookup.meant[typed]
