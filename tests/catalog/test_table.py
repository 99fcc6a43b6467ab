"""Tables of parts: what is understood, what is refused with row, column and remedy, and back again."""

from __future__ import annotations

import csv
import dataclasses
import datetime as dt
import io
import time
from pathlib import Path

import openpyxl
import pytest
from two_part_world import TWO_PART

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.catalog.parts import SIDE_SLOTS, SLOTS
from configurator.catalog.spreadsheet import read_cells, workbook
from configurator.catalog.table import Imported, SheetRows, read_table, table_of
from configurator.cli.main import run
from configurator.errors import CatalogError, InputError
from configurator.report.machine import csv_exact
from configurator.units.interval import Basis
from configurator.workshop.workshop import Workshop

NEEDLE = {
    "Part no": "n-20",
    "Description": "Needle",
    "Cost": "1",
    "kind": "needle",
    "ID [mm]": "0.603",
    "entry bore": "0.603 mm",
    "Length, mm": "12.7",
    "O.D. (mm)": "0.9081",
    "Material": "316L",
    "Joint": "Luer-Lock",
    "Max. pressure (bar)": "20",
    "Weight": "1 g",
    "Passes light": "No",
}


def table(*changes: dict[str, str], comma: bool = False, **more: object) -> Imported:
    rows = [{**NEEDLE, **change} for change in changes]
    heads = tuple(dict.fromkeys(head for row in rows for head in row))
    cells = [(at, tuple(row.get(h, "") for h in heads)) for at, row in enumerate(rows, start=2)]
    whole = SheetRows("tips.csv", ((1, heads), *cells), decimal_comma=comma)
    return read_table(whole, "outlet", basis=Basis.DATASHEET, **more)  # type: ignore[arg-type]


def test_headers_are_understood_with_units_in_header_or_cell() -> None:
    read = table({})

    (part,) = read.parts
    assert read.faults == ()
    assert (part.bore.text, part.length.text) == ("0.603 mm", "12.7 mm")  # type: ignore[attr-defined]
    assert part.joint == "luer lock"  # type: ignore[attr-defined]
    assert part.bore.basis is Basis.DATASHEET  # type: ignore[attr-defined]
    assert part.passes_light is False  # type: ignore[attr-defined]
    assert "'ID [mm]' is bore, in mm" in {each.in_words() for each in read.headers}


def test_a_comma_is_a_decimal_one_where_it_separates_nothing() -> None:
    (part,) = table({"ID [mm]": "0,603", "Weight": "1,2 g"}, comma=True).parts

    assert (part.bore.text, part.mass.text) == ("0.603 mm", "1.2 g")  # type: ignore[attr-defined]


REFUSED = {
    "a name with capitals and blanks": ({"Part no": "NDL 20G 1/2"}, "Part no", "write ndl-20g-1-2"),
    "a word that is none": ({"Joint": "luer"}, "Joint", "did you mean luer lock?"),
    "an empty cell": ({"Material": ""}, "Material", "'an empty cell'"),
    "a formula": ({"ID [mm]": "=B3*2"}, "ID [mm]", "write the value, not a formula"),
    "an error of the spreadsheet": ({"ID [mm]": "#REF!"}, "ID [mm]", "not a formula or its error"),
    "a bound": ({"ID [mm]": "<0.6"}, "ID [mm]", "write a range"),
    "a comma": ({"ID [mm]": "0,6"}, "ID [mm]", "write 0.6"),
    "no unit at all": ({"Weight": "1"}, "Weight", "in the header: 'Weight [kg]'"),
    "a unit of something else": ({"ID [mm]": "0.6 bar"}, "ID [mm]", "a length"),
    "neither yes nor no": ({"Passes light": "perhaps"}, "Passes light", "yes or no"),
}


@pytest.mark.parametrize(("change", "column", "remedy"), REFUSED.values(), ids=REFUSED)
def test_a_cell_is_refused_with_row_column_and_remedy(
    change: dict[str, str], column: str, remedy: str
) -> None:
    read = table({"Part no": "first"}, change)

    lines = [fault.line() for fault in read.faults]
    assert len(lines) == 1
    assert lines[0].startswith(f"tips.csv, row 3: {column}: given")
    assert remedy in lines[0]
    assert len(read.parts) == 1


def lines_of(*rows: str) -> list[str]:
    """What is wrong with a table of tips, written with semicolons."""
    cells = tuple((at, tuple(row.split(";"))) for at, row in enumerate(rows, 1) if row.strip(";"))
    found = read_table(SheetRows("tips.csv", cells), "outlet", basis=Basis.INVENTED)
    return [fault.line() for fault in found.faults]


