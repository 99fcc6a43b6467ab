"""First settings: each with a range, true to the physics, and modest about guarding."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped import cheapest_first

from configurator.report.settings import settings_of
from configurator.report.sheet_words import english
from configurator.rules.restart import stop_allowed
from configurator.trial.head import head_of, one
from configurator.units.interval import Basis
from configurator.units.kinds import LENGTH
from configurator.units.quantity import read_quantity
from configurator.workshop.workshop import Workshop

PAIRS = {
    "lid-sealant": "lid-bead",
    "bay-potting": "bay-potting-pour",
    "probe-grease": "plug-grease",
    "cap-gel": "cap-dots",
    "hull-paste": "hull-seam",
    "bearing-oil": "pulley-drops",
}


@pytest.fixture(scope="session")
def ask():
    return cheapest_first


@pytest.fixture(scope="module")
def settings(ask):
    def found(material: str):
        answer = ask(material, PAIRS[material])
        head = head_of(answer.subject, answer.builds(limit=1)[0].parts)
        return {setting.name: setting for setting in settings_of(head, english())}, head

    return found


@pytest.mark.parametrize("material", PAIRS)
def test_each_has_a_start_a_range_and_a_basis(settings, material):
    for setting in settings(material)[0].values():
        assert setting.start
        assert setting.span
        assert setting.basis
        assert setting.low is not None
        assert setting.high is not None
        assert setting.low <= setting.high


def test_a_bead_gets_all_that_a_bead_needs(settings):
    found, _ = settings("lid-sealant")

    for name in (
        "feed pressure",
        "bead speed and matching flow",
        "ramp",
        "corner turndown",
        "standoff",
        "suck-back",
        "temperature of material and head",
        "purge",
        "recalibration",
        "light curtain distance (note)",
    ):
        assert name in found


def test_the_speeds_deliver_the_wanted_flows(settings):
    """Oracle: displacement times speed, which this thick paste delivers almost in full."""
    found, head = settings("lid-sealant")
    side = head.sides[0]
    speeds = [setting for name, setting in found.items() if name.startswith("rotor speed")]
    flow = head.subject.duty.flow

    assert len(speeds) == 3
    for setting, wanted in zip(speeds, (flow.low, flow.nominal, flow.high), strict=True):
        assert setting.low * side.displacement < wanted < setting.high * side.displacement
        assert setting.high / setting.low == pytest.approx(1.03 / 0.97, rel=0.01)


def test_the_corner_follows_from_radius_and_acceleration(settings):
    """Oracle: sqrt(a r) over the path speed, 0.5 m/s^2 and 2 mm against 40 mm/s."""
    corner = settings("lid-sealant")[0]["corner turndown"]
    share = (0.5 * 2e-3) ** 0.5 / 40e-3

    # The flow at the slow end is that of the thinnest bead, 5 % narrower: 0.95 squared.
    assert corner.low == pytest.approx(0.9 * share * 0.95**2, rel=1e-6)


def test_feed_pressure_stays_below_what_drips_at_rest(settings):
    found, head = settings("bearing-oil")
    side = head.sides[0]
    share = head.subject.catalog.practice.rest_pressure_share.nominal

    assert found["feed pressure"].high <= side.opening_pressure * side.stages * share * (1 + 1e-9)


def test_the_standoff_is_a_range_also_where_the_bead_is_higher_than_the_tip_is_wide(settings):
    """Oracle: 0.8 to 1.2 heights, at most 1.5 bores; 8 mm at 90 degrees is 4 mm high."""
    found, head = settings("hull-paste")
    bore = head.parts["outlet"].bore.nominal
    standoff = found["standoff"]

    assert standoff.low < standoff.high == pytest.approx(1.5 * bore)
    low = settings("lid-sealant")[0]["standoff"]
    assert low.low < low.high


def test_no_trip_is_set_above_the_rating_and_the_sheet_says_so(settings):
    found, head = settings("hull-paste")
    trip = found["pressure trip behind the tip"]

    assert "21.2 bar expected" in trip.span
    assert trip.high == pytest.approx(head.pressure_allowed)
    assert trip.low <= trip.high
    assert "rated for" in trip.note
    assert "climbs until" in settings("lid-sealant")[0]["pressure trip behind the tip"].note


def test_a_suck_back_is_what_is_stored_and_no_more_than_a_share_of_the_shot(settings):
    for material in ("bay-potting", "bearing-oil", "lid-sealant"):
        for name, setting in settings(material)[0].items():
            if name.startswith("suck-back"):
                assert 0.0 == setting.low <= setting.high
                assert "stored under pressure" in setting.note
                # Less than the play of the drive is nothing that could be set.
                assert ("play of the drive" in setting.note) == (setting.start == "0 turns")
    oil = settings("bearing-oil")[0]["suck-back"]
    assert oil.high <= 0.1 * 8e-9 / 3e-9  # a tenth of 8 uL in turns of the smallest cavity


def test_a_shot_that_does_not_fall_by_itself_is_set_down(settings):
    standoff = settings("bearing-oil")[0]["standoff"]
    assert "has to touch the part" in standoff.note
    assert standoff.low < standoff.high


def test_a_two_part_material_gets_its_clock(settings):
    found, head = settings("bay-potting")
    life = head.case.mixer.cure.pot_life[2]
    holds = one(stop_allowed(head.case))
    assert found["purge interval"].low == pytest.approx(min(0.2 * life, holds))
    assert found["purge interval"].high == pytest.approx(min(0.5 * life, holds))
    assert {"purge volume", "mixer change", "suck-back a", "suck-back b"} <= set(found)


def test_a_material_that_cures_on_air_gets_no_suck_back(settings):
    assert settings("cap-gel")[0]["suck-back"].high == 0.0


def test_the_light_curtain_is_a_note_with_its_edition_and_no_certificate(settings):
    note = settings("lid-sealant")[0]["light curtain distance (note)"]

    # K T = 2000 mm/s times 0.25 s, a curtain of 14 mm.
    assert note.low == pytest.approx(0.5)
    assert "ISO 13855:2010" in note.span
    assert "no certificate" in note.note
    assert "2024" in note.note
    assert "light curtain distance (note)" not in settings("probe-grease")[0]


def test_a_curtain_too_coarse_for_the_formula_gets_no_distance(ask):
    answer = ask("lid-sealant", "lid-bead")
    process = answer.subject.question.process
    coarse = read_quantity("50 mm", LENGTH, Basis.DATASHEET)
    carrier = process.carrier.model_copy(update={"curtain_resolution": coarse})
    question = replace(
        answer.subject.question, process=process.model_copy(update={"carrier": carrier})
    )
    other = Workshop(answer.subject.catalog).answer(question)
    head = head_of(other.subject, other.builds(limit=1)[0].parts)
    (note,) = [
        each for each in settings_of(head, english()) if each.name.startswith("light curtain")
    ]

    assert note.start == "not worked out"
    assert "ISO 13855:2010" in note.span
    assert "40 mm" in note.span
    assert note.low is None
    assert "no certificate" in note.note
