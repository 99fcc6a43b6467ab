"""Laws of a judgement: nothing added, heated or reordered ever makes a contact better."""

import datetime as dt
from pathlib import Path

import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import SubstanceFile
from configurator.chemistry.contact import Contact, judge_contact
from configurator.chemistry.evidence import Evidence, EvidenceRecord, add_evidence, load_evidence
from configurator.chemistry.lookup import grade_rank, less_sure
from configurator.chemistry.share import MassFraction
from configurator.units.interval import Basis

FOLDER = Path(__file__).parents[2] / "catalogs" / "substances"
FILES = [
    SubstanceFile.model_validate(
        tomli.loads(path.read_text("utf-8")), context={"basis": Basis.FROM_MEMORY}
    )
    for path in sorted(FOLDER.glob("*.toml"))
]
SUBSTANCES = Substances(
    constituents={entry.name: entry for file in FILES for entry in file.constituent},
    wetted={entry.code: entry for file in FILES for entry in file.wetted},
    verdicts=tuple(group for file in FILES for group in file.verdicts),
    swell=tuple(group for file in FILES for group in file.swell),
)

names = st.sampled_from([*SUBSTANCES.constituents, "no such thing"])
codes = st.sampled_from(list(SUBSTANCES.wetted))
temperatures = st.one_of(
    st.sampled_from([296.15, 313.15, 333.15, 353.15, 393.15]), st.floats(250.0, 480.0)
)
GRADES = ("satisfactory", "limited", "not satisfactory")


@st.composite
def shares(draw: st.DrawFn) -> MassFraction:
    name = draw(names)
    if draw(st.booleans()):
        return MassFraction(name)
    low, high = sorted((draw(st.floats(0.0, 1.0)), draw(st.floats(0.0, 1.0))))
    return MassFraction(name, low, high)


@st.composite
def findings(draw: st.DrawFn, name: str, code: str) -> EvidenceRecord:
    return EvidenceRecord(
        date=draw(st.dates(dt.date(2020, 1, 1), dt.date(2026, 6, 30))),
        material=code,
        substance=name,
        temperature_c=draw(st.sampled_from([23.0, 40.0, 60.0, 90.0])),
        hours=168.0,
        grade=draw(st.sampled_from(GRADES)),
    )


def judged(
    code: str,
    constituents: tuple[MassFraction, ...],
    temperature: float,
    evidence: Evidence | None = None,
    product: str = "",
) -> Contact:
    return judge_contact(
        code,
        constituents,
        temperature=temperature,
        substances=SUBSTANCES,
        evidence=evidence,
        product=product,
    )


lists = st.lists(shares(), min_size=1, max_size=5).map(tuple)


@settings(max_examples=150, deadline=None)
@given(code=codes, constituents=lists, extra=shares(), temperature=temperatures)
def test_another_constituent_never_improves_a_contact(
    code: str, constituents: tuple[MassFraction, ...], extra: MassFraction, temperature: float
) -> None:
    before = judged(code, constituents, temperature)
    if any(voice.constituent != "the material" for voice in before.opinions):
        after = judged(code, (*constituents, extra), temperature)

        assert grade_rank(after.grade) >= grade_rank(before.grade)


@settings(max_examples=150, deadline=None)
@given(code=codes, constituents=lists, one=temperatures, other=temperatures)
def test_a_higher_temperature_never_improves_a_contact(
    code: str, constituents: tuple[MassFraction, ...], one: float, other: float
) -> None:
    cool, hot = sorted((one, other))

    assert grade_rank(judged(code, constituents, hot).grade) >= grade_rank(
        judged(code, constituents, cool).grade
    )


