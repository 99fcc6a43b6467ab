"""The shipped examples: complete, speaking, invented, and physically possible."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import tomli

from configurator.request.estimates import chemistries_of, density_for
from configurator.request.load import load_material, load_process, material_files, process_files
from configurator.request.material import Material, Mix
from configurator.units.interval import Basis
from configurator.units.kinds import FRACTION
from configurator.units.quantity import parse

EXAMPLES = Path(__file__).parents[2] / "catalogs" / "examples"
MATERIALS = material_files(EXAMPLES)
PROCESSES = process_files(EXAMPLES)

NOBODY_HAS_DATA_ON = {"undisclosed polymer"}
"""Constituents that are meant to end unproven."""

PAIRS = {
    "lid-sealant": "lid-bead",
    "hinge-grease": "hinge-dots",
    "bay-epoxy": "bay-pour",
    "thermal-paste": "regulator-pads",
    "contact-adhesive": "contact-dots",
    "thread-retainer": "bolt-dots",
    "lens-adhesive": "lens-ring",
    "cap-gel": "cap-dots",
    "float-putty": "trim-fill",
    "window-silicone": "window-bead",
    "mast-compound": "gland-fill",
    "bearing-oil": "pulley-drops",
    "scale-ink": "scale-marks",
    "probe-grease": "plug-grease",
    "grip-mortar": "grip-dots",
    "bay-potting": "bay-potting-pour",
    "gap-filler": "gap-filler-pads",
    "hull-paste": "hull-seam",
    "cable-cast": "cable-exit-cast",
    "void-filler": "void-pour",
    "bracket-acrylate": "bracket-bead",
}
"""Which material is meant for which process."""


def _material(name: str) -> Material:
    return load_material(name, folder=EXAMPLES)


def test_there_is_a_process_for_each_material_and_no_stray_file() -> None:
    assert set(PAIRS) == set(MATERIALS)
    assert set(PAIRS.values()) == set(PROCESSES)


@pytest.mark.parametrize("name", MATERIALS)
def test_a_material_says_that_it_is_invented(name: str) -> None:
    material = _material(name)

    assert material.name == name
    assert material.invented
    assert material.note.startswith("Invented for the river-gauge buoy workshop.")


@pytest.mark.parametrize("name", PROCESSES)
def test_a_process_says_that_it_is_invented(name: str) -> None:
    process = load_process(name, folder=EXAMPLES)

    assert process.name == name
    assert process.invented
    assert process.note.startswith("Invented for the river-gauge buoy workshop.")


@pytest.mark.parametrize("name", [*MATERIALS, *PROCESSES])
def test_names_speak_and_carry_no_codes(name: str) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)+", name)


def test_all_four_kinds_of_deposit_are_shown() -> None:
    kinds = {load_process(name, folder=EXAMPLES).deposit.kind for name in PROCESSES}

    assert kinds == {"dots", "bead", "potting", "flow"}


def test_every_flow_model_and_a_lone_reading_are_shown() -> None:
    models = {c.flow.model for name in MATERIALS for _, c in _material(name).components}

    assert models == {
        None,
        "newtonian",
        "power law",
        "bingham",
        "casson",
        "herschel-bulkley",
        "carreau",
        "points",
    }


def test_bases_are_mixed() -> None:
    indices = [c.flow.index for name in MATERIALS for _, c in _material(name).components]
    bases = {index.basis for index in indices if index is not None}

    assert bases == {Basis.DATASHEET, Basis.MEASURED}


def _volume_ratio(material: Material, mix: Mix) -> float:
    first, second = (part.nominal for part in mix.ratio)
    if mix.by == "volume":
        return first / second
    densities = [component.density for _, component in material.components]
    assert densities[0] is not None
    assert densities[1] is not None
    return (first / densities[0].nominal) / (second / densities[1].nominal)


def test_the_two_part_materials_have_the_ratios_their_titles_say() -> None:
    ratios = {}
    for name in MATERIALS:
        material = _material(name)
        if material.mix is not None:
            ratios[name] = _volume_ratio(material, material.mix)
            said = re.search(r"(\d+):(\d+)", material.title)
            assert said is not None
            assert ratios[name] == pytest.approx(int(said[1]) / int(said[2]), rel=1e-3)

    assert ratios == pytest.approx(
        {
            "bay-potting": 4.0,
            "bracket-acrylate": 10.0,
            "cable-cast": 5.0,
            "gap-filler": 1.0,
            "hull-paste": 2.0,
            "void-filler": 2.0,
        },
        rel=1e-3,
    )


def test_a_two_part_process_states_its_mixing_quality_and_longest_stop() -> None:
    for material, name in PAIRS.items():
        process = load_process(name, folder=EXAMPLES)
        assert (process.mixing_quality is not None) == _material(material).two_part
        if _material(material).two_part:
            assert process.longest_stop is not None


@pytest.mark.parametrize("name", MATERIALS)
def test_a_stated_density_agrees_with_liquid_and_filler(name: str) -> None:
    material = _material(name)
    for _, component in material.components:
        usual = density_for(chemistries_of(component, material.trigger), component.filler)
        if usual is not None and component.density is not None:
            assert usual.low * 0.95 <= component.density.nominal <= usual.high * 1.05


def test_constituents_are_ones_that_the_substance_data_know() -> None:
    known: set[str] = set()
    for path in (EXAMPLES.parent / "substances").glob("*.toml"):
        for record in tomli.loads(path.read_text("utf-8")).get("constituent", []):
            names = [record["name"], record["title"], *record.get("synonyms", [])]
            known.update(name.casefold() for name in names)
    used = {
        share.name
        for name in MATERIALS
        for _, component in _material(name).components
        for share in component.constituents
    }

    assert known
    assert {name for name in used if name.casefold() not in known} == NOBODY_HAS_DATA_ON


def test_the_grit_is_too_coarse_for_the_dots_it_is_asked_for() -> None:
    grit = _material("grip-mortar").component
    process = load_process("grip-dots", folder=EXAMPLES)

    assert grit is not None
    assert grit.filler is not None
    assert grit.filler.d99 is not None
    assert process.tip_outside_diameter_max is not None
    # The widest bore that may be used is below ten particles (common practice, no source).
    assert process.tip_outside_diameter_max.high < 10 * grit.filler.d99.low


def test_the_files_are_plain_ascii_with_a_unit_on_every_number() -> None:
    for path in sorted(EXAMPLES.rglob("*.toml")):
        text = path.read_text("ascii")
        bare = re.findall(r"^(?!schema)[a-z_]+ = -?[0-9].*$", text, flags=re.MULTILINE)
        assert not bare, path


def test_mass_fractions_are_ranges_as_data_sheets_give_them() -> None:
    shares = re.findall(
        r'mass_fraction = "([^"]+)"',
        "".join(path.read_text("ascii") for path in EXAMPLES.rglob("*.toml")),
    )

    assert len(shares) >= 30
    assert all(parse(share, FRACTION).width > 0 for share in shares)
