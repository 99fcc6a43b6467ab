"""What must not meet in a head: remains of one material, or a flushing medium, with another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Constituent
from configurator.chemistry.reaction import tags_in
from configurator.chemistry.share import MassFraction, counts
from configurator.units.interval import Basis

AMINES = "primary amine, secondary amine, tertiary amine, ammonia"
HYDROXYLS = "water, alcohol, glycol, polyol, primary amine, secondary amine"
SILICONES = "silicone fluid, alkenyl silicone, hydrosilane, acetoxysilane"

_CURE_PAGES = "public pages on the cure of platinum silicones (excerpts)"
_SOLVENT_PAGE = "a public page on solvents for isocyanates (excerpt)"


@dataclass(frozen=True, slots=True)
class SpoilingRule:
    """Chemical classes that spoil each other."""

    name: str
    """Id of its sentence."""
    here: frozenset[str]
    """Tags of what runs now; empty for whatever does not have the tags of `left` itself."""
    left: frozenset[str]
    """Tags of what is left in the head."""
    both_ways: bool = True
    """Whether it holds with the two exchanged."""
    basis: Basis = Basis.FROM_MEMORY
    source: str = "common practice of adhesive users"


SPOILING_RULES = (
    SpoilingRule(
        "poisons_platinum",
        tags_in("platinum catalyst, hydrosilane"),
        tags_in(f"{AMINES}, thiol, tin catalyst, nitrile monomer"),
        both_ways=False,
        basis=Basis.PUBLISHED,
        source=_CURE_PAGES,
    ),
    SpoilingRule(
        "reacts_with_isocyanate",
        tags_in("isocyanate"),
        tags_in(HYDROXYLS),
        basis=Basis.PUBLISHED,
        source=_SOLVENT_PAGE,
    ),
    SpoilingRule("cures_epoxide", tags_in("epoxide"), tags_in(f"{AMINES}, thiol, anhydride")),
    SpoilingRule(
        "starts_cyanoacrylate",
        tags_in("cyanoacrylate"),
        tags_in(f"{AMINES}, water, alcohol, strong base, weak base"),
        both_ways=False,
    ),
    SpoilingRule(
        "splits_peroxide", tags_in("peroxide, hydroperoxide"), tags_in(f"{AMINES}, metal soap")
    ),
    SpoilingRule(
        "frees_hydrogen", tags_in("hydrosilane"), tags_in(f"{AMINES}, water, alcohol, strong base")
    ),
    SpoilingRule("water_starts_cure", tags_in("moisture cure"), tags_in("water"), both_ways=False),
    SpoilingRule("silicone_spoils_bond", frozenset(), tags_in(SILICONES), both_ways=False),
)


@dataclass(frozen=True, slots=True)
class Spoiling:
    """Two substances that spoil each other in a head."""

    rule: SpoilingRule
    here: str
    left: str


def named(shares: Iterable[MassFraction], substances: Substances) -> list[Constituent]:
    """Constituents that the tables know and of which there is enough to count."""
    found = [(share, substances.find(share.name)) for share in shares]
    return [each for share, each in found if each is not None and counts(share, each)]


def meetings(here: Iterable[Constituent], left: Iterable[Constituent]) -> Iterator[Spoiling]:
    """Yield what is known against remains of some substances in a head that runs others."""
    here, left = list(here), list(left)
    for rule in SPOILING_RULES:
        for one, other in ((here, left), (left, here))[: 1 + rule.both_ways]:
            mine = _with(rule.here, one)
            theirs = _with(rule.left, other)
            if not rule.here:
                mine = [] if _with(rule.left, one) else one
            if mine and theirs:
                yield Spoiling(rule, _titles(mine, all_=bool(rule.here)), _titles(theirs))
                break


def _with(tags: frozenset[str], among: Iterable[Constituent]) -> list[Constituent]:
    return [each for each in among if not tags.isdisjoint(each.tags)]


def _titles(found: Iterable[Constituent], *, all_: bool = True) -> str:
    return ", ".join(each.title for each in found) if all_ else ""