@settings(max_examples=150, deadline=None)
@given(data=st.data(), code=codes, constituents=lists, one=temperatures, other=temperatures)
def test_a_higher_temperature_never_improves_a_measured_contact(
    data: st.DataObject, code: str, constituents: tuple[MassFraction, ...], one: float, other: float
) -> None:
    cool, hot = sorted((one, other))
    subjects = [*(share.name for share in constituents), "the product"]
    records = data.draw(
        st.lists(st.sampled_from(subjects).flatmap(lambda name: findings(name, code)), max_size=4)
    )
    evidence = Evidence(tuple(records))

    assert grade_rank(judged(code, constituents, hot, evidence, "the product").grade) >= grade_rank(
        judged(code, constituents, cool, evidence, "the product").grade
    )


@settings(max_examples=150, deadline=None)
@given(data=st.data(), code=codes, constituents=lists, temperature=temperatures)
def test_the_order_of_constituents_is_nothing(
    data: st.DataObject, code: str, constituents: tuple[MassFraction, ...], temperature: float
) -> None:
    shuffled = tuple(data.draw(st.permutations(constituents)))

    assert judged(code, shuffled, temperature) == judged(code, constituents, temperature)


@settings(max_examples=150, deadline=None)
@given(data=st.data(), name=names, code=codes, temperature=temperatures)
def test_a_measurement_that_holds_wins_over_all_but_a_worse_one_and_a_hazard(
    data: st.DataObject, name: str, code: str, temperature: float
) -> None:
    records = data.draw(st.lists(findings(name, code), min_size=1, max_size=4))
    contact = judged(code, (MassFraction(name),), temperature, Evidence(tuple(records)))
    measured = [voice for voice in contact.opinions if voice.kind == "measured" and voice.used]

    # What was measured bounds the verdict from below whether or not it holds when hotter.
    for voice in measured:
        assert grade_rank(contact.grade) >= grade_rank(voice.grade)
    # No soak of one lot undoes a hazard or a reaction.
    hazards = [
        voice.grade for voice in contact.opinions if voice.hazard or voice.kind == "reaction"
    ]
    if any(voice.holds for voice in measured):
        worst = max([*(voice.grade for voice in measured), *hazards], key=grade_rank)
        assert contact.grade == worst


@settings(max_examples=150, deadline=None)
@given(code=codes, constituents=lists, temperature=temperatures)
def test_a_contact_is_the_worst_of_what_it_uses_and_says_who_decides(
    code: str, constituents: tuple[MassFraction, ...], temperature: float
) -> None:
    contact = judged(code, constituents, temperature)
    used = [voice for voice in contact.opinions if voice.used]

    assert contact.grade == max((voice.grade for voice in used), key=grade_rank)
    assert contact.constituent in {voice.constituent for voice in used}
    assert contact.constituent in contact.reason
    assert contact.basis.value in contact.reason
    assert contact.confidence in contact.reason
    assert contact.grade in contact.reason
    assert code in contact.reason


@settings(max_examples=100, deadline=None)
@given(text=st.text(max_size=40), code=codes)
def test_what_the_tables_do_not_hold_is_never_satisfactory(text: str, code: str) -> None:
    if SUBSTANCES.find(text) is None:
        assert judged(code, (MassFraction(text),), 296.15).grade == "unknown"


@settings(max_examples=50, deadline=None)
@given(data=st.data())
def test_adding_findings_in_any_pieces_gives_the_same_record(
    data: st.DataObject, tmp_path_factory: object
) -> None:
    records = data.draw(st.lists(findings("toluene", "EPDM"), max_size=5))
    cut = data.draw(st.integers(0, len(records)))
    folder = tmp_path_factory.mktemp("evidence")  # type: ignore[attr-defined]
    whole, pieces = folder / "whole.jsonl", folder / "pieces.jsonl"
    add_evidence(whole, records)
    add_evidence(pieces, records[:cut])
    add_evidence(pieces, records)

    assert load_evidence(pieces).records == load_evidence(whole).records
    assert len(load_evidence(whole).records) == len({record.line for record in records})


def test_a_stand_in_is_never_surer() -> None:
    assert [less_sure(word) for word in ("high", "medium", "low")] == ["medium", "low", "low"]
