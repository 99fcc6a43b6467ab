"""Chemistry records: what cannot both be so, what is hard to believe, and what they rest on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from configurator.catalog.catalog import Catalog, Substances
from configurator.catalog.checking import Check, Finding

ROOM, HOTTEST, HOTTEST_POLYMER = 296.15, 1000.0, 620.0
"""A wetted material stands the room, and no more than the others [K]; from memory."""

SWOLLEN = 0.3
"""Volume change that no chart calls satisfactory; common practice, no source."""


def _misspelt(word: str, other: str) -> bool:
    """One letter came in, went or differs, or two neighbours changed places."""
    pairs = enumerate(zip(word, other, strict=False))
    shorter = min(len(word), len(other))
    same = next((place for place, (one, two) in pairs if one != two), shorter)
    rest, wanted = word[same:], other[same:]
    return word != other and (
        rest[1:] == wanted[1:]
        or rest == wanted[1:]
        or rest[1:] == wanted
        or (rest[:2] == wanted[1::-1] and rest[2:] == wanted[2:])
    )


def _chemistry_off(catalog: Catalog) -> Iterator[Finding]:
    records = catalog.substances
    counts = Counter(tag for each in records.wetted.values() for tag in each.tags)
    counts += Counter(tag for each in records.constituents.values() for tag in each.tags)
    for material in records.wetted.values():
        where = f"wetted material {material.code}"
        low, high = material.temperature_low, material.temperature_high
        if not low.nominal < ROOM < high.nominal or high.nominal > HOTTEST:
            yield where, "temperature_high", f"{low.text} to {high.text} is hard to believe"
        if material.family in ("elastomer", "plastic") and high.nominal > HOTTEST_POLYMER:
            yield where, "temperature_high", f"{high.text} for an {material.family}"
    tagged = [(f"wetted material {code}", each.tags) for code, each in records.wetted.items()]
    tagged += [(f"constituent {name}", each.tags) for name, each in records.constituents.items()]
    for where, tags in tagged:
        for tag in (tag for tag in tags if counts[tag] == 1):
            if meant := next((other for other in counts if _misspelt(tag, other)), None):
                yield where, "tags", f"{tag}, which nothing else has, for {meant}?"
    for verdict in records.verdicts:
        if verdict.satisfactory and verdict.swelling and verdict.swelling.nominal > SWOLLEN:
            text = f"{verdict.swelling.text} of swelling is called satisfactory"
            yield f"verdicts on {verdict.constituent}", "swelling", text


def chemistry_at_odds(catalog: Catalog) -> Iterator[Finding]:
    """Records that cannot both be so."""
    chemistry = catalog.substances
    for spelling, one, other in chemistry.names.clashes:
        yield f"constituent {other}", "synonyms", f"{spelling} means {one} as well"
    yield from _grades_at_odds(chemistry)


def _grades_at_odds(chemistry: Substances) -> Iterator[Finding]:
    said: dict[tuple[str, ...], str] = {}
    for group in chemistry.verdicts:
        where = f"verdicts on {group.constituent}"
        bounds = (
            group.temperature_to,
            group.temperature_from,
            group.fraction_from,
            group.fraction_to,
        )
        for grade in ("satisfactory", "limited", "not_satisfactory"):
            for code in getattr(group, grade):
                key = (group.constituent, code, group.source, *map(str, bounds))
                if said.setdefault(key, grade) != grade:
                    both = f"{said[key]} and {grade}".replace("_", " ")
                    yield where, grade, f"{both} for {code} by one source: {group.source}"


def records_by_basis(chemistry: Substances) -> str:
    """Return how many records on elastomers there are by what they rest on, in one line."""
    rubber = {code for code, entry in chemistry.wetted.items() if entry.family == "elastomer"}
    grades: Counter[str] = Counter()
    for group in chemistry.verdicts:
        codes = (*group.satisfactory, *group.limited, *group.not_satisfactory)
        grades[group.basis] += len(rubber.intersection(codes))
    numbers: Counter[str] = Counter()
    for source in chemistry.swell:
        numbers[source.basis] += len(source.rows)
    in_words = (
        ", ".join(f"{count} {basis}" for basis, count in sorted(held.items()) if count) or "none"
        for held in (numbers, grades)
    )
    return "elastomers: changes of volume {}; grades without a number {}".format(*in_words)


CHECKS: tuple[Check, ...] = (Check("chemistry records are believable", "warning", _chemistry_off),)
