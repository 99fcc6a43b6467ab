"""The shop's own findings: append-only, idempotent, and stronger than any table."""

import json
from datetime import date

import pytest
from pydantic import ValidationError

from configurator.chemistry.evidence import (
    Evidence,
    EvidenceRecord,
    add_evidence,
    grade_from_immersion,
    import_evidence,
    load_evidence,
)
from configurator.errors import InputError


def finding(**changes):
    values = {
        "date": date(2026, 3, 4),
        "material": "EPDM",
        "grade_name": "",
        "substance": "toluene",
        "temperature_c": 23.0,
        "hours": 168.0,
        "grade": "satisfactory",
    }
    return EvidenceRecord.model_validate({**values, **changes})


def test_findings_come_back_as_they_were_added(tmp_path):
    path = tmp_path / "shop" / "findings.jsonl"
    records = [finding(), finding(material="NBR", grade="limited", note="tacky")]

    assert add_evidence(path, records) == 2
    assert list(load_evidence(path).records) == records
    assert load_evidence(path).faults == ()


def test_adding_twice_changes_nothing(tmp_path):
    path = tmp_path / "findings.jsonl"
    add_evidence(path, [finding()])
    before = path.read_bytes()

    assert add_evidence(path, [finding(), finding()]) == 0
    assert path.read_bytes() == before


def test_a_missing_file_holds_no_findings(tmp_path):
    assert load_evidence(tmp_path / "none.jsonl") == Evidence()


@pytest.mark.parametrize(
    "broken",
    [
        b'{"date": "2026-03-04", "mater',
        b"\xff\xfe\x00",
        b"[]",
        b'{"date": "2026-03-04"}',
        b"null",
        b'{"grade": "splendid"}',
    ],
)
def test_a_broken_line_costs_itself_alone(tmp_path, broken):
    path = tmp_path / "findings.jsonl"
    add_evidence(path, [finding()])
    with path.open("ab") as file:
        file.write(broken)

    assert add_evidence(path, [finding(material="NBR")]) == 1
    loaded = load_evidence(path)
    assert [record.material for record in loaded.records] == ["EPDM", "NBR"]
    assert len(loaded.faults) == 1
    assert "line 2" in loaded.faults[0].field
    assert loaded.faults[0].line().isprintable()


def test_adding_never_rewrites_what_was_there(tmp_path):
    path = tmp_path / "findings.jsonl"
    add_evidence(path, [finding()])
    before = path.read_bytes()
    add_evidence(path, [finding(hours=24.0)])

    assert path.read_bytes().startswith(before)


def test_importing_is_idempotent_and_tells_of_broken_lines(tmp_path):
    own, other = tmp_path / "own.jsonl", tmp_path / "other.jsonl"
    add_evidence(own, [finding()])
    add_evidence(other, [finding(), finding(material="FKM")])
    with other.open("ab") as file:
        file.write(b"{half a line\n")

    first, faults = import_evidence(own, other)
    again, _ = import_evidence(own, other)
    assert (first, again, len(faults)) == (1, 0, 1)
    assert len(load_evidence(own).records) == 2


def test_a_folder_in_place_of_the_file_is_an_input_error(tmp_path):
    with pytest.raises(InputError):
        load_evidence(tmp_path)


@pytest.mark.parametrize(
    ("swelling", "hardness", "grade"),
    [
        (0.03, None, "satisfactory"),
        (0.0301, None, "limited"),
        (-0.05, None, "limited"),
        (0.08, 0.0, "limited"),
        (0.081, 0.0, "not satisfactory"),
        (0.01, -5.0, "satisfactory"),
        (0.01, -6.0, "limited"),
        (None, 11.0, "not satisfactory"),
        (None, None, None),
    ],
)
def test_an_immersion_is_graded_by_its_numbers(swelling, hardness, grade):
    assert grade_from_immersion(swelling=swelling, hardness_change=hardness) == grade