def test_a_missing_column_is_told_once_and_not_in_each_row() -> None:
    lines = lines_of("name;title;kind;bore", "a;A;needle;1 mm", "b;B;needle;2 mm")
    assert len(lines) == len({line.partition(" given")[0] for line in lines}) == 9
    assert all(line.startswith("tips.csv, row 1: ") for line in lines)
    assert "tips.csv, row 1: joint: given 'no such column'" in "\n".join(lines)


def test_a_title_above_the_headers_and_a_sum_below_the_rows_are_one_line_each() -> None:
    (line,) = lines_of("Tips;of the workshop;", ";;", "name;title;kind", "a;A;needle")
    assert line.startswith("tips.csv, row 1: row: given 'no header that is known'")
    assert line.endswith("take away what stands above row 3")
    lines = lines_of("Tips of the workshop;;", ";;", "name;title;kind", "a;A;needle")
    assert all(each.startswith("tips.csv, row 3: ") for each in lines)

    lines = lines_of("name;title;kind;bore", "a;A;needle;1 mm", "Total;;;")
    assert "tips.csv, row 3: row: given 'hardly more than 'Total''" in "\n".join(lines)
    assert sum("row 3" in line for line in lines) == 1


def test_headers_alone_are_no_table() -> None:
    (line,) = lines_of("name;title;kind;bore")
    assert "headers and no row" in line


def test_columns_that_are_unknown_or_twice_are_refused_and_can_be_named_or_left_out() -> None:
    strange = {"Supplier": "somebody", "bore": "0.6 mm", "Hub": "threaded"}
    lines = [fault.line() for fault in table(strange).faults]

    assert len(lines) == 3
    assert "--column 'Supplier='" in lines[0]
    assert "the same as 'ID [mm]'" in lines[1]
    named = {"Supplier": "", "bore": "", "Joint": "", "Hub": "joint"}
    read = table(strange, named=named)
    assert read.faults == ()
    assert read.parts[0].joint == "threaded"  # type: ignore[attr-defined]
    assert read.left_out == ("Supplier", "bore", "Joint")


def test_a_name_twice_is_refused_with_both_rows() -> None:
    (fault,) = table({}, {}).faults

    assert (fault.where, fault.given) == ("tips.csv, row 3", "n-20, as in row 2")


@pytest.fixture(scope="module")
def shipped():
    return load_catalog(shipped_folder() / "generic", substances=shipped_folder() / "substances")


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_round_trip_loses_nothing(shipped, form: str, tmp_path: Path) -> None:
    out = tmp_path / ("tables" if form == "csv" else "parts.xlsx")
    back = tmp_path / "back"

    assert run(["catalog", "export", str(out)]) == 0
    files = sorted(map(str, out.glob("*.csv"))) if form == "csv" else [str(out)]
    assert run(["catalog", "import", *files, "--catalog", str(back)]) == 0
    practice = (shipped_folder() / "generic" / "practice.toml").read_bytes()
    (back / "practice.toml").write_bytes(practice)
    again = load_catalog(back, substances=shipped_folder() / "substances")

    assert again.parts == shipped.parts


def test_text_that_a_spreadsheet_would_run_comes_back_as_it_was(shipped, tmp_path: Path) -> None:
    part = shipped.part("outlet", "taper-20g")
    odd = part.model_copy(update={"note": '=1+1, "two"\nlines', "title": "- x"})
    heads, rows = table_of("outlet", [odd])
    book = tmp_path / "a.xlsx"
    book.write_bytes(workbook({"outlet": (heads, rows)}))
    sheet = tmp_path / "outlet.csv"
    sheet.write_text(csv_exact(heads, rows), encoding="utf-8")
    for path in (book, sheet):
        (cells,) = read_cells(path).values()
        assert read_table(cells, "outlet", basis=Basis.INVENTED).parts == (odd,)
    cells = [cell for row in openpyxl.load_workbook(book)["outlet"] for cell in row]
    assert all(cell.data_type != "f" for cell in cells)


def test_a_date_that_a_spreadsheet_made_of_a_cell_is_refused(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["name", "bore"])
    book.active.append(["n-1", dt.datetime(2025, 12, 1)])  # noqa: DTZ001 - as a sheet has it
    book.save(tmp_path / "dates.xlsx")

    with pytest.raises(InputError, match=r"row 2: cell 2: .*format Text"):
        read_cells(tmp_path / "dates.xlsx")


