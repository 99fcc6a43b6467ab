"""Constituents against the data of the `chemicals` package: numbers that were not typed here.

Oracle: chemicals 1.5, Hansen parameters by MANUEL_RUBEN_2022, flash points by IEC 60079-20-1
(2010), NFPA 497 (2008) and Serat (2017), CAS numbers by its identifier tables.
"""

import re
from pathlib import Path

import pytest
import tomli
from chemicals.identifiers import CAS_from_any, search_chemical
from chemicals.phase_change import Tb
from chemicals.safety import NFPA_30_classification, T_flash, T_flash_methods
from chemicals.solubility import hansen_delta_d, hansen_delta_h, hansen_delta_p

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Constituent, SubstanceFile
from configurator.chemistry.cautions import cautions
from configurator.chemistry.process_cautions import ProcessFacts
from configurator.chemistry.share import MassFraction

FOLDER = Path(__file__).parents[2] / "catalogs" / "substances"
FILES = [
    SubstanceFile.model_validate(tomli.loads(path.read_text("utf-8")))
    for path in sorted(FOLDER.glob("*.toml"))
]
SUBSTANCES = Substances(
    constituents={entry.name: entry for file in FILES for entry in file.constituent},
    wetted={entry.code: entry for file in FILES for entry in file.wetted},
    verdicts=tuple(group for file in FILES for group in file.verdicts),
    swell=tuple(group for file in FILES for group in file.swell),
)
CONSTITUENTS = list(SUBSTANCES.constituents.values())
WITH_CAS = [entry for entry in CONSTITUENTS if entry.cas]
WITH_HANSEN = [entry for entry in CONSTITUENTS if entry.hansen]

CAS = re.compile(r"\b\d{2,7}-\d{2}-\d\b")
"""Of the pure substance whose parameters a mixture takes, in the words of its source."""

METHODS = ("MANUEL_RUBEN_2022", "ALSHERI_HANSEN", "HSPIPY", "WDR_SCHRIER")

FLASH_METHODS = {
    "IEC 60079-20-1:2010": "IEC 60079-20-1 (2010)",
    "NFPA 497 (2008)": "NFPA 497 (2008)",
    "Serat (2017), collected flash points": "Serat DIPPR (2017)",
}

# The name is read as one isomer, monomer, salt or mineral by the tables of the package, while
# the record means a mixture, a polymer or another form of it.
OTHER_FORM = {
    "pmma-thickener", "platinum-catalyst", "fused-silica", "fumed-silica", "wollastonite",
    "polyisobutylene", "pdms-oil", "tricresyl-phosphate", "bisphenol-f-epoxy",
    "glycidyl-ether-diluent", "nonylphenol", "mthpa", "polymeric-mdi", "xylene",
    "vinyl-pdms", "carbon-black", "hpma", "hpa", "pegdma", "sodium-silicate", "tmd", "ddsa",
    "hydrogenated-castor-oil", "precipitated-silica", "cristobalite", "diatomite", "limestone",
    "mica", "gypsum", "glass-any", "iron-oxide-yellow", "antimony-trioxide", "zinc-borate",
    "ammonium-polyphosphate", "phthalocyanine-blue", "polyethylene-glycol", "tdi-mixed",
    "tmpd-monoisobutyrate", "dibutyltin-dineodecanoate", "pao", "pvc-powder",
}  # fmt: skip


def named(entries: list[Constituent]) -> list[str]:
    return [entry.name for entry in entries]


def check_digit(cas: str) -> int:
    digits = [int(letter) for letter in reversed(cas.replace("-", "")[:-1])]
    return sum(place * digit for place, digit in enumerate(digits, start=1)) % 10


def test_there_are_enough_of_everything() -> None:
    assert len(CONSTITUENTS) >= 60
    assert len(WITH_CAS) >= 120
    assert len(WITH_HANSEN) >= 25


def test_the_check_digits_of_all_cas_numbers_are_right() -> None:
    assert [entry for entry in WITH_CAS if check_digit(entry.cas) != int(entry.cas[-1])] == []


def test_no_cas_number_stands_for_two_constituents() -> None:
    numbers = [entry.cas for entry in WITH_CAS]

    assert len(set(numbers)) == len(numbers)


def test_names_lead_the_package_to_the_same_cas_number() -> None:
    """At least 350 are known there by name, and none leads elsewhere but the forms listed."""
    same, elsewhere = 0, set()
    for constituent in WITH_CAS:
        found = set()
        for text in (constituent.title, *constituent.synonyms):
            try:
                found.add(CAS_from_any(text))
            except ValueError:
                continue
        if constituent.cas in found:
            same += 1
        elif found:
            elsewhere.add(constituent.name)

    assert same >= 350
    assert elsewhere <= OTHER_FORM


