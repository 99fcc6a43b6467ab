"""Inert pairs: what no table needs to list, and where that ends."""

import pytest

from configurator.chemistry.reaction import inert_pair


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
