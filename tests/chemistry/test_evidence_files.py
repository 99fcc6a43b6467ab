"""Findings as a laboratory hands them over: units in the cells, one fault a broken line."""

from __future__ import annotations

import pytest

from configurator.chemistry.evidence import import_evidence, load_evidence
from configurator.chemistry.evidence_files import KEYS, NEEDED, read_findings, record_from
from configurator.errors import InputError

HEAD = "date,material,substance,temperature,time,swelling,hardness_change,grade,note"
GOOD = "2026-03-04,NBR,float-putty,23 degC,168 h,2.1 %,-2,,"


@pytest.fixture
def table(tmp_path):
    def make(*lines, name="results.csv"):
        path = tmp_path / name
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return path

    return make


def test_a_line_of_a_table_is_a_finding(table):
    (record,) = read_findings(table(HEAD, GOOD)).records

    assert record.material == "NBR"
    assert record.substance == "float-putty"
    assert (record.temperature_c, record.hours) == (23.0, 168.0)
    assert (record.swelling_pct, record.hardness_change) == (2.1, -2.0)
    assert record.grade == "satisfactory"


@pytest.mark.parametrize(
    ("column", "text", "field", "value"),
    [
        ("temperature", "73.4 degF", "temperature_c", 23.0),
        ("temperature", "296.15 K", "temperature_c", 23.0),
        ("time", "7 d", "hours", 168.0),
        ("swelling", "-0.5 %", "swelling_pct", -0.5),
        ("swelling", "'-0.5 %", "swelling_pct", -0.5),
        ("swelling", "300 ppm", "swelling_pct", 0.03),
        ("hardness_change", "'-3", "hardness_change", -3.0),
    ],
)
def test_units_in_cells_are_read_as_people_write_them(table, column, text, field, value):
    heads = HEAD.split(",")
    cells = GOOD.split(",")
    cells[heads.index(column)] = text
    (record,) = read_findings(table(HEAD, ",".join(cells))).records

    assert getattr(record, field) == value


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("2026-13-04,NBR,x,23 degC,168 h,2 %,,,", "date"),
        ("2026-03-04,,x,23 degC,168 h,2 %,,,", "material"),
        ("2026-03-04,NBR,x,23,168 h,2 %,,,", "write a unit"),
        ("2026-03-04,NBR,x,23 bar,168 h,2 %,,,", "temperature"),
        ("2026-03-04,NBR,x,20..25 degC,168 h,2 %,,,", "not a range"),
        ('2026-03-04,NBR,x,23 degC,168 h,"2,1 %",,,', "2.1 %"),
        ("2026-03-04,NBR,x,23 degC,168 h,2,1 %,,,", "quotes"),
        ("2026-03-04,NBR,x,23 degC,168 h,2 %,,", "8 cells"),
        ("2026-03-04,NBR,x,23 degC,168 h,,,,", "needed where nothing was measured"),
        ("2026-03-04,NBR,x,23 degC,168 h,30 %,,satisfactory,", "makes this not satisfactory"),
        ("2026-03-04,NBR,x,23 degC,168 h,2 %,soft,,", "Shore A"),
        ("2026-03-04,NBR,x,23 degC,0 h,2 %,,,", "time"),
        ('2026-03-04,NBR,x,23 degC,168 h,2 %,,,"never closed', "broken cell"),
    ],
)
def test_a_broken_line_costs_itself_alone_and_is_told_with_its_number(table, line, said):
    found = read_findings(table(HEAD, GOOD, line, GOOD.replace("NBR", "FKM")))

    assert [record.material for record in found.records] == ["NBR", "FKM"]
    (fault,) = found.faults
    assert fault.field.startswith("line 3")
    assert said in fault.line()
    assert fault.line().isprintable()