def test_a_grade_left_out_follows_from_the_numbers():
    line = json.loads(finding(swelling_pct=5.0, grade="limited").line)
    del line["grade"]

    assert EvidenceRecord.model_validate(line).grade == "limited"


def test_a_grade_better_than_the_numbers_is_refused():
    with pytest.raises(ValidationError, match="makes this not satisfactory"):
        finding(swelling_pct=20.0, grade="satisfactory")


def test_a_grade_worse_than_the_numbers_is_the_shops_own_affair():
    assert finding(swelling_pct=1.0, grade="not satisfactory").grade == "not satisfactory"


@pytest.mark.parametrize(
    "changes",
    [
        {"hours": 0.0},
        {"hours": float("nan")},
        {"temperature_c": 900.0},
        {"extra": 1},
        {"date": "x"},
    ],
)
def test_senseless_findings_are_refused(changes):
    with pytest.raises(ValidationError):
        finding(**changes)


def test_a_measurement_replaces_verdicts_and_says_its_date(judge):
    contact = judge("EPDM", "toluene", evidence=Evidence((finding(swelling_pct=1.2),)))

    assert contact.grade == "satisfactory"
    assert contact.basis.value == "measured"
    assert "2026-03-04" in contact.reason
    assert contact.swelling == (0.0, pytest.approx(0.012))
    assert any(voice.kind == "verdict" and not voice.used for voice in contact.opinions)


def test_a_measurement_is_found_under_any_name_of_the_constituent(judge):
    for name in ("methylbenzene", "108-88-3", "Toluol"):
        evidence = Evidence((finding(substance=name),))
        assert judge("EPDM", "toluene", evidence=evidence).grade == "satisfactory"


def test_a_measurement_ends_with_its_temperature(judge):
    evidence = Evidence((finding(),))

    assert judge("EPDM", "toluene", evidence=evidence, temperature=296.15).grade == "satisfactory"
    assert judge("EPDM", "toluene", evidence=evidence, temperature=300.0).grade == (
        "not satisfactory"
    )


def test_a_good_measurement_never_wins_over_a_worse_one_of_its_day(judge):
    good, bad = finding(), finding(grade="not satisfactory")

    for records in ((good, bad), (bad, good)):
        assert judge("EPDM", "toluene", evidence=Evidence(records)).grade == "not satisfactory"


def test_a_later_finding_of_its_kind_takes_the_place_of_an_earlier_one_and_says_so(judge):
    bad = finding(date=date(2025, 1, 1), grade="not satisfactory")
    contact = judge("EPDM", "toluene", evidence=Evidence((bad, finding())))

    assert contact.grade == "satisfactory"
    assert any("superseded by that of 2026-03-04" in voice.note for voice in contact.opinions)


@pytest.mark.parametrize(
    "changes", [{"kind": "trial"}, {"temperature_c": 20.0}, {"hours": 24.0}, {"grade_name": "x"}]
)
def test_another_kind_a_cooler_or_a_shorter_one_takes_no_place(judge, changes):
    bad = finding(date=date(2025, 1, 1), grade="not satisfactory")
    evidence = Evidence((bad, finding(**changes)))

    assert judge("EPDM", "toluene", evidence=evidence).grade == "not satisfactory"


def test_six_minutes_prove_nothing_and_a_short_failure_counts(judge):
    short = finding(hours=0.1)
    failed = finding(material="NBR", substance="mineral oil", hours=0.1, grade="not satisfactory")

    assert judge("EPDM", "toluene", evidence=Evidence((short,))).grade == "not satisfactory"
    assert judge("NBR", "mineral oil", evidence=Evidence((failed,))).grade == "not satisfactory"


def test_a_withdrawal_takes_away_what_came_before_it(judge):
    withdrawn = finding(date=date(2026, 4, 1), kind="withdrawal")

    assert judge("EPDM", "toluene", evidence=Evidence((finding(), withdrawn))).grade == (
        "not satisfactory"
    )


