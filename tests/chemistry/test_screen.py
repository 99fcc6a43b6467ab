"""The swelling screen: only elastomers, only where no verdict exists, always an estimate."""

import numpy as np
import pytest

from configurator.chemistry.place import liquids_of, screen_swelling, screenable
from configurator.chemistry.share import MassFraction
from configurator.physics.swelling import SwellingOutcome


def liquids(substances, *shares):
    return liquids_of([(substances.find(share.name), share) for share in shares])


def test_acetone_lies_at_seven_over_the_radius_of_nitrile_rubber(substances):
    # Hansen distance 7.0 against 18.6/8.8/4.2 with a radius of 9.6: 0.73.
    (result,) = screen_swelling(
        substances.wetted["NBR"], liquids(substances, MassFraction("acetone"))
    )

    assert result.difference == pytest.approx(0.73, abs=0.01)
    assert result.outcome is SwellingOutcome.SWELLS
    assert result.grade == "not satisfactory"


def test_the_screen_is_for_elastomers_with_a_sphere_only(substances):
    assert screenable(substances.wetted["NBR"])
    for code in ("PTFE", "PEEK", "POM", "PE-UHMW", "PA66", "316L", "alumina", "FFKM"):
        assert not screenable(substances.wetted[code])
        with pytest.raises(ValueError, match="does not apply"):
            screen_swelling(substances.wetted[code], liquids(substances, MassFraction("acetone")))


def test_no_screen_opinion_is_ever_heard_on_a_crystalline_plastic_a_metal_or_a_ceramic(
    judge, substances
):
    for code, material in substances.wetted.items():
        if material.family != "elastomer":
            for name in ("D4", "propylene carbonate", "ethyl lactate"):
                assert all(voice.kind != "screen" for voice in judge(code, name).opinions)


def test_the_screen_is_asked_only_where_no_verdict_exists(judge):
    assert all(voice.kind != "screen" for voice in judge("NBR", "acetone").opinions)
    assert any(voice.kind == "screen" for voice in judge("NBR", "propylene carbonate").opinions)


def test_an_estimate_alone_is_never_satisfactory(judge, substances):
    for code in ("NBR", "HNBR", "EPDM", "FKM", "VMQ", "CR", "AU", "EU"):
        for name in substances.constituents:
            contact = judge(code, name)
            if any(voice.kind == "screen" for voice in contact.opinions):
                assert contact.grade != "satisfactory"


def test_the_three_outcomes_become_limited_unknown_and_not_satisfactory(judge):
    assert judge("EPDM", "propylene carbonate").grade == "limited"
    assert judge("EPDM", "octamethylcyclotetrasiloxane").grade == "unknown"
    assert judge("FKM", "diacetone alcohol").grade == "not satisfactory"
    for contact in (judge("EPDM", "propylene carbonate"), judge("EPDM", "D4")):
        assert contact.basis.value == "estimated"
        assert contact.confidence == "low"
        assert "estimate" in contact.reason


def test_the_uncertainty_of_the_radius_opens_the_test_band(substances):
    sphere = substances.wetted["NBR"]
    wide = sphere.hansen.model_copy(
        update={
            "radius_uncertainty": substances.constituents["water"].counts_from.__class__(
                text="40 %",
                kind=sphere.hansen.radius_uncertainty.kind,
                interval=type(sphere.hansen.radius_uncertainty.interval).exact(0.4),
                basis=sphere.hansen.radius_uncertainty.basis,
            )
        }
    )
    (result,) = screen_swelling(
        sphere.model_copy(update={"hansen": wide}), liquids(substances, MassFraction("acetone"))
    )

    assert result.outcome is SwellingOutcome.TEST


def test_warm_contact_takes_the_resistance_out_of_an_estimate(judge):
    assert judge("EPDM", "propylene carbonate").grade == "limited"
    assert judge("EPDM", "propylene carbonate", temperature=330.0).grade == "unknown"


def test_a_blend_lies_between_its_members_by_volume(substances):
    # Half a kilogram of each: acetone 0.785 is not stated, so both count as water.
    shares = (MassFraction("D4", 0.5, 0.5), MassFraction("propylene carbonate", 0.5, 0.5))
    *singles, blend = liquids(substances, *shares)
    d4, carbonate = (substances.find(share.name) for share in shares)
    volumes = np.array([0.5 / d4.density.nominal, 0.5 / carbonate.density.nominal])
    weights = volumes / volumes.sum()

    assert len(singles) == 2
    assert blend.polar == pytest.approx(
        float(weights @ [d4.hansen.polar.nominal, carbonate.hansen.polar.nominal]) / 1e3
    )


def test_a_blend_of_two_that_resist_may_still_swell(substances):
    # D4 and propylene carbonate lie on opposite sides of the sphere of nitrile rubber.
    shares = (MassFraction("D4", 0.3, 0.3), MassFraction("propylene carbonate", 0.7, 0.7))
    results = {
        result.liquid: result.difference
        for result in screen_swelling(substances.wetted["NBR"], liquids(substances, *shares))
    }
    blend = results.pop("a blend of octamethylcyclotetrasiloxane and propylene carbonate")

    assert blend < min(results.values())


def test_blends_need_fractions_and_hold_up_to_three(substances):
    names = ("D4", "D5", "MM", "propylene carbonate")

    assert len(liquids(substances, *(MassFraction(name) for name in names))) == 4
    assert len(liquids(substances, *(MassFraction(name, 0.2, 0.3) for name in names))) == 4 + 6 + 4
    assert liquids(substances, *(MassFraction(name, 0.0, 0.0) for name in names[:2]))[2:] == ()