# One number of the package stands for what goes under several here: forms of silica and chalk,
# isomers of isocyanates and xylene, a polymer beside its monomer, rosin beside its acid.
ALIKE = (
    {"quartz", "cristobalite", "fused-silica", "fumed-silica", "precipitated-silica", "diatomite",
     "silicon-dioxide"},
    {"limestone", "calcium-carbonate"},
    {"mdi", "mdi-mixed", "polymeric-mdi"},
    {"tdi", "tdi-2-6", "tdi-mixed"},
    {"xylene", "o-xylene", "m-xylene", "p-xylene"},
    {"ethylene-glycol", "polyethylene-glycol"},
    {"butanediol", "polytetramethylene-glycol"},
    {"pdms-oil", "octamethyltrisiloxane"},
    {"rosin", "abietic-acid"},
    {"cumene", "cumene-hydroperoxide"},
    {"n-butanol", "titanium-butoxide"},
    {"ammonia-gas", "ammonia-water"},
    {"sodium-silicate", "sodium-metasilicate"},
    {"divinyltetramethyldisiloxane", "vinyl-pdms"},
    {"egdma", "pegdma"},
)  # fmt: skip


SHORTEST = 4
"""Abbreviations of so few letters mean one thing here and another there."""


def test_no_synonym_of_the_package_leads_to_another_substance() -> None:
    """Some 30 000 synonyms of substances of the tables, German and registered names among them."""
    heard, wrong = 0, []
    for constituent in WITH_CAS:
        try:
            synonyms = search_chemical(constituent.cas).synonyms
        except ValueError:
            continue
        for synonym in synonyms:
            if len(synonym) <= SHORTEST:
                continue
            heard += 1
            found = SUBSTANCES.find(synonym)
            if found in (None, constituent) or found.kind != "substance":
                continue
            if not any({found.name, constituent.name} <= alike for alike in ALIKE):
                wrong.append((synonym, constituent.name, found.name))

    assert heard > 25_000
    assert wrong == []


@pytest.mark.parametrize("constituent", WITH_HANSEN, ids=named(WITH_HANSEN))
def test_hansen_parameters_are_those_of_the_method_named(constituent: Constituent) -> None:
    hansen = constituent.hansen
    assert hansen is not None
    method = hansen.source.split()[0]
    assert method in METHODS
    stands_for = CAS.findall(hansen.source)
    for own, oracle in (
        (hansen.dispersion, hansen_delta_d),
        (hansen.polar, hansen_delta_p),
        (hansen.hydrogen, hansen_delta_h),
    ):
        theirs = oracle(stands_for[0] if stands_for else constituent.cas, method=method)
        assert theirs is not None
        assert own.nominal / 1e3 == pytest.approx(theirs / 1e3, abs=0.05)


def test_the_hydrogen_parameter_of_methyl_methacrylate_has_no_decimal_slip() -> None:
    """One source of the package prints 54.0 for 5.4: the record must not follow it."""
    hansen = SUBSTANCES.constituents["methyl-methacrylate"].hansen
    assert hansen is not None

    assert hansen.hydrogen.nominal / 1e3 == pytest.approx(5.4)
    assert hansen_delta_h("80-62-6", method="HSPIPY") / 1e3 == pytest.approx(54.0)


@pytest.mark.parametrize("name", ["ipdi", "bisphenol-a-epoxy", "triethylenetetramine",
                                  "sodium-hydroxide", "hema", "hdda"])  # fmt: skip
def test_substances_without_parameters_there_have_none_here(name: str) -> None:
    constituent = SUBSTANCES.constituents[name]

    assert hansen_delta_d(constituent.cas) is None
    assert constituent.hansen is None


FLASHING = [entry for entry in WITH_CAS if entry.flash_source.endswith("(chemicals)")]


@pytest.mark.parametrize("constituent", FLASHING, ids=named(FLASHING))
def test_flash_points_are_those_of_the_source_named(constituent: Constituent) -> None:
    source = constituent.flash_source.removesuffix(" (chemicals)")
    method = FLASH_METHODS[source]
    assert constituent.flash_point is not None

    assert method in T_flash_methods(constituent.cas)
    assert constituent.flash_point.nominal == pytest.approx(
        T_flash(constituent.cas, method=method), abs=0.1
    )


def test_enough_flash_points_are_published() -> None:
    assert len(FLASHING) >= 40


@pytest.mark.parametrize(
    "constituent",
    [entry for entry in FLASHING if Tb(entry.cas) is not None],
    ids=lambda entry: entry.name,
)
def test_the_flammable_caution_follows_the_hazard_class_of_nfpa_30(
    constituent: Constituent,
) -> None:
    """Classes IA to II flash below 60 degC (140 degF) and are flagged, IIIA and IIIB are not."""
    assert constituent.flash_point is not None
    hazard = NFPA_30_classification(constituent.flash_point.nominal, Tb(constituent.cas))
    raised = {
        caution.topic
        for caution in cautions(
            (MassFraction(constituent.name),), ProcessFacts(temperature=293.15), SUBSTANCES
        )
    }

    assert ("flammable" in raised) is (hazard in ("IA", "IB", "IC", "II"))


@pytest.mark.parametrize(("name", "kelvin"), [("acetone", 253.2), ("toluene", 277.1)])
def test_acetone_and_toluene_are_class_one_b(name: str, kelvin: float) -> None:
    point = SUBSTANCES.constituents[name].flash_point
    assert point is not None

    assert point.nominal == pytest.approx(kelvin, abs=3.0)
    assert NFPA_30_classification(point.nominal, Tb(SUBSTANCES.constituents[name].cas)) == "IB"