def test_a_stray_cell_at_the_far_end_of_a_sheet_is_refused_at_once(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["name", "bore"])
    book.active["XFD1048576"] = "x"
    book.save(tmp_path / "far.xlsx")

    start = time.process_time()
    with pytest.raises(InputError, match="no stray cell far away"):
        read_cells(tmp_path / "far.xlsx")
    assert time.process_time() - start < 2.0


def test_a_table_of_thousands_of_columns_is_refused_at_once(tmp_path: Path) -> None:
    wide = tmp_path / "drive.csv"
    wide.write_text("name," + "a," * 40_000 + "\n")
    (cells,) = read_cells(wide).values()

    start = time.process_time()
    (fault,) = read_table(cells, "drive", basis=Basis.DATASHEET).faults
    assert time.process_time() - start < 2.0
    assert "at most 300 headers" in fault.accepted


def test_what_is_no_table_is_refused_in_one_line_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = tmp_path / "outlet.xlsx"
    broken.write_bytes(b"PK no archive")
    into = tmp_path / "into"

    for path in (broken, tmp_path / "gone.csv"):
        assert run(["catalog", "import", str(path), "--catalog", str(into)]) == 2
        assert len(capsys.readouterr().err.splitlines()) == 1
    assert not into.exists()


def test_nothing_is_written_over_and_whose_parts_they_are_is_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tips = tmp_path / "order 12.csv"
    out = io.StringIO()
    csv.writer(out, delimiter=";").writerows([NEEDLE.keys(), NEEDLE.values()])
    tips.write_text(out.getvalue(), encoding="utf-8")
    into = ["--catalog", str(tmp_path / "into")]

    assert run(["catalog", "import", str(tips), *into]) == 2
    assert "whose parts? --slot takes one of size" in capsys.readouterr().err
    assert run(["catalog", "import", str(tips), "--slot", "outlet", *into, "--dry-run"]) == 0
    assert not (tmp_path / "into").exists()
    assert run(["catalog", "import", str(tips), "--slot", "outlet", *into]) == 0
    assert run(["catalog", "import", str(tips), "--slot", "outlet", *into]) == 2
    assert "--force replaces it" in capsys.readouterr().err


def test_sheets_are_slots_by_their_names_and_others_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "shop.xlsx"
    table = ([*NEEDLE], [[*NEEDLE.values()]])
    book.write_bytes(
        workbook({"Read me": (["Parts"], [["of hall 3"]]), "Tips": table, "Old": table})
    )
    reading = ["catalog", "import", str(book), "--catalog", str(tmp_path / "into"), "--dry-run"]

    assert run(reading) == 0
    said = capsys.readouterr().out
    assert "sheet Read me: left out, no slot has that name" in said
    assert "sheet Tips: 1 part for outlet" in said
    assert run([*reading, "--slot", "outlet", "--sheet", "Old"]) == 0
    assert "sheet Old: 1 part for outlet" in capsys.readouterr().out
    # What is asked for and not there is never silence.
    for more, told in (
        (["--slot", "drive"], "--sheet one of Read me, Tips, Old"),
        (["--sheet", "Tip"], "did you mean Tips?"),
        (["--slot", "tips"], "did you mean outlet?"),
    ):
        assert run([*reading, *more]) == 2
        (line,) = capsys.readouterr().err.splitlines()
        assert told in line


def test_a_workbook_takes_a_decimal_comma_where_it_cannot_be_thousands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "outlet.xlsx"
    reading = ["catalog", "import", str(book), "--catalog", str(tmp_path / "into"), "--dry-run"]
    heads = [*NEEDLE]
    for cell, weight, code in (
        ("0,603", "1 g", 0),
        ("0,60", "1 g", 0),
        ("1,603", "1 g", 2),
        ("1,603", "1,2 g", 0),
        ("1,234,567", "1,2 g", 2),
    ):
        row = [{**NEEDLE, "ID [mm]": cell, "Weight": weight}[head] for head in heads]
        book.write_bytes(workbook({"outlet": (heads, [row])}))

        assert run(reading) == code
        assert len(capsys.readouterr().err.splitlines()) == code // 2