def test_a_failure_a_little_hotter_warns_and_a_cooler_pass_is_told_as_near(judge):
    failed = finding(
        material="NBR", substance="mineral oil", temperature_c=35.0, grade="not satisfactory"
    )
    warned = judge("NBR", "mineral oil", evidence=Evidence((failed,)))
    near = judge(
        "NBR", "toluene", evidence=Evidence((finding(material="NBR"),)), temperature=301.15
    )

    assert warned.grade == "limited"
    assert "failed hotter, by 12 K" in warned.reason
    assert any("near, and no proof: the contact reaches 5 K more" in v.note for v in near.opinions)


def test_a_soak_of_one_lot_does_not_undo_a_reaction(judge):
    """A primary amine hardens a fluoro rubber, whatever one lot did within a week."""
    soaked = finding(material="FKM", substance="TETA")

    assert judge("FKM", "TETA", evidence=Evidence((soaked,))).grade == "not satisfactory"


@pytest.mark.parametrize("day", ["1950-01-01", "2199-01-01"])
def test_a_date_that_cannot_be_is_refused(day):
    with pytest.raises(ValidationError):
        finding(date=day)


def test_a_failure_when_hot_does_not_condemn_cool_contact(judge):
    evidence = Evidence(
        (
            finding(
                material="NBR",
                substance="mineral oil",
                temperature_c=120.0,
                grade="not satisfactory",
            ),
        )
    )

    assert judge("NBR", "mineral oil", evidence=evidence).grade == "satisfactory"
    assert judge("NBR", "mineral oil", evidence=evidence, temperature=394.0).grade == (
        "not satisfactory"
    )


def test_a_measurement_speaks_for_its_compound_where_one_is_asked(judge):
    evidence = Evidence((finding(grade_name="compound 7"),))

    assert judge("EPDM", "toluene", evidence=evidence).grade == "satisfactory"
    assert judge("EPDM", "toluene", evidence=evidence, grade_name="compound 7").grade == (
        "satisfactory"
    )
    assert judge("EPDM", "toluene", evidence=evidence, grade_name="compound 8").grade == (
        "not satisfactory"
    )


def test_a_measurement_makes_an_unlisted_constituent_known(judge):
    evidence = Evidence((finding(substance="secret ester 9"),))

    assert judge("EPDM", "secret ester 9", evidence=evidence).grade == "satisfactory"


def test_a_soak_in_the_whole_product_answers_for_all_of_it(judge):
    evidence = Evidence((finding(substance="float putty"),))
    contact = judge("EPDM", "toluene", "who knows", evidence=evidence, product="Float Putty")

    assert contact.grade == "satisfactory"
    assert contact.constituent == "Float Putty"


def test_a_soak_in_the_whole_product_does_not_hide_a_worse_measured_constituent(judge):
    evidence = Evidence(
        (finding(substance="float putty"), finding(grade="not satisfactory", swelling_pct=90.0))
    )
    contact = judge("EPDM", "toluene", evidence=evidence, product="float putty")

    assert contact.grade == "not satisfactory"


def test_no_soak_test_overrules_a_hazard(judge):
    soaked = finding(material="hard-anodised Al", substance="dichloromethane")
    contact = judge("hard-anodised Al", "dichloromethane", evidence=Evidence((soaked,)))

    assert contact.grade == "not satisfactory"
    assert "run away" in contact.reason


def test_a_product_soak_that_ends_below_the_temperature_leaves_the_other_verdicts_alone(judge):
    evidence = Evidence(
        (finding(substance="float putty"), finding(substance="toluene", temperature_c=90.0))
    )

    def grade(kelvin):
        return judge(
            "EPDM",
            "toluene",
            "mineral oil",
            evidence=evidence,
            product="float putty",
            temperature=kelvin,
        ).grade

    assert grade(296.15) == "satisfactory"
    assert grade(330.0) == "not satisfactory"
