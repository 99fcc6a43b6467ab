"""Chemistry records: what cannot both be so, what is hard to believe, and what they rest on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import product

from configurator.catalog.catalog import Catalog, Substances
from configurator.catalog.checking import Check, Finding, between, figure_of
from configurator.catalog.substances import Constituent, WettedMaterial

ROOM, HOTTEST, HOTTEST_POLYMER = 296.15, 1000.0, 620.0
"""A wetted material stands the room, and no more than the others [K]; from memory."""

MELTS = {
    plastic: float(celsius)
    for plastic, celsius in (
        *(("PE-HD", 135), ("PE-UHMW", 140), ("PP", 170), ("POM", 178), ("PBT", 228)),
        *(("PA66", 265), ("PTFE", 335), ("PEEK", 345)),
    )
}
"""Where the crystals of a plastic melt at the latest [degC]; from memory."""

PLAUSIBLE = (
    ("density", 30.0, 23000.0),
    ("mohs", 0.5, 10.0),
    ("flash_point", 150.0, 650.0),
    ("hansen.dispersion", 9e3, 30e3),
    ("hansen.polar", 0.0, 35e3),
    ("hansen.hydrogen", 0.0, 50e3),
    ("hansen.radius", 1e3, 35e3),
)
"""Figures of chemistry records and between what they are believed, in SI; from memory."""

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


def _told(records: Substances) -> list[tuple[str, WettedMaterial | Constituent]]:
    return [
        *((f"wetted material {code}", each) for code, each in records.wetted.items()),
        *((f"constituent {name}", each) for name, each in records.constituents.items()),
    ]


def _figures_off(catalog: Catalog) -> Iterator[Finding]:
    for material in catalog.substances.wetted.values():
        where = f"wetted material {material.code}"
        low, high = material.temperature_low, material.temperature_high
        if not low.nominal < ROOM < high.nominal or high.nominal > HOTTEST:
            yield where, "temperature_high", f"{low.text} to {high.text} is hard to believe"
        melts = MELTS.get(material.code, HOTTEST_POLYMER - 273.15) + 273.15
        if material.family in ("elastomer", "plastic") and high.nominal > melts:
            text = f"{high.text}, and {material.code} melts or chars by {melts - 273.15:.0f} degC"
            yield where, "temperature_high", text
    for (where, record), (field, least, most) in product(_told(catalog.substances), PLAUSIBLE):
        figure = figure_of(record, field)
        if figure is not None and not least <= figure.low <= figure.high <= most:
            text = f"{figure.text} is hard to believe, {between(least, most, figure.kind)}"
            yield where, field, text


def _tags_misspelt(catalog: Catalog) -> Iterator[Finding]:
    tagged = _told(catalog.substances)
    counts = Counter(tag for _, record in tagged for tag in record.tags)
    for where, record in tagged:
        for tag in (tag for tag in record.tags if counts[tag] == 1):
            if meant := next((other for other in counts if _misspelt(tag, other)), None):
                yield where, "tags", f"{tag}, which nothing else has, for {meant}?"


def _verdicts_off(catalog: Catalog) -> Iterator[Finding]:
    records = catalog.substances
    swollen = {
        (row.constituent, row.code): row.change.text
        for group in records.swell
        for row in group.rows
        if row.change.low > SWOLLEN
    }
    for verdict in records.verdicts:
        where, warmest = f"verdicts on {verdict.constituent}", verdict.temperature_to
        if verdict.satisfactory and verdict.swelling and verdict.swelling.nominal > SWOLLEN:
            text = f"{verdict.swelling.text} of swelling is called satisfactory"
            yield where, "swelling", text
        for code in verdict.satisfactory:
            if change := swollen.get((verdict.constituent, code)):
                text = f"{code} is called satisfactory, and swells by {change}"
                yield where, "satisfactory", text
        for code in (*verdict.satisfactory, *verdict.limited):
            held = records.wetted[code].temperature_high if code in records.wetted else None
            if held and warmest and warmest.nominal > held.nominal:
                text = f"{warmest.text} is warmer than {code} stands, {held.text}"
                yield where, "temperature_to", text


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


CHECKS: tuple[Check, ...] = (
    Check("chemistry figures are believable", "warning", _figures_off),
    Check("tags are spelt alike", "warning", _tags_misspelt),
    Check("verdicts are believable", "warning", _verdicts_off),
)