@pytest.mark.parametrize("empty", [[], ["--extend"], ["--empty"]])
def test_a_new_catalog_is_a_copy_a_layer_or_commented_files(
    empty: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "our-own"

    assert run(["catalog", "new", str(folder), *empty]) == 0
    assert run(["catalog", "check", "--catalog", str(folder)]) == (3 if "--empty" in empty else 0)
    out, err = capsys.readouterr()
    if "--empty" in empty:
        assert [line for line in err.splitlines() if "no part" not in line] == [
            "checks between parts wait until what cannot be read is mended"
        ]
        for slot in SLOTS:
            assert f"# [[{slot}]]" in (folder / f"{slot}.toml").read_text(encoding="utf-8")
    else:
        assert "(our-own," in " ".join(out.split())
    assert run(["catalog", "new", str(folder)]) == 2


def test_only_what_is_in_stock_is_listed(shipped) -> None:
    stocked = {
        slot: tuple(
            part.model_copy(update={"stock": shipped.parts["cavity"][0].stages})
            for part in parts[:2]
        )
        + parts[2:]
        for slot, parts in shipped.parts.items()
    }
    catalog = dataclasses.replace(shipped, parts=stocked).in_stock()

    assert {slot: len(parts) for slot, parts in catalog.parts.items()} == dict.fromkeys(SLOTS, 2)
    assert catalog.sha256 != shipped.sha256
    with pytest.raises(CatalogError, match="no part in stock"):
        shipped.in_stock()


def test_of_a_single_piece_a_two_part_head_has_one():
    """Two rotors, of the first one there is one: three pairs of four are left."""
    stock = {slot: [{"stock": 2}] for slot in (*SIDE_SLOTS, "outlet")}
    rotors = [{"stock": 1}, {"name": "other", "stock": 2}]
    world = TWO_PART.with_parts(stock | {"rotor": rotors})
    tube = {**world.parts["mixing"][1], "stock": 1}
    world = dataclasses.replace(
        world, parts=world.parts | {"mixing": [world.parts["mixing"][0], tube]}
    )
    catalog = dataclasses.replace(world.catalog, stock_counts=False)

    def pairs(catalog):
        answer = Workshop(catalog).answer(world.question)
        return {(b.parts["a.rotor"].name, b.parts["b.rotor"].name) for b in answer.builds(limit=9)}

    assert len(pairs(catalog)) == 4
    assert pairs(catalog) - pairs(catalog.in_stock()) == {("plain", "plain")}


HEADS = (
    "Artikel-Nr.;Beschreibung;Bauart;Innendurchmesser;Eintrittsdurchmesser;Länge (mm);"
    "Außendurchmesser [mm];Werkstoff;Anschluss;max. Druck;Gewicht (g);lichtdurchlässig;Preis;"
    "Kostenindex;;intern"
)
CELLS = (
    "spitze-1;Nadel 0,84;needle;0,838 mm;0,838 mm;25,4;1,27;316L;Luer-Lock;10 bar;1.234,5;nein;"
    "1.234,50 EUR;1,2;;x"
)
GERMAN = [["Teileliste Dosierspitzen"], ["alle Maße in mm"], [], HEADS.split(";"), CELLS.split(";")]


def test_a_workbook_that_was_not_made_for_it_is_read_by_sheet(tmp_path, capsys) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Düsen 2"
    for row in GERMAN:
        book.active.append(row)
    book.active.merge_cells("A1:P1")
    book.active.column_dimensions["P"].hidden = True
    book.create_sheet("Notizen").append(["nichts"])
    book.save(tmp_path / "teile.xlsx")
    folder = tmp_path / "own"
    assert run(["catalog", "new", str(folder), "--empty"]) == 0
    read = ["catalog", "import", str(tmp_path / "teile.xlsx"), "--catalog", str(folder)]
    capsys.readouterr()

    assert run([*read, "--slot", "outlet", "--sheet", "Düsen 2"]) == 2
    assert "row 4: intern" in capsys.readouterr().err
    assert run([*read, "--slot", "outlet", "--sheet", "Düsen 2", "--column", "intern="]) == 0
    assert "left out: Teileliste Dosierspitzen, alle Maße in mm, intern" in capsys.readouterr().out
    text = (folder / "outlet.toml").read_text(encoding="utf-8")
    for stated in ('bore = "0.838 mm"', 'mass = "1234.5 g"', 'title = "Nadel 0,84"'):
        assert stated in text
    assert 'price = "1.234,50 EUR"' in text
    assert "passes_light = false" in text


def test_a_point_that_may_part_thousands_is_refused_beside_decimal_commas() -> None:
    read = table({"Weight": "1,5 g"}, {"Part no": "n-21", "Weight": "1.200 g"}, comma=True)

    (fault,) = read.faults
    assert (fault.where, fault.field, fault.given) == ("tips.csv, row 3", "Weight", "1.200 g")
    assert "write 1200 if that is meant, 1.5 as 1,5 else" in fault.hint
    assert not table({"Weight": "1.200 g"}, comma=True).faults
    assert table({"Weight": "1,200 g"}).faults[0].given == "1,200 g"
