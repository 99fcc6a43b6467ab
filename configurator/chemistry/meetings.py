"""What must not meet: in one container, or remains of one material or a flushing medium with another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Constituent
from configurator.chemistry.lookup import ContactGrade
from configurator.chemistry.reaction import tags_in
from configurator.chemistry.share import MassFraction, counts
from configurator.units.interval import Basis

AMINES = "primary amine, secondary amine, tertiary amine, ammonia"
HYDROXYLS = "water, alcohol, glycol, polyol, primary amine, secondary amine"
SILICONES = "silicone fluid, alkenyl silicone, hydrosilane, acetoxysilane"

_CURE_PAGES = "public pages on the cure of platinum silicones (excerpts)"
_SOLVENT_PAGE = "a public page on solvents for isocyanates (excerpt)"


@dataclass(frozen=True, slots=True)
class InOne:
    """Classes of a rule that are not kept in one container (from memory, common chemistry)."""

    left: frozenset[str]
    """Which of what is left over; the rule's own where it is empty."""
    grade: ContactGrade
    """What a list is that names both: never to be run, or open until the maker has explained it."""
    reason: str
    """What they do, as half a sentence."""
    across: bool = False
    """True if it matters between the components of a mix as well."""
    here: frozenset[str] = frozenset()
    """Which of what runs now; the rule's own where it is empty."""


@dataclass(frozen=True, slots=True)
class MeetingRule:
    """Chemical classes that spoil each other: as remains in a head, or in one container too."""

    name: str
    """Id of its sentence."""
    here: frozenset[str]
    """Tags of what runs now; empty for whatever does not have the tags of `left` itself."""
    left: frozenset[str]
    """Tags of what is left in the head."""
    in_one: tuple[InOne, ...] = ()
    """What a list of constituents must not name together."""
    both_ways: bool = True
    """Whether it holds with the two exchanged."""
    basis: Basis = Basis.FROM_MEMORY
    source: str = "common practice of adhesive users"


MEETING_RULES = (
    MeetingRule(
        "poisons_platinum",
        tags_in("platinum catalyst, hydrosilane"),
        tags_in(f"{AMINES}, thiol, tin catalyst, nitrile monomer"),
        (
            InOne(
                tags_in("thiol, tin catalyst, primary amine, secondary amine, nitrile monomer"),
                "unknown",
                "may leave the silicone uncured",
                across=True,
                here=tags_in("platinum catalyst"),
            ),
        ),
        both_ways=False,
        basis=Basis.PUBLISHED,
        source=_CURE_PAGES,
    ),
    MeetingRule(
        "reacts_with_isocyanate",
        tags_in("isocyanate"),
        tags_in(HYDROXYLS),
        (
            InOne(
                tags_in("water"),
                "not satisfactory",
                "give off carbon dioxide, which bursts what is closed",
            ),
            InOne(
                tags_in("primary amine, secondary amine"),
                "unknown",
                "react at once, unless one is blocked",
            ),
            InOne(
                tags_in("alcohol, glycol, polyol"),
                "unknown",
                "react with each other, unless one is bound",
            ),
        ),
        basis=Basis.PUBLISHED,
        source=_SOLVENT_PAGE,
    ),
    MeetingRule("cures_epoxide", tags_in("epoxide"), tags_in(f"{AMINES}, thiol, anhydride")),
    MeetingRule(
        "starts_cyanoacrylate",
        tags_in("cyanoacrylate"),
        tags_in(f"{AMINES}, water, alcohol, strong base, weak base"),
        (
            InOne(
                tags_in("primary amine, secondary amine, tertiary amine, strong base, water"),
                "not satisfactory",
                "set together within seconds",
            ),
        ),
        both_ways=False,
    ),
    MeetingRule(
        "splits_peroxide",
        tags_in("peroxide, hydroperoxide"),
        tags_in(f"{AMINES}, metal soap"),
        (InOne(tags_in("metal soap"), "not satisfactory", "split the peroxide with heat and gas"),),
    ),
    MeetingRule(
        "frees_hydrogen",
        tags_in("hydrosilane"),
        tags_in(f"{AMINES}, water, alcohol, strong base"),
        (InOne(tags_in("strong base"), "not satisfactory", "give off hydrogen"),),
    ),
    MeetingRule(
        "oxidises",
        tags_in("oxidising acid"),
        tags_in(
            "alcohol, glycol, polyol, ketone, ester, solvent ester, glycol ether, aprotic solvent, "
            "neutral organic, aliphatic hydrocarbon, aromatic hydrocarbon, terpene, organic acid"
        ),
        (InOne(frozenset(), "not satisfactory", "can react with violence"),),
        source="common chemistry",
    ),
    MeetingRule(
        "neutralises",
        tags_in("mineral acid"),
        tags_in("strong base, ammonia"),
        (InOne(frozenset(), "not satisfactory", "neutralise each other with heat"),),
        source="common chemistry",
    ),
    MeetingRule("water_starts_cure", tags_in("moisture cure"), tags_in("water"), both_ways=False),
    MeetingRule("silicone_spoils_bond", frozenset(), tags_in(SILICONES), both_ways=False),
)


def clashes(
    components: Sequence[Sequence[Constituent]], component: int
) -> Iterator[tuple[InOne, Constituent, Constituent]]:
    """Yield what does not go together with the constituents of a component.

    Parameters
    ----------
    components : sequence of sequence of Constituent
        What each component of a material is made of.
    component : int
        Which of them is in question.
    """
    every = [each for some in components for each in some]
    for rule in MEETING_RULES:
        for pair in rule.in_one:
            among = every if pair.across else components[component]
            for one in _with(pair.here or rule.here, components[component]):
                for other in _with(pair.left or rule.left, among):
                    if one.name != other.name:
                        yield pair, one, other


@dataclass(frozen=True, slots=True)
class Spoiling:
    """Two substances that spoil each other in a head."""

    rule: MeetingRule
    here: str
    left: str


def named(shares: Iterable[MassFraction], substances: Substances) -> list[Constituent]:
    """Constituents that the tables know and of which there is enough to count."""
    found = [(share, substances.find(share.name, share.numbers)) for share in shares]
    return [each for share, each in found if each is not None and counts(share, each)]


def meetings(here: Iterable[Constituent], left: Iterable[Constituent]) -> Iterator[Spoiling]:
    """Yield what is known against remains of some substances in a head that runs others."""
    here, left = list(here), list(left)
    for rule in MEETING_RULES:
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
