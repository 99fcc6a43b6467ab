"""What is known, estimated and missing of a material, and what it touches."""

from __future__ import annotations

from datetime import date

from shipped import EXAMPLES, shipped_catalog
from small_world import WORLD

from configurator.chemistry.contact import judge_contact
from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.chemistry.lookup import grade_rank
from configurator.chemistry.share import shares_of
from configurator.explain.material_check import ROOM, check_material
from configurator.request.load import load_material
from configurator.rules.chemistry import place_in


def checked(world, **more):
    return check_material(world.question.material, world.catalog, **more)


def test_all_that_the_file_states_is_known_and_nothing_else():
    known = {each.field: each.text for each in checked(WORLD).known}

    assert known == {
        "trigger": "none",
        "component.flow.model": "newtonian",
        "component.flow.viscosity": "10 Pa*s (datasheet)",
        "component.flow.at": "20 degC (datasheet)",
        "component.flow.activation_energy": "0 kJ/mol (datasheet)",
        "component.density": "1 g/cm^3 (datasheet)",
        "component.surface_tension": "30 mN/m (datasheet)",
        "component.constituents[1]": "plainol, 100 % (datasheet)",
        "component.complete": "yes",
    }


def test_an_estimate_has_bounds_and_what_is_missing_has_none():
    check = checked(WORLD.having({"component.density": None}))

    assert "component.bulk_modulus" in {gap.field for gap in check.estimated}
    assert "component.density" in {gap.field for gap in check.missing}
    assert all(gap.settle_with for gap in (*check.estimated, *check.missing))


def test_a_misspelt_constituent_gets_the_nearest_names():
    constituents = [{"name": "plainoll"}, {"name": "qqq"}]
    strangers = checked(WORLD.having({"component.constituents": constituents})).strangers

    assert [(each.name, each.nearest) for each in strangers] == [
        ("plainoll", ("plainol",)),
        ("qqq", ()),
    ]


def test_contacts_are_listed_once_for_each_material_the_worst_first():
    parts = {
        "stator": [{"material": code} for code in ("RUBBER", "NEW RUBBER", "BAD RUBBER")],
        "seal": [{"materials": ["RUBBER", "SOFT RUBBER"]}],
    }
    touches = checked(WORLD.with_parts(parts)).touches

    grades = [grade_rank(touch.contact.grade) for touch in touches]
    assert grades == sorted(grades, reverse=True)
    slots = {touch.contact.material: touch.slots for touch in touches}
    assert slots["RUBBER"] == ("stator", "seal")
    assert touches[0].contact.material == "BAD RUBBER"


def test_a_finding_on_one_compound_gives_it_a_line_of_its_own():
    record = EvidenceRecord(
        date=date(2026, 3, 4),
        material="RUBBER",
        grade_name="other",
        substance="plain",
        temperature_c=60.0,
        hours=168.0,
        swelling_pct=12.0,
        grade="not satisfactory",
    )
    parts = {"stator": [{"material": "RUBBER"}, {"name": "other", "material": "RUBBER"}]}
    check = checked(WORLD.with_parts(parts), evidence=Evidence((record,)), temperature=333.15)

    grades = {touch.compound: touch.contact.grade for touch in check.touches if touch.compound}
    assert grades == {"soft": "satisfactory", "other": "not satisfactory"}


def test_no_contact_is_told_better_than_it_is_where_the_material_rubs():
    """One line stands for all slots of a material; the shipped catalog has stator rubbers."""
    catalog = shipped_catalog()
    material = load_material("lid-sealant", folder=EXAMPLES)
    worse = 0
    for touch in check_material(material, catalog).touches:
        grades = [
            judge_contact(
                touch.contact.material,
                shares_of(material.component),
                temperature=ROOM,
                substances=catalog.substances,
                product=material.name,
                place=place_in(slot),
            ).grade
            for slot in touch.slots
        ]
        assert grade_rank(touch.contact.grade) == max(map(grade_rank, grades)), touch
        worse += len(set(grades)) > 1
    assert worse, "some material fits as a still seal and not as a stator"