@pytest.mark.parametrize(
    ("head", "said"),
    [
        (HEAD.replace("material", "materail"), "did you mean material"),
        (HEAD.replace(",substance", ""), "no column substance"),
        (f"{HEAD},note", "note twice"),
        ("", "no column"),
        (HEAD.replace(",", ";"), "columns with commas between"),
    ],
)
def test_a_head_that_nobody_knows_refuses_the_file(table, head, said):
    with pytest.raises(InputError) as caught:
        read_findings(table(head, GOOD))

    assert said in str(caught.value)


def test_columns_may_come_in_any_order_and_blank_lines_do_not_count(table):
    heads, cells = HEAD.split(","), GOOD.split(",")
    turned = table(",".join(reversed(heads)), "", ",".join(reversed(cells)), ",,,,,,,,")

    assert read_findings(turned) == read_findings(table(HEAD, GOOD, name="other.csv"))


def test_toml_tables_and_tables_of_cells_say_the_same(table):
    keys, cells = HEAD.split(","), GOOD.split(",")
    lines = [f'{key} = "{cell}"' for key, cell in zip(keys, cells, strict=True) if cell]
    written = read_findings(table("[[finding]]", *lines, name="results.toml"))

    assert written.records == read_findings(table(HEAD, GOOD)).records
    assert written.faults == ()


def test_a_broken_table_of_toml_costs_itself_alone(table):
    whole = [
        "[[finding]]",
        "date = 2026-03-04",
        'material = "NBR"',
        'substance = "x"',
        'temperature = "23 degC"',
        'time = "168 h"',
    ]
    path = table(*whole, 'grade = "limited"', *whole, "swelling = 3", name="results.toml")
    found = read_findings(path)

    assert [record.grade for record in found.records] == ["limited"]
    assert "finding[2] swelling" in found.faults[0].line()


@pytest.mark.parametrize("text", ["finding = 3", "a = 1\n[[finding]]", "[[finding", ""])
def test_toml_without_findings_is_refused(table, text):
    with pytest.raises(InputError):
        read_findings(table(text, name="results.toml"))


def test_json_lines_are_read_as_the_record_itself(table, tmp_path):
    csv = table(HEAD, GOOD)
    import_evidence(tmp_path / "shop.jsonl", csv, read_findings)

    assert read_findings(tmp_path / "shop.jsonl").records == read_findings(csv).records


def test_importing_a_table_twice_adds_nothing_and_keeps_what_was_there(table, tmp_path):
    shop = tmp_path / "shop.jsonl"
    first = import_evidence(shop, table(HEAD, GOOD, "broken"), read_findings)
    before = shop.read_bytes()
    again = import_evidence(shop, table(HEAD, GOOD, "broken"), read_findings)

    assert (first[0], len(first[1])) == (1, 1)
    assert again[0] == 0
    assert shop.read_bytes() == before
    assert len(load_evidence(shop).records) == 1


def test_a_file_that_is_not_there_is_no_empty_file(tmp_path):
    for name in ("none.csv", "none.jsonl", "none.toml"):
        with pytest.raises(InputError, match="no such file"):
            read_findings(tmp_path / name)
    with pytest.raises(InputError, match="a folder"):
        read_findings(tmp_path)


def test_one_finding_by_hand_needs_the_same():
    values = dict(zip(HEAD.split(","), GOOD.split(","), strict=True))

    assert record_from(values).swelling_pct == 2.1
    for key in NEEDED:
        with pytest.raises(InputError, match=key):
            record_from({**values, key: ""})
    with pytest.raises(InputError, match="did you mean grade"):
        record_from({**values, "grades": "limited"})
    assert set(NEEDED) < set(KEYS)


def test_a_record_in_a_place_that_cannot_be_written_is_an_input_error(table, tmp_path):
    (tmp_path / "blocked").write_text("a file, no folder")
    with pytest.raises(InputError):
        import_evidence(tmp_path / "blocked" / "shop.jsonl", table(HEAD, GOOD), read_findings)
