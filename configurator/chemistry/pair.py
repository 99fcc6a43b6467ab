"""One constituent on one wetted material: every opinion there is, and which ones count.

The grade of a pair is the worst of the opinions that are used. Three things keep heat from
ever making it better: a bad grade stays above the temperature it was stated for, a good one
proves nothing there, and what only a measurement has shown ends with its temperature.
"""

from __future__ import annotations

from dataclasses import replace

from configurator.catalog.substances import Constituent, WettedMaterial
from configurator.chemistry.lookup import GradedRecord, Lookup, Opinion, less_sure
from configurator.chemistry.place import Place, swell_opinions
from configurator.chemistry.reaction import inert_pair
from configurator.chemistry.share import MassFraction
from configurator.units.interval import Basis

ZERO_CELSIUS = 273.15

NEUTRAL = "neutral organic"
"""Tag of liquids that neither attack nor cure: all that they do to a rubber is swell it."""

WARMER_BY = 20.0
"""How much warmer than its record a neutral liquid may be. Weak swelling goes with exp(-1 - chi), chi
being the interaction parameter; of 36 liquids in polybutadiene, measured from 40 to 100 degC, that of
methanol falls most, by 1.15, which is 0.38 in 20 K (Orwoll and Arnold, table 14.1 of a handbook of
polymers, as transcribed). So a change of volume grows by half at most, and 3 % become 4.5 %. [K]"""


def table_opinions(
    constituent: Constituent,
    share: MassFraction,
    material: WettedMaterial,
    *,
    temperature: float,
    lookup: Lookup,
    place: Place,
) -> list[Opinion]:
    """Return what verdicts, numbers, stand-ins, inert pairs and reaction rules say of a pair.

    An empty list means that nothing at all is known and the screen may be asked.
    """
    opinions = _verdicts(constituent, share, material, temperature=temperature, lookup=lookup)
    opinions += swell_opinions(
        lookup.swell.get((constituent.name, material.code), ()),
        constituent.title,
        material.code,
        place=place,
        temperature=temperature,
    )
    tags = lookup.name_tags[constituent.name]
    pair = inert_pair(tags, material.tags)
    if pair is not None:
        opinions.append(
            Opinion(
                constituent=constituent.title,
                material=material.code,
                grade="satisfactory",
                kind="inert pair",
                basis=Basis.COMMON_PRACTICE,
                source=f"rule '{pair.name}'",
                confidence=pair.confidence,
                holds=temperature <= pair.temperature_to,
                note=pair.reason,
            )
        )
    material_tags = frozenset(material.tags)
    for rule in lookup.rules[material.code]:
        if rule.applies(
            constituent_tags=tags, material_tags=material_tags, temperature=temperature
        ):
            opinions.append(
                Opinion(
                    constituent=constituent.title,
                    material=material.code,
                    grade=rule.grade,
                    kind="reaction",
                    basis=rule.basis,
                    source=f"rule '{rule.name}'",
                    confidence=rule.confidence,
                    hazard=rule.hazard,
                    note=rule.reason,
                )
            )
    return opinions


def _verdicts(
    constituent: Constituent,
    share: MassFraction,
    material: WettedMaterial,
    *,
    temperature: float,
    lookup: Lookup,
) -> list[Opinion]:
    """Return verdicts on the very pair, or else those of the nearest stand-in."""
    neutral = NEUTRAL in lookup.name_tags[constituent.name]
    swells_only = neutral and material.family == "elastomer"
    for steps, name, code in _stand_ins(constituent.name, material.code, lookup):
        records = lookup.records.get((name, code))
        if records is not None:
            opinions = [
                _verdict(
                    record,
                    share,
                    title=constituent.title,
                    material=material.code,
                    temperature=temperature,
                    swells_only=swells_only,
                )
                for record in records
                if _speaks_of(record, share, temperature)
            ]
            return [_borrowed(voice, steps, f"{name} on {code}") for voice in opinions]
    return []


