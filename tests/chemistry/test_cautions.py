"""Cautions: what raises each one, and that none of them clears anything."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from small_world import WORLD

from configurator.chemistry.cautions import DEFER, TEXTS, cautions, heavy_lift
from configurator.chemistry.process_cautions import ProcessFacts, hazards_of
from configurator.chemistry.share import MassFraction

COOL = ProcessFacts(temperature=296.15, pressure_max=6e5, feed_pressure=6e5, data_sheet_years=1.0)


@pytest.fixture
def topics(substances):
    def raised(*names, **changes):
        shares = tuple(MassFraction(name) if isinstance(name, str) else name for name in names)
        found = cautions(shares, replace(COOL, **changes), substances)
        return {caution.topic: caution.text for caution in found}

    return raised


def test_every_caution_defers_to_the_data_sheet_the_codes_and_licensed_people(topics):
    everything = topics(
        "MDI",
        "BPO",
        "DMPT",
        "acetone",
        "DCM",
        "quartz",
        "glass bubbles",
        "aluminium powder",
        "ECA",
        "acetoxysilane",
        "Si-H",
        "NMP",
        "nitric acid",
        "IPDA",
        "vinyltrimethoxysilane",
        "MOCA",
        two_part=True,
        heat_cure=True,
        dry_gas=True,
        robot=True,
        light_cure=True,
        aluminium=True,
        temperature=350.0,
    )

    assert set(everything) == {topic for topic, _ in TEXTS}
    for text in everything.values():
        assert text.endswith(DEFER)
        assert " safe " not in text
        assert " safely" not in text


def test_isocyanates_name_the_training_duty_from_a_tenth_of_a_per_cent(topics):
    assert "training" in topics(MassFraction("MDI", 0.001, 0.001))["isocyanate"]
    assert "training" in topics(MassFraction("MDI"))["isocyanate"]
    # Two below the threshold of each still make the total.
    assert (
        "training"
        in topics(MassFraction("MDI", 0.0, 0.0009), MassFraction("HDI", 0.0, 0.0009))["isocyanate"]
    )
    assert "lies below" in topics(MassFraction("MDI", 0.0, 0.0009))["isocyanate"]


def test_a_prepolymer_counts_as_isocyanate(topics):
    assert "2020/1149" in topics("MDI prepolymer")["isocyanate"]


@pytest.mark.parametrize(
    ("name", "kelvin", "raised"),
    [
        ("acetone", 296.15, True),
        ("butyl diglycol", 296.15, False),
        ("butyl diglycol", 373.15 - 15.0, True),
        ("butyl diglycol", 373.15 - 15.1, False),
        ("water", 296.15, False),
    ],
)
def test_flammables_are_flagged_below_60_degc_or_near_the_process(topics, name, kelvin, raised):
    assert ("flammable" in topics(name, temperature=kelvin)) is raised


def test_the_materials_own_flash_point_is_used_as_well(topics):
    text = topics("water", flash_point=320.0)["flammable"]

    assert "the material flashes at 47 degC" in text


def test_a_flammable_without_a_flash_point_is_flagged(topics):
    assert "states no flash point" in topics("trans-DCE")["flammable"]


def test_constituents_below_their_threshold_raise_nothing(topics):
    assert "flammable" not in topics(MassFraction("acetone", 0.0, 0.0009))


def test_peroxide_with_a_tertiary_amine_says_never_neat(topics):
    assert "Never bring it together neat" in topics("BPO", "DMPT")["peroxide"]
    assert "Never bring it together neat" not in topics("BPO")["peroxide"]


def test_halogenated_solvents_and_aluminium_must_not_meet(topics):
    assert "must not meet" in topics("DCM", aluminium=True)["aluminium and halogenated solvent"]
    assert "aluminium and halogenated solvent" not in topics("DCM")
    assert "aluminium and halogenated solvent" not in topics("acetone", aluminium=True)


def test_pressure_of_one_bar_or_of_unstated_height_is_flagged(topics):
    assert "6 bar" in topics("water")["pressure"]
    assert "unstated" in topics("water", pressure_max=None, feed_pressure=None)["pressure"]
    assert "pressure" not in topics("water", pressure_max=0.9e5, feed_pressure=0.0)


def test_injection_injury_is_always_named_and_its_pressure_where_reached(topics):
    assert "injects through skin" not in topics("water")["injection injury"]
    assert "41 bar injects" in topics("water", pressure_max=4.1e6)["injection injury"]


def test_exotherm_is_for_two_parts_and_grows_with_the_mass(topics):
    assert "exotherm" not in topics("epoxy")
    assert "unstated" in topics("epoxy", two_part=True)["exotherm"]
    assert "smoke" not in topics("epoxy", two_part=True, reactive_mass=0.099)["exotherm"]
    assert "smoke" in topics("epoxy", two_part=True, reactive_mass=0.1)["exotherm"]


def test_hollow_spheres_give_a_quarter_of_their_strength(topics):
    assert "10 bar" in topics("glass bubbles", crush_pressure=4e6)["hollow spheres"]
    assert "not stated" in topics("glass bubbles")["hollow spheres"]


def test_moving_parts_need_something_that_moves(topics):
    assert "Couplings" in topics("water")["moving parts"]
    assert "carrying machine" in topics("water", robot=True)["moving parts"]
    assert "moving parts" not in topics("water", rotating=False)


def test_the_data_sheet_is_always_asked_for(topics):
    assert "before a trial" in topics("water")["safety data sheet"]
    assert "no trial" in topics("water", data_sheet_years=3.0)["safety data sheet"]
    assert "no trial" in topics("water", data_sheet_years=None)["safety data sheet"]
    assert "wibble" in topics("wibble")["safety data sheet"]


def test_cautions_do_not_depend_on_the_order_of_constituents(substances):
    shares = (
        MassFraction("BPO"),
        MassFraction("acetone"),
        MassFraction("toluene"),
        MassFraction("MDI"),
    )

    assert cautions(shares, COOL, substances) == cautions(shares[::-1], COOL, substances)


def test_an_unstated_isocyanate_share_stays_unstated(substances):
    assert hazards_of((MassFraction("MDI"),), substances).isocyanate_high is None
    assert hazards_of((MassFraction("water"),), substances).isocyanate_high == 0.0


def test_each_hazard_tag_of_the_shipped_substances_has_a_caution(substances, topics):
    for constituent in substances.constituents.values():
        for tag in constituent.hazards:
            raised = topics(constituent.name, aluminium=True)
            wanted = {
                "halogenated solvent": "aluminium and halogenated solvent",
                "releases hydrogen": "hydrogen",
            }.get(tag, tag)
            assert wanted in raised, (constituent.name, tag)


@pytest.mark.parametrize(
    "name",
    [
        "4,4'-diphenylmethane diisocyanate",
        "Diphenylmethane-4,4\u2032-diisocyanate",
        "4,4'-diphenylmethane diisocyanat",
        "some new isocyanate",
    ],
)
def test_no_way_of_writing_an_isocyanate_costs_its_caution(topics, name):
    assert "isocyanate" in topics(MassFraction(name, 0.3, 0.4))


@pytest.mark.parametrize(
    ("topic", "name", "changes"),
    [
        ("polymerisation", "MMA", {}),
        ("alcohol vapour", "vinyltrimethoxysilane", {}),
        ("head of its own", "platinum catalyst", {}),
        ("carcinogen", "MOCA", {}),
        ("runaway", "MDI", {"heat_cure": True}),
        ("nitrogen", "MDI", {"dry_gas": True}),
    ],
)
def test_a_caution_comes_with_what_calls_for_it_and_not_without(topics, topic, name, changes):
    assert topic in topics(name, **changes)
    assert topic not in topics("mineral oil" if not changes else name)


def test_the_age_of_a_safety_data_sheet_is_that_of_its_day():
    """A day in a material file; years in full, so that five years less a day are four."""
    today = datetime.now(tz=UTC).date()
    for days, said in (
        (0, "are to be read"),
        (4 * 365, "It is 3 years old"),
        (1827, "5 years old"),
    ):
        changes = {"material.safety_data_sheet": today - timedelta(days=days)}
        (first, *_) = WORLD.having(changes).answer.cautions
        assert said in first.text


def test_a_head_that_one_person_does_not_lift_is_told_by_its_mass():
    (caution,) = heavy_lift([None, 4.0, 25.3])
    assert (caution.topic, "25 kg" in caution.text) == ("heavy lift", True)
    assert caution.text.endswith(DEFER)
    assert heavy_lift([19.9, None]) == heavy_lift([]) == ()
