"""Reaction rules and inert pairs: what they take in, and what they leave out."""

from __future__ import annotations

import pytest

from configurator.chemistry.reaction import inert_pair, rule
from configurator.chemistry.reactions import REACTION_RULES


@pytest.mark.parametrize(
    ("constituent", "code", "temperature"),
    [
        ("ethylenediamine", "FKM", 296.15),
        ("diethylenetriamine", "FKM", 296.15),
        ("sodium hydroxide", "FKM", 296.15),
        ("MIBK", "FKM", 296.15),
        ("ethyl lactate", "FKM", 296.15),
        ("MEK", "NBR", 296.15),
        ("acetic acid", "POM", 296.15),
        ("acetic acid", "PA66", 296.15),
        ("formic acid", "POM", 296.15),
        ("phosphoric acid", "hard-anodised Al", 296.15),
        ("sodium hydroxide", "hard-anodised Al", 296.15),
        ("sodium hydroxide", "EU", 296.15),
        ("sodium hydroxide", "PBT", 296.15),
        ("dichloromethane", "hard-anodised Al", 296.15),
        ("dichloromethane", "aluminium", 296.15),
        ("hydrochloric acid", "316L", 296.15),
        ("hydrochloric acid", "hard chrome", 296.15),
        ("brine", "316L", 343.15),
        ("hydrogen peroxide", "POM", 296.15),
        ("bleach", "NBR", 296.15),
        ("benzoyl peroxide", "nickel-plated brass", 296.15),
        ("benzoyl peroxide", "hardened stainless", 296.15),
        ("benzoyl peroxide", "WC-CoCr", 296.15),
        ("ammonia", "brass", 296.15),
        ("polymercaptan hardener", "copper", 296.15),
        ("nonylphenol", "PA66", 296.15),
        ("nitric acid", "PEEK", 296.15),
        ("water", "AU", 333.15),
    ],
)
def test_a_rule_condemns_the_pair(judge, constituent, code, temperature):
    contact = judge(code, constituent, temperature=temperature)
    rules = [voice for voice in contact.opinions if voice.kind == "reaction"]

    assert contact.grade == "not satisfactory"
    assert "not satisfactory" in {voice.grade for voice in rules}
    assert all(voice.source.startswith("rule '") and voice.note for voice in rules)


@pytest.mark.parametrize(
    ("constituent", "code"),
    [
        ("acetoxysilane", "POM"),
        ("methanol", "Ti"),
        ("brine", "316L"),
        ("benzoyl peroxide", "316L"),
        ("acetic acid", "WC-CoCr"),
        ("water", "AU"),
        ("citric acid", "POM"),
        ("acetic acid", "VMQ"),
    ],
)
def test_a_milder_rule_makes_the_pair_no_better_than_limited(judge, constituent, code):
    contact = judge(code, constituent)

    assert contact.grade != "satisfactory"
    assert any(voice.kind == "reaction" and voice.grade == "limited" for voice in contact.opinions)


def test_a_reaction_rule_stands_above_a_screen_that_sees_nothing(judge, substances):
    # Ethylenediamine lies far outside the sphere of FKM, so the screen alone would let it pass.
    amine = substances.find("EDA")
    rubber = substances.wetted["FKM"]
    assert amine.hansen is not None
    assert rubber.hansen is not None

    assert judge("FKM", "EDA").grade == "not satisfactory"
    assert judge("FKM", "EDA").reason.count("base on vinylidene fluoride rubber") == 1


def test_every_rule_can_apply_to_something_that_is_shipped(substances):
    constituents = [frozenset(entry.tags) for entry in substances.constituents.values()]
    materials = [frozenset(entry.tags) for entry in substances.wetted.values()]

    for reaction in REACTION_RULES:
        assert any(
            reaction.applies(constituent_tags=one, material_tags=other, temperature=400.0)
            for one in constituents
            for other in materials
        ), reaction.name


def test_every_tag_of_a_rule_is_carried_by_something_that_is_shipped(substances):
    constituent_tags = {tag for entry in substances.constituents.values() for tag in entry.tags}
    material_tags = {tag for entry in substances.wetted.values() for tag in entry.tags}

    for reaction in REACTION_RULES:
        wanted = reaction.constituent | reaction.with_all | reaction.without
        assert wanted <= constituent_tags, reaction.name
        assert reaction.material <= material_tags, reaction.name


def test_rules_have_names_of_their_own():
    names = [reaction.name for reaction in REACTION_RULES]

    assert len(set(names)) == len(names)


def test_a_rule_waits_for_its_temperature_and_its_further_tags():
    hot = rule(
        "a", "limited", "water", "polyamide", "b", celsius=70.0, with_all="warm", without="dry"
    )
    water = frozenset({"water", "warm"})

    def applies(tags, kelvin):
        return hot.applies(
            constituent_tags=frozenset(tags),
            material_tags=frozenset({"polyamide"}),
            temperature=kelvin,
        )

    assert applies(water, 343.15)
    assert not applies(water, 343.14)
    assert not applies({"water"}, 343.15)
    assert not applies(water | {"dry"}, 343.15)
    assert not applies({"warm"}, 343.15)


def test_a_mild_rule_alone_does_not_prove_that_nothing_worse_happens(judge):
    contact = judge("POM", "rosin")

    assert [voice.grade for voice in contact.opinions if voice.kind == "reaction"] == ["limited"]
    assert contact.grade == "unknown"


@pytest.mark.parametrize(
    ("constituent", "code", "kind"),
    [
        ("toluene", "316L", "inert pair"),
        ("toluene", "alumina", "inert pair"),
        ("epoxy resin", "hard chrome", "inert pair"),
        ("methanol", "PTFE", "inert pair"),
        ("quartz", "NBR", "inert pair"),
    ],
)
def test_a_clean_pair_is_satisfactory_by_common_practice(judge, constituent, code, kind):
    contact = judge(code, constituent)
    pairs = [voice for voice in contact.opinions if voice.kind == kind]

    assert contact.grade == "satisfactory"
    assert [voice.basis.value for voice in pairs] == ["common practice"]


@pytest.mark.parametrize("constituent", ["HCl", "NaOH", "IPDA", "ECA", "TEGDMA", "MDI", "DCM",
                                         "brine", "water", "BPO", "acetoxysilane", "mercaptan"])  # fmt: skip
def test_nothing_reactive_counts_as_neutral(substances, constituent):
    tags = frozenset(substances.find(constituent).tags)

    assert inert_pair(tags, ("inert to organics",)) is None


def test_no_elastomer_or_common_plastic_counts_as_inert_to_organic_liquids(substances):
    inert = {code for code, entry in substances.wetted.items() if "inert to organics" in entry.tags}
    families = {substances.wetted[code].family for code in inert}

    assert families == {"plastic", "metal", "ceramic", "coating"}
    assert {code for code in inert if substances.wetted[code].family == "plastic"} == {"PTFE"}
    assert not inert & {"brass", "copper", "zinc", "aluminium", "hard-anodised Al"}


def test_a_liquid_pair_ends_at_its_temperature_and_a_solid_one_does_not(judge):
    assert judge("316L", "toluene", temperature=393.15).grade == "satisfactory"
    assert judge("316L", "toluene", temperature=393.2).grade == "unknown"
    assert judge("316L", "quartz", temperature=450.0).grade == "satisfactory"


def test_a_rule_stands_beside_an_inert_pair_and_the_worse_counts(judge):
    assert judge("Ti", "methanol").grade == "limited"
