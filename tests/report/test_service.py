"""The service card: spares, flushing media, changeover, recalibration."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped import cheapest_first

from configurator.chemistry.meetings import MEETING_RULES, meetings, named
from configurator.chemistry.share import MassFraction
from configurator.report.service import Card, service_card
from configurator.report.sheet_data import SheetData, sheet_data
from configurator.report.sheet_words import english
from configurator.workshop.head_record import HeadRecord


@pytest.fixture(scope="session")
def ask():
    return cheapest_first


@pytest.fixture(scope="module")
def data_of(ask):
    def found(material: str, process: str) -> SheetData:
        answer = ask(material, process)
        return sheet_data(answer, answer.builds(limit=1)[0])

    return found


@pytest.fixture(scope="module")
def sealant_data(data_of) -> SheetData:
    return data_of("lid-sealant", "lid-bead")


@pytest.fixture(scope="module")
def filler_data(data_of) -> SheetData:
    """A platinum silicone of two parts, with a shift stated."""
    return data_of("gap-filler", "gap-filler-pads")


@pytest.fixture(scope="module")
def after(ask, filler_data):
    def card(material: str, process: str) -> Card:
        return service_card(filler_data, after=ask(material, process).question.material)

    return card


def told(rows, label: str) -> str:
    return " | ".join(text for name, text in rows if name == label)


def test_spares_have_their_band_in_hours_shots_and_shifts_or_say_what_is_missing(
    sealant_data, filler_data
):
    stated = service_card(filler_data)["spares"][0][1]
    bare = service_card(sealant_data)["spares"][0][1]

    assert " h of turning" in stated
    assert " shots" in stated
    assert " shifts" in stated
    assert "shots" in bare
    assert "state production.parts_per_shift" in bare
    assert "invented constants" in stated


def test_a_medium_that_attacks_or_reacts_stands_behind_what_nothing_speaks_against(sealant_data):
    """Oracle: EPDM does not stand mineral oil, and isocyanate reacts with alcohol and water."""
    media = service_card(sealant_data)["media"]
    names = [title for title, _, _ in media]
    by_name = dict(zip(names, media, strict=True))

    assert by_name["mineral oil"][1].startswith("not satisfactory: stator epdm-l")
    for title in ("water", "isopropanol"):
        assert f"{title} with MDI prepolymer" in by_name[title][2]
        assert names.index(title) > names.index("acetone")
    assert "flash point -20 degC" in by_name["acetone"][2]


def test_a_medium_that_no_table_knows_is_said_to_be_unknown_and_last(sealant_data):
    subject = sealant_data.answer.subject
    practice = subject.catalog.practice.model_copy(
        update={"flushing_media": ("moon-dust", "acetone")}
    )
    catalog = replace(subject.catalog, practice=practice)
    answer = replace(sealant_data.answer, subject=replace(subject, catalog=catalog))
    media = service_card(replace(sealant_data, answer=answer))["media"]

    assert [title for title, _, _ in media] == ["acetone", "moon-dust"]
    assert media[1][1] == "not in the tables"


def test_amines_poison_a_platinum_silicone_and_take_the_rubber_with_them(after):
    card = after("bay-potting", "bay-potting-pour")

    assert "amine" in told(card["changeover"], english()("spoils"))
    assert "poisons the platinum" in told(card["changeover"], english()("spoils"))
    replaced = told(card["changeover"], english()("replace"))
    assert "stator b epdm-l: rubber keeps cycloaliphatic amine" in replaced
    assert "mixer ribbon-14x16" in replaced
    assert "rotor a" in told(card["changeover"], english()("flush"))


def test_either_of_two_components_counts_after_which_one_ran_nobody_states(data_of, ask):
    """An amine hardener starts a cyanoacrylate; its resin does not."""
    potting = ask("bay-potting", "bay-potting-pour").question.material
    card = service_card(data_of("cap-gel", "cap-dots"), after=potting)

    assert "cures at once" in told(card["changeover"], english()("spoils"))


def test_rubber_that_the_material_before_limits_is_measured_and_not_thrown_away(data_of, ask):
    grease = ask("hinge-grease", "hinge-dots").question.material
    changed = service_card(data_of("bearing-oil", "pulley-drops"), after=grease)["changeover"]

    assert "stator fkm-s" in told(changed, english()("look_at"))
    assert "stator" not in told(changed, english()("replace"))


@pytest.mark.parametrize(
    ("material", "process"), [("bay-potting", "bay-potting-pour"), ("hull-paste", "hull-seam")]
)
def test_the_purge_comes_before_the_longest_stop_that_holds_is_over(data_of, material, process):
    data = data_of(material, process)
    allowed = data.build.figures["stop_allowed_min"]
    (purge,) = [each for each in data.settings if each.key == "purge interval"]

    assert allowed is not None
    assert purge.high is not None
    assert purge.high <= allowed * 60.0 * (1.0 + 1e-9)
    assert "cut to the longest stop that holds" in purge.note


def test_a_silicone_after_a_silicone_poisons_nothing(after):
    card = after("window-silicone", "window-bead")

    assert "platinum" not in told(card["changeover"], english()("spoils"))
    assert "wetting" not in told(card["changeover"], english()("spoils"))


def test_silicone_before_an_adhesive_spoils_its_bond(sealant_data, ask):
    silicone = ask("window-silicone", "window-bead").question.material
    card = service_card(sealant_data, after=silicone)

    assert "adhesion" in told(card["changeover"], english()("spoils"))


def test_the_classes_that_must_not_meet_are_those_of_the_tables(catalog):
    known = {tag for each in catalog.substances.constituents.values() for tag in each.tags}

    for rule in MEETING_RULES:
        assert rule.here | rule.left <= known, rule.name
        assert f"meets_{rule.name}" in english().texts
        for pair in rule.in_one:
            assert pair.left <= rule.left, rule.name
            assert pair.here <= rule.here, rule.name


def test_what_meets_is_the_same_from_either_side_where_it_goes_both_ways(catalog):
    amine, epoxide = (
        named([MassFraction(name)], catalog.substances)
        for name in ("isophorone diamine", "liquid bisphenol A epoxy resin")
    )

    assert {each.rule.name for each in meetings(amine, epoxide)} == {"cures_epoxide"}
    assert {each.rule.name for each in meetings(epoxide, amine)} == {"cures_epoxide"}


def test_the_last_usable_trial_of_the_cavity_is_named(sealant_data):
    record = HeadRecord.model_validate(
        {
            "trial": "0123456789ab",
            "date": "2026-03-04",
            "material": "lid-sealant",
            "side": "",
            "cavity": sealant_data.head.sides[0].cavity,
            "stator": "epdm-l",
            "rigid": False,
            "verdict": "accept",
            "displacement_ml": 0.8,
            "displacement_half_ml": 0.004,
            "slip_ml_min": 0.0,
            "slip_shows": False,
            "pressure_bar": 2.0,
            "opening_bar": None,
            "speed_rpm": 18.0,
            "temperature_c": 23.0,
        }
    )
    worse = record.model_copy(update={"date": "2026-04-01", "verdict": "reject"})
    card = service_card(sealant_data, [record, worse])
    drifted = record.model_copy(update={"drift_pct_h": -0.02, "drift_half_pct_h": 0.08})
    due = service_card(sealant_data, [drifted])["recalibration"]

    # By hand: half of 5 % at no more than 0.1 % an hour.
    assert "moved by -0.02 +/- 0.08 % an hour (95 %)" in due[0][1]
    assert due[1] == ("weigh first", due[1][1])
    assert due[1][1].startswith("within 25 h of work")
    assert "0123456789ab of 2026-03-04, accept" in card["recalibration"][0][1]
    assert "no trial of it is on record" in service_card(sealant_data)["recalibration"][0][1]


def test_the_card_never_calls_anything_safe(after, sealant_data):
    for card in (after("bay-potting", "bay-potting-pour"), service_card(sealant_data)):
        assert "safe" not in str(card).replace("safety data sheet", "")
