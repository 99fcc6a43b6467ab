"""Chemistry records by themselves: temperatures, tags that nothing else has, and what swells."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from configurator.catalog.catalog import Catalog
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


CHECKS: tuple[Check, ...] = (Check("chemistry records are believable", "warning", _chemistry_off),)
