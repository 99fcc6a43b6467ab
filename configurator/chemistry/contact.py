"""One wetted material against all that a dispensed material is made of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Confidence, Constituent, WettedMaterial
from configurator.chemistry.evidence import LIMITED_SWELL, SATISFACTORY_SWELL, Evidence
from configurator.chemistry.findings import (
    disagreeing,
    findings_on,
    measured_opinions,
    reason_of,
    settled_by_measurement,
    settling_test,
)
from configurator.chemistry.lookup import (
    ContactGrade,
    Opinion,
    confidence_rank,
    grade_rank,
    lookup_of,
)
from configurator.chemistry.pair import (
    no_record,
    spellings_of,
    table_opinions,
    with_gap,
)
from configurator.chemistry.place import (
    OUTCOME_WORDS,
    SCREEN_TEMPERATURE,
    Place,
    Screened,
    liquids_of,
    screen_swelling,
    screenable,
    second_witness,
)
from configurator.chemistry.share import (
    UNNAMED,
    MassFraction,
    counts,
    is_small_class,
    unknown_constituent,
)
from configurator.units.interval import Basis


def deciding(opinions: Sequence[Opinion]) -> Opinion:
    """Return the opinion that a contact rests on.

    The worst grade decides. Among several that condemn, the surest is named; among several
    that let pass, the least sure, since a build is as good as its weakest link.
    """
    used = [voice for voice in opinions if voice.used]
    worst = max(grade_rank(voice.grade) for voice in used)
    last = [voice for voice in used if grade_rank(voice.grade) == worst]
    condemns = last[0].grade == "not satisfactory"
    return min(
        last,
        key=lambda voice: (
            (confidence_rank(voice.confidence), voice.basis.rank)
            if condemns
            else (-confidence_rank(voice.confidence), -voice.basis.rank),
            voice.sort_key(),
        ),
    )


def swelling_to_allow(
    decides: Opinion, opinions: Sequence[Opinion], material: WettedMaterial | None
) -> tuple[float, float] | None:
    """Return the volume change to allow for in the fit of an elastomer.

    A change that was measured, published or calculated stands for itself. Otherwise the grade
    bounds it, by the limits that define the grades of an immersion (common practice, no source):
    few contacts that are satisfactory come near theirs, so that half of it is counted.
    """
    if material is None or material.family != "elastomer":
        return None
    if decides.swelling is not None:
        seen = [
            voice.swelling
            for voice in opinions
            if voice.kind == decides.kind and voice.used and voice.swelling is not None
        ]
        return (min(0.0, *seen), max(0.0, *seen))
    if decides.grade == "satisfactory":
        return (0.0, SATISFACTORY_SWELL / 2.0)
    if decides.grade == "limited":
        return (0.0, LIMITED_SWELL)
    return None


@dataclass(frozen=True)
class Contact:
    """How one wetted material stands a dispensed material."""

    material: str
    """Code of the wetted material."""
    grade: ContactGrade
    """The worst over all constituents that count."""
    constituent: str
    """The one that decides; empty when none was named."""
    basis: Basis
    """What the deciding verdict rests on."""
    confidence: Confidence
    """How sure the deciding verdict is."""
    reason: str
    """One sentence with constituent, part material, verdict, basis and confidence."""
    opinions: tuple[Opinion, ...] = ()
    """Every voice that was heard, in an order of its own."""
    ignored: tuple[str, ...] = ()
    """Constituents below the share from which they count, and small ones that their class leaves
    open."""
    test: str = ""
    """What would settle the contact; empty where nothing is open."""
    swelling: tuple[float, float] | None = None
    """Bounds of the volume change to allow for in the fit of an elastomer; None where there is no
    such bound. [-]"""

    @property
    def disagreements(self) -> tuple[Opinion, ...]:
        """Verdicts of the tables on the deciding constituent, where they do not agree."""
        return disagreeing(self.opinions, self.constituent)


def judge_contact(
    material_code: str,
    constituents: tuple[MassFraction, ...],
    *,
    temperature: float,
    substances: Substances,
    evidence: Evidence | None = None,
    product: str = "",
    grade_name: str = "",
    place: Place = "still seal",
) -> Contact:
    """Judge how a wetted material, such as "EPDM", stands a dispensed material.

    Among non-empty lists another constituent never makes the grade better, nor does a higher
    temperature, and the order of the list is nothing.

    Parameters
    ----------
    constituents : tuple of MassFraction
        What the material is made of; an empty tuple is unknown, never satisfactory.
    temperature : float
        Highest temperature of the contact. [K]
    evidence : Evidence, optional
        What the shop has measured; it replaces verdicts and estimates for its pair, up to the
        temperature of the test, but never a worse measurement or a hazard.
    product : str
        Name of the whole product, to find findings on it.
    grade_name : str
        Compound of the part; findings on another compound are left aside.
    place : Place
        Where an elastomer sits: what a change of volume means hangs on it.
    """
    material = substances.wetted.get(material_code)
    if material is None:
        note = "the tables hold no wetted material of that code"
        return _concluded(material_code, None, [no_record("any constituent", material_code, note)])
    lookup = lookup_of(substances)
    opinions: list[Opinion] = []
    unproven: list[tuple[Constituent, MassFraction]] = []
    ignored: dict[str, None] = {}
    totals = _total_shares(constituents, substances)
    for share in constituents:
        constituent = substances.find(share.name, share.numbers)
        title = share.name if constituent is None else constituent.title
        voices: list[Opinion] = []
        spellings = [share.name]
        if constituent is not None:
            if not counts(totals[constituent.name], constituent):
                ignored[title] = None
                continue
            spellings = spellings_of(constituent, share.name)
            voices = table_opinions(
                constituent, share, material, temperature=temperature, lookup=lookup, place=place
            )
        found = findings_on(evidence, material_code, spellings, grade_name)
        voices += measured_opinions(found, title, material_code, temperature=temperature)
        if constituent is not None:
            voices = second_witness(voices, constituent, share, material, place)
        voices = settled_by_measurement(voices)
        voices = voices or _not_in_tables(constituent, share.name, material_code, substances)
        if constituent is not None and _for_the_screen(constituent, material, voices):
            unproven.append((constituent, share))
        else:
            voices = with_gap(voices, title, material_code, temperature=temperature)
        opinions += voices
    if unproven:
        opinions += _screened(material, unproven, temperature)
    opinions = _without_small(opinions, totals, substances, ignored)
    if product:
        found = findings_on(evidence, material_code, (product,), grade_name)
        whole = measured_opinions(found, product, material_code, temperature=temperature)
        # A soak in the whole product answers for all that is in it.
        if any(voice.used and voice.holds for voice in whole):
            opinions = settled_by_measurement([*whole, *opinions])
        else:
            opinions += whole
    return _concluded(material_code, material, opinions, tuple(sorted(ignored)))


def _total_shares(
    constituents: tuple[MassFraction, ...], substances: Substances
) -> dict[str, MassFraction]:
    """Add up what there is of each constituent, since one may be listed under two names."""
    totals: dict[str, MassFraction] = {}
    for share in constituents:
        constituent = substances.find(share.name, share.numbers)
        if constituent is not None:
            before = totals.get(constituent.name)
            totals[constituent.name] = share if before is None else _together(before, share)
    return totals


def _without_small(
    opinions: list[Opinion],
    totals: dict[str, MassFraction],
    substances: Substances,
    ignored: dict[str, None],
) -> list[Opinion]:
    """Leave out what the class of a small share leaves open: it is one finding of the build."""
    known = substances.constituents
    small = {known[name].title for name, of in totals.items() if is_small_class(of, known[name])}
    open_ = [each for each in opinions if each.constituent in small and each.grade == "unknown"]
    ignored.update(dict.fromkeys(voice.constituent for voice in open_))
    return [voice for voice in opinions if voice not in open_] if open_ else opinions


def _together(one: MassFraction, other: MassFraction) -> MassFraction:
    if one.fraction_low is None or one.fraction_high is None:
        return one
    if other.fraction_low is None or other.fraction_high is None:
        return other
    low = min(1.0, one.fraction_low + other.fraction_low)
    return replace(
        one, fraction_low=low, fraction_high=min(1.0, one.fraction_high + other.fraction_high)
    )


def _not_in_tables(
    constituent: Constituent | None, name: str, material: str, substances: Substances
) -> list[Opinion]:
    if constituent is not None:
        return []
    if name == UNNAMED:
        return [no_record(name, material, "ask the maker, or soak the part in the whole product")]
    close = unknown_constituent(name, substances)
    meant = f"; did you mean {' or '.join(close)}?" if close else ""
    return [no_record(name, material, f"the tables do not hold it{meant}")]


def _for_the_screen(
    constituent: Constituent, material: WettedMaterial, voices: list[Opinion]
) -> bool:
    """Whether only an estimate can say something: no verdict, and no measurement that holds."""
    if constituent.hansen is None or not screenable(material):
        return False
    return not any(
        voice.kind in ("verdict", "stand-in", "inert pair")
        or (voice.kind == "measured" and voice.used and voice.holds)
        for voice in voices
    )


def _screened(
    material: WettedMaterial, members: list[tuple[Constituent, MassFraction]], temperature: float
) -> list[Opinion]:
    return [
        _estimate(result, material.code, temperature)
        for result in screen_swelling(material, liquids_of(members))
    ]


def _estimate(result: Screened, material: str, temperature: float) -> Opinion:
    words = OUTCOME_WORDS[result.outcome]
    grade, note = (
        result.grade,
        f"an estimate, distance over radius {result.difference:.2f}: {words}",
    )
    warm = temperature > SCREEN_TEMPERATURE
    if warm and grade == "limited":
        grade, note = "unknown", f"{note}, but not shown for warm contact"
    return Opinion(
        constituent=result.liquid,
        material=material,
        grade=grade,
        kind="screen",
        basis=Basis.ESTIMATED,
        source="swelling screen by Hansen parameters",
        confidence="low",
        holds=not warm,
        note=note,
    )


def _concluded(
    code: str,
    material: WettedMaterial | None,
    opinions: list[Opinion],
    ignored: tuple[str, ...] = (),
) -> Contact:
    if not any(voice.used for voice in opinions):
        note = "only small shares are stated" if ignored else "no constituent is stated"
        opinions = [*opinions, no_record("the material", code, note)]
    ordered = tuple(sorted(dict.fromkeys(opinions), key=Opinion.sort_key))
    decides = deciding(ordered)
    return Contact(
        material=code,
        grade=decides.grade,
        constituent=decides.constituent,
        basis=decides.basis,
        confidence=decides.confidence,
        reason=reason_of(decides, ordered, material),
        opinions=ordered,
        ignored=ignored,
        test=settling_test(decides, material, code),
        swelling=swelling_to_allow(decides, ordered, material),
    )