def _stand_ins(name: str, code: str, lookup: Lookup) -> list[tuple[int, str, str]]:
    """Return the pair itself, then pairs that may stand in for it, nearest first."""
    pairs = [
        (name_steps + code_steps, other_name, other_code)
        for name_steps, other_name in enumerate(lookup.name_chain[name])
        for code_steps, other_code in enumerate(lookup.code_chain[code])
    ]
    return sorted(pairs, key=lambda pair: pair[0]) if len(pairs) > 1 else pairs


def _speaks_of(record: GradedRecord, share: MassFraction, temperature: float) -> bool:
    """Whether a record says anything of this temperature and share."""
    if temperature < record.temperature_from:
        return False
    return record.covers_fraction(share.fraction_low, share.fraction_high) or record.below_fraction(
        share.fraction_low
    )


def _verdict(
    record: GradedRecord,
    share: MassFraction,
    *,
    title: str,
    material: str,
    temperature: float,
    swells_only: bool,
) -> Opinion:
    group = record.group
    voice = Opinion(
        constituent=title,
        material=material,
        grade=record.grade,
        kind="verdict",
        basis=Basis(group.basis),
        source=group.source,
        confidence=group.confidence,
        holds=temperature <= record.temperature_to
        and record.covers_fraction(share.fraction_low, share.fraction_high),
        note=group.note,
        swelling=None if group.swelling is None else group.swelling.nominal,
    )
    beyond = temperature - record.temperature_to
    covers = record.covers_fraction(share.fraction_low, share.fraction_high)
    if swells_only and covers and record.grade == "satisfactory" and 0.0 < beyond <= WARMER_BY:
        return _warmer(voice, record.temperature_to)
    return voice


def _warmer(voice: Opinion, known_to: float) -> Opinion:
    """Take a good grade for a neutral liquid over to a somewhat warmer rubber, as limited.

    What is limited already has nothing left for that, and stays unknown.
    """
    end = f"{known_to - ZERO_CELSIUS:.0f} degC"
    note = (
        f"satisfactory up to {end}; a neutral liquid swells a rubber by half as much again in 20 K"
    )
    return replace(
        voice,
        grade="limited",
        confidence=less_sure(voice.confidence),
        holds=True,
        note=f"{note}; {voice.note}" if voice.note else note,
    )


def _borrowed(opinion: Opinion, steps: int, pair: str) -> Opinion:
    """Return a verdict on a kindred pair, one step less sure for each step of kinship."""
    if steps == 0:
        return opinion
    confidence = opinion.confidence
    for _ in range(steps):
        confidence = less_sure(confidence)
    note = f"{pair} stands in"
    return replace(
        opinion,
        kind="stand-in",
        confidence=confidence,
        note=f"{note}; {opinion.note}" if opinion.note else note,
    )


def no_record(title: str, material: str, note: str) -> Opinion:
    """Return the opinion that nothing is known."""
    return Opinion(
        constituent=title,
        material=material,
        grade="unknown",
        kind="no record",
        basis=Basis.ESTIMATED,
        source="no record",
        confidence="low",
        note=note,
    )


def with_gap(
    opinions: list[Opinion], title: str, material: str, *, temperature: float
) -> list[Opinion]:
    """Add that nothing is known at this temperature where no used opinion holds there.

    A reaction rule names a harm; it does not prove the absence of another, so it does not
    fill the gap unless it condemns.
    """
    used = [voice for voice in opinions if voice.used]
    proves = any(
        voice.holds and (voice.kind != "reaction" or voice.grade == "not satisfactory")
        for voice in used
    )
    if proves or any(voice.grade == "not satisfactory" for voice in used):
        return opinions
    celsius = f"{temperature - ZERO_CELSIUS:.0f} degC"
    note = f"no record holds at {celsius}" if used else "no record"
    return [*opinions, no_record(title, material, note)]


def spellings_of(constituent: Constituent, typed: str) -> list[str]:
    """Every way in which a finding may name a constituent."""
    names = [typed, constituent.name, constituent.title, constituent.cas or ""]
    return [*names, *constituent.synonyms]
