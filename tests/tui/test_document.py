"""Documents, forms and their files: what is typed comes back from disk the same."""

from __future__ import annotations

import string

import pytest
import tomli
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tui_worlds import MATERIALS, PROCESSES

from configurator.catalog.load import shipped_folder
from configurator.errors import InputError
from configurator.request.load import load_material, material_files, process_files
from configurator.tui.document import FOLDERS, blank, open_document, steps
from configurator.tui.form import faults_at, fields_of, value_of
from configurator.units.toml_text import toml_text

SHIPPED = shipped_folder() / "examples"
EVERY = [("material", name) for name in material_files(SHIPPED)]
EVERY += [("process", name) for name in process_files(SHIPPED)]


@pytest.mark.parametrize(("kind", "name"), EVERY)
def test_every_shipped_example_can_be_opened_laid_out_and_written_back(kind, name):
    document = open_document(kind, name, SHIPPED)

    assert document.checked()[1] == ()
    assert tomli.loads(toml_text(document.tables)) == document.tables
    typed = {field.path: field.text for field in fields_of(document) if field.text}
    assert {"name", "title"} <= set(typed)
    for field in fields_of(document):
        if field.text and not field.fixed:
            again = document.with_value(field.path, value_of(field, field.text))
            assert again.checked()[1] == (), field.path


texts = st.text(st.characters(codec="utf-8"), max_size=30)
keys = st.text(string.ascii_letters + "_- .\"'", min_size=1, max_size=8)
values = st.recursive(
    texts
    | st.booleans()
    | st.integers(-(10**9), 10**9)
    | st.floats(allow_nan=False, allow_infinity=False),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(keys, inside, max_size=3),
    max_leaves=8,
)


@settings(suppress_health_check=[HealthCheck.too_slow])  # the first draw lists all of Unicode
@given(st.dictionaries(keys, values, max_size=5))
def test_any_tables_are_read_back_by_another_parser(tables):
    assert tomli.loads(toml_text(tables)) == tables


def test_what_is_written_is_what_the_command_reads(tmp_path):
    document = open_document("material", "lid-sealant", SHIPPED)
    path = tmp_path / "mine.toml"
    path.write_text(toml_text(document.tables), encoding="utf-8")

    ours = load_material(path, folder=tmp_path)
    assert ours == load_material("lid-sealant", folder=SHIPPED)


def test_a_value_is_set_replaced_and_taken_out_with_what_it_leaves_empty():
    document = blank("material")
    filled = document.with_value("component.filler.name", "quartz")
    assert filled.at("component.filler") == {"name": "quartz"}
    assert filled.edited
    assert document.at("component.filler") is None

    emptied = filled.with_value("component.filler.name", None)
    assert emptied.at("component.filler") is None
    assert emptied.at("component.flow.at") == "23 degC"


def test_constituents_are_added_and_taken_out_by_place():
    document = blank("material")
    for place, name in enumerate(("water", "glycerol")):
        document = document.with_value(f"component.constituents[{place}].name", name)
    document = document.with_value("component.constituents[0].mass_fraction", "40 %")
    assert document.at("component.constituents") == [
        {"name": "water", "mass_fraction": "40 %"},
        {"name": "glycerol"},
    ]
    fewer = document.with_value("component.constituents[0]", None)
    assert fewer.at("component.constituents") == [{"name": "glycerol"}]


def test_a_path_is_taken_apart():
    assert steps("a.constituents[12].name") == ["a", "constituents", 12, "name"]


def test_a_blank_document_says_what_is_missing():
    faults = blank("process").checked()[1]
    paths = {field.path for field in fields_of(blank("process"))}

    assert {fault.field for fault in faults} <= paths
    assert "feed_pressure" in {fault.field for fault in faults}
    assert faults_at("feed_pressure", faults)


def test_the_fields_follow_the_flow_model_and_the_deposit():
    document = blank("material")
    assert "component.flow.viscosity" in {field.path for field in fields_of(document)}
    document = document.with_value("component.flow.model", "bingham")
    paths = {field.path for field in fields_of(document)}
    assert {"component.flow.yield_stress", "component.flow.plastic_viscosity"} <= paths
    assert "component.flow.viscosity" not in paths

    process = blank("process").with_value("deposit.kind", "dots")
    assert "deposit.dispense_time" in {field.path for field in fields_of(process)}


def test_no_field_stands_behind_a_table_that_it_is_not_of():
    for kind, name in (("material", "gap-filler"), ("process", "gap-filler-pads")):
        heading = ""
        for field in fields_of(open_document(kind, name, SHIPPED)):
            if field.heading:
                heading = field.path
            assert field.path.startswith(heading)


def test_a_two_part_material_has_fields_for_both_sides():
    document = blank("material").with_value("trigger", "two-part")
    paths = {field.path for field in fields_of(document)}

    assert {"a.flow.at", "b.flow.at", "mix.ratio"} <= paths


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        ("control", "fieldbus, 0-10 V", ["fieldbus", "0-10 V"]),
        ("explosive_atmosphere", "yes", True),
        ("explosive_atmosphere", "maybe", "maybe"),
        ("tolerance", "  4 %  ", "4 %"),
        ("tolerance", "   ", None),
    ],
)
def test_typed_text_becomes_what_a_file_holds(path, text, value):
    field = next(f for f in fields_of(blank("process")) if f.path == path)

    assert value_of(field, text) == value


def test_a_ratio_is_typed_as_people_say_it():
    document = blank("material").with_value("trigger", "two-part")
    ratio = next(field for field in fields_of(document) if field.path == "mix.ratio")

    assert value_of(ratio, "10 : 1") == ["10", "1"]


def test_what_is_no_file_and_no_example_is_refused(tmp_path):
    with pytest.raises(InputError):
        open_document("material", "no-such-thing", SHIPPED)
    broken = tmp_path / "broken.toml"
    broken.write_text("a = = 1")
    with pytest.raises(InputError, match="TOML"):
        open_document("material", str(broken), SHIPPED)


def test_the_worlds_of_these_tests_are_sound(examples):
    for kind, tables in (("material", MATERIALS), ("process", PROCESSES)):
        for name in tables:
            assert open_document(kind, name, examples).checked()[1] == (), name
        assert (examples / FOLDERS[kind]).is_dir()
