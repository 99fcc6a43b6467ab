"""Verdicts against facts from outside, each with its source in `chemistry_facts.toml`."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomli

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import SubstanceFile
from configurator.chemistry.contact import judge_contact
from configurator.chemistry.lookup import grade_rank
from configurator.chemistry.place import liquids_of, screen_swelling
from configurator.chemistry.share import MassFraction
from configurator.units.interval import Basis

HERE = Path(__file__).parent
FOLDER = HERE.parents[1] / "catalogs" / "substances"
FACTS = tomli.loads((HERE / "chemistry_facts.toml").read_text("utf-8"))
ROOM = 296.15


def shipped() -> Substances:
    files = [
        SubstanceFile.model_validate(
            tomli.loads(path.read_text("utf-8")), context={"basis": Basis.FROM_MEMORY}
        )
        for path in sorted(FOLDER.glob("*.toml"))
    ]
    return Substances(
        constituents={entry.name: entry for file in files for entry in file.constituent},
        wetted={entry.code: entry for file in files for entry in file.wetted},
        verdicts=tuple(group for file in files for group in file.verdicts),
        swell=tuple(group for file in files for group in file.swell),
    )


SUBSTANCES = shipped()


def judged(code: str, *names: str) -> str:
    return judge_contact(
        code, tuple(MassFraction(name) for name in names), temperature=ROOM, substances=SUBSTANCES
    ).grade


@pytest.mark.parametrize(
    "fact", FACTS["verdict"], ids=lambda fact: f"{fact['constituent']} on {fact['material']}"
)
def test_a_verdict_agrees_with_the_fact(fact: dict[str, Any]) -> None:
    assert fact["basis"] in ("excerpt", "regulation", "from memory")
    assert judged(fact["material"], fact["constituent"]) in fact["grades"]


def swell(letters: list[str]) -> tuple[float, float]:
    """Least and greatest swell that the classes of a rubber allow; class A has no limit."""
    allowed = [FACTS["swell_class"].get(letter, float("inf")) for letter in letters]
    return min(allowed), max(allowed)


@pytest.mark.parametrize("oil", ["n-hexadecane", "mineral-oil", "irm-903-oil"])
def test_oil_swell_is_ordered_as_in_the_classes_of_astm_d2000(oil: str) -> None:
    """FKM at most as NBR, NBR less than CR, CR less than EPDM, by class; never the reverse."""
    order = ("FKM", "NBR", "CR", "EPDM")
    lows = [swell(FACTS["rubber_class"][code])[0] for code in order]
    assert lows == sorted(lows)

    ranks = [grade_rank(judged(code, oil)) for code in order]  # type: ignore[arg-type]
    assert ranks == sorted(ranks)
    assert ranks[0] < ranks[-1]


def codes() -> Iterator[tuple[str, str, str]]:
    for code in FACTS["codes"]["iso_1629"]:
        yield code, "ISO 1629", "elastomer"
    for code in FACTS["codes"]["iso_1043_1"]:
        yield code, "ISO 1043-1", "plastic"


@pytest.mark.parametrize(("code", "standard", "family"), list(codes()))
def test_rubbers_and_plastics_bear_the_codes_of_their_standards(
    code: str, standard: str, family: str
) -> None:
    material = SUBSTANCES.wetted[code]

    assert material.standard == standard
    assert material.family == family


def test_no_elastomer_or_plastic_bears_a_code_of_no_standard() -> None:
    coded = {code for code, _, _ in codes()}

    for code, material in SUBSTANCES.wetted.items():
        assert (material.family in ("elastomer", "plastic")) == (code in coded)


def test_only_vinylidene_fluoride_rubber_is_open_to_the_base_rule() -> None:
    assert [code for code, entry in SUBSTANCES.wetted.items() if "vdf" in entry.tags] == ["FKM"]


@pytest.mark.parametrize(
    ("code", "liquid", "difference"),
    [
        # checks.md gives the relative energy differences; polymer spheres are from memory.
        ("NBR", "acetone", 0.73),
        ("HNBR", "n-hexadecane", 1.00),
        ("EPDM", "toluene", 0.30),
        ("FKM", "ethylenediamine", 1.99),
        ("FKM", "methyl-ethyl-ketone", 0.33),
        ("CR", "n-heptane", 1.27),
        ("EU", "dmf", 0.85),
        ("NBR", "water", 4.09),
    ],
)
def test_the_relative_energy_difference_agrees_with_the_worked_table(
    code: str, liquid: str, difference: float
) -> None:
    constituent = SUBSTANCES.constituents[liquid]
    (result,) = screen_swelling(
        SUBSTANCES.wetted[code], liquids_of([(constituent, MassFraction(liquid))])
    )

    assert result.difference == pytest.approx(difference, abs=0.01)


def test_nitrile_rubber_is_expected_to_swell_below_a_distance_of_eight() -> None:
    """Polymers 2024, 16, 2696 (abstract): high swelling at a Hansen distance below 8 MPa^0.5."""
    sphere = SUBSTANCES.wetted["NBR"]
    members = [
        (entry, MassFraction(entry.name))
        for entry in SUBSTANCES.constituents.values()
        if entry.hansen
    ]
    liquids = liquids_of(members)
    assert sphere.hansen is not None
    assert sphere.hansen.radius is not None
    for result in screen_swelling(sphere, liquids):
        distance = result.difference * sphere.hansen.radius.nominal / 1e3
        if distance < 8.0:
            assert result.grade in ("not satisfactory", "unknown")
        if result.grade == "not satisfactory":
            assert distance < 8.0


@pytest.mark.parametrize("code", list(SUBSTANCES.wetted))
def test_a_substance_without_any_record_is_never_satisfactory(code: str) -> None:
    """No Hansen parameters, no verdict, no stand-in: unknown, or worse by a reaction rule."""
    lonely = [
        entry
        for entry in SUBSTANCES.constituents.values()
        if entry.hansen is None
        and entry.like is None
        and not {"inert solid", "neutral organic"} & set(entry.tags)
        and all(group.constituent != entry.name for group in SUBSTANCES.verdicts)
    ]
    assert lonely

    for entry in lonely:
        assert judged(code, entry.name) in ("unknown", "not satisfactory")


def test_every_constituent_of_the_trade_table_has_a_verdict_on_every_elastomer() -> None:
    elastomers = ("NBR", "HNBR", "EPDM", "FKM", "FFKM", "VMQ", "AU", "EU")
    rows = {group.constituent for group in SUBSTANCES.verdicts if "EPDM" in (
        *group.satisfactory, *group.limited, *group.not_satisfactory)}  # fmt: skip
    assert len(rows) >= 44

    for code in elastomers:
        for name in rows - {"irm-903-oil"}:
            kinds = {
                voice.kind
                for voice in judge_contact(
                    code, (MassFraction(name),), temperature=ROOM, substances=SUBSTANCES
                ).opinions
            }
            assert "verdict" in kinds, (code, name)


def test_every_verdict_names_source_basis_and_materials_that_exist() -> None:
    for group in SUBSTANCES.verdicts:
        assert group.source
        assert group.constituent in SUBSTANCES.constituents
        for code in (*group.satisfactory, *group.limited, *group.not_satisfactory):
            assert code in SUBSTANCES.wetted
        if group.basis == "from memory":
            assert "recol" in group.source or "recall" in group.source


def test_stand_ins_exist() -> None:
    for constituent in SUBSTANCES.constituents.values():
        assert constituent.like is None or constituent.like in SUBSTANCES.constituents
    for material in SUBSTANCES.wetted.values():
        assert material.like is None or material.like in SUBSTANCES.wetted


def test_no_spelling_leads_to_two_constituents() -> None:
    owners: dict[str, str] = {}
    for name, entry in SUBSTANCES.constituents.items():
        for spelling in {name, entry.title.casefold(), *(s.casefold() for s in entry.synonyms)}:
            assert owners.setdefault(spelling, name) == name
