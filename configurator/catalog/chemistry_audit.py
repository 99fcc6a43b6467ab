"""Chemistry records that cannot both be so, and what the records on elastomers rest on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from configurator.catalog.catalog import Catalog, Substances
from configurator.catalog.checking import Finding


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
