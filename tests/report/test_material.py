"""A checked material as text and as JSON."""

from __future__ import annotations

import json

from small_world import WORLD

from configurator.explain.gap_cost import gap_costs
from configurator.explain.material_check import check_material
from configurator.report.material import Asked, material_json, material_table

GAPPY = WORLD.with_parts({"stator": [{"material": "NEW RUBBER"}]}).having(
    {
        "component.complete": False,
        "component.constituents": [{"name": "plainol", "mass_fraction": "50 %"}],
        "component.density": None,
    }
)


def told(world, *, process=True, width=100):
    check = check_material(world.question.material, world.catalog)
    asked = [Asked(world.question.process, "", check, gap_costs(world.answer))] if process else []
    text = material_table(check, world.catalog, asked, width=width)
    return " ".join(text.split()), text, json.loads(material_json(check, world.catalog, asked))


def test_each_gap_has_its_ends_in_table_and_json():
    words, _, data = told(GAPPY)

    assert "good end, nothing else is in it: 0 fits, 0 marginal, 1 unproven" in words
    assert "no rule reads it" in words
    assert "nothing bounds it" in words
    (entry,) = data["processes"]
    assert entry["now"] == {"fits": 0, "marginal": 0, "unproven": 1}
    (contact,) = entry["unknown_contacts"]
    assert contact["field"] == "NEW RUBBER"
    assert contact["bad_end"]["unproven"] == 0
    assert entry["all_settled_well"] is not None


def test_without_a_process_the_contacts_stand_by_themselves():
    words, _, data = told(GAPPY, process=False)

    assert "--process NAME counts it" in words
    assert data["processes"] == []
    assert {each["material"] for each in data["contacts"]} == {"GOOD", "NEW RUBBER"}


def test_a_datum_on_which_no_build_hangs_is_told_as_such():
    filler = {
        "name": "glass beads",
        "d99": "100 um",
        "volume_fraction": "10 %",
        "shape": "sphere",
    }
    liquid = [{"name": "plainol", "mass_fraction": "60 %"}]
    words, _, _ = told(WORLD.having({"component.filler": filler, "component.constituents": liquid}))

    assert "component.filler.mohs: hardness of the filler not stated no build hangs on it" in words


def test_lines_fit_the_width_and_hold_no_escapes():
    hostile = GAPPY.having({"component.constituents": [{"name": "z" * 79}]})
    for width in (60, 100):
        _, text, _ = told(hostile, width=width)
        assert max(map(len, text.splitlines())) <= width
        assert text.replace("\n", "").isprintable()
