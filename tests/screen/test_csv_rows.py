"""CSV as spreadsheets write it: separators, quotes, line ends, and rows that break the rules."""

from __future__ import annotations

import io
import time
import tracemalloc

import pytest
from flat_rows import EXAMPLES, entries, entry

from configurator.errors import InputError
from configurator.screen.csv_rows import likeliest_separator
from configurator.screen.sources import read_list

HEADER = "order,name,trigger,viscosity,at"
ROW = "7,glue,none,20 Pa*s,23 degC"


def lines_of(text: str, **options: str) -> list[tuple[int, int, str]]:
    return [(each.number, each.line, each.fault) for each in entries(text.encode(), **options)]


def refusal(data: bytes) -> str:
    with pytest.raises(InputError) as caught:
        entries(data)
    (line,) = str(caught.value).splitlines()
    assert line.isprintable()
    return line


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", ["end", ""])
def test_separators_and_line_ends_of_spreadsheets_are_read(
    separator: str, end: str, last: str
) -> None:
    text = end.join([HEADER, ROW, ROW]).replace(",", separator) + (end if last else "")

    assert lines_of(text) == [(1, 2, ""), (2, 3, "")]


def test_line_ends_may_change_within_a_list() -> None:
    text = f"{HEADER}\r\n{ROW}\r{ROW}\n\r\n{ROW}\r\n"

    assert [line for _, line, _ in lines_of(text)] == [2, 3, 5]


@pytest.mark.parametrize(
    ("header", "separator"),
    [
        ("name;viscosity;at", ";"),
        ("name\tviscosity", "\t"),
        ("name,at", ","),
        ("name", ","),
        ('name;"viscosity, as stated, of May"', ";"),
        ("name;viscosity, of May", ";"),
        ("name,at;of the cup,viscosity", ","),
    ],
)
def test_the_separator_follows_from_the_header_alone(header: str, separator: str) -> None:
    assert likeliest_separator(header) == separator


@pytest.mark.parametrize("first", ["sep=;", '"sep=;"', "SEP=;"])
def test_a_line_may_state_the_separator(first: str) -> None:
    text = f"{first}\r\n" + f"{HEADER}\r\n{ROW}\r\n".replace(",", ";")

    assert lines_of(text) == [(1, 3, "")]


def test_a_stated_separator_wins_over_the_likelier() -> None:
    header = "name;trigger;viscosity;at;a,b,c,d,e,f"
    made = entry(f"sep=;\n{header}\nglue;none;20 Pa*s;23 degC;x,y\n".encode())

    assert made.cells["a,b,c,d,e,f"] == "x,y"


def test_a_tab_may_be_stated_and_another_sign_not() -> None:
    text = f"sep=\t\n{HEADER}\n{ROW}\n".replace(",", "\t")

    assert lines_of(text) == [(1, 3, "")]
    assert "line 1: header: given 'sep=|'" in refusal(b"sep=|\nname|at\n")


def test_cells_in_quotes_hold_separators_quotes_and_line_breaks() -> None:
    text = (
        f'{HEADER},"what the\r\nshop says"\r\n'
        '1,"glue, grey",none,20 Pa*s,23 degC,"two\r\nlines, ""quoted"""\r\n'
        "2,glue,none,20 Pa*s,23 degC,\r\n"
    )
    first, second = entries(text.encode())

    assert (first.line, second.line) == (3, 5)
    assert first.cells["name"] == "glue, grey"
    assert first.cells["what the shop says"] == 'two\r\nlines, "quoted"'
    assert (first.fault, second.fault) == ("", "")


def test_a_quote_inside_a_cell_without_quotes_is_a_sign_like_others() -> None:
    assert (
        entry(f'{HEADER}\n3" tip,glue,none,20 Pa*s,23 degC\n'.encode()).cells["order"] == '3" tip'
    )


def test_empty_rows_are_passed_over_but_have_their_line() -> None:
    text = f"\n,,\n{HEADER}\n\n,,,,\n  ,,,,\n{ROW}\n\n"

    assert lines_of(text) == [(1, 7, "")]


def test_empty_columns_at_the_end_do_not_count() -> None:
    text = f"{HEADER},,\n{ROW}\n{ROW},,\n{ROW},,,,\n"

    assert [fault for _, _, fault in lines_of(text)] == ["", "", ""]


def test_rows_of_another_length_are_faults_and_the_rest_goes_on() -> None:
    text = f"{HEADER}\n{ROW},x\n7,glue,none\n{ROW}\n"
    (_, _, more), (_, _, fewer), good = lines_of(text)

    assert more.startswith("row: given '6 cells'; accepted: 5 cells")
    assert fewer.startswith("row: given '3 cells'; accepted: 5 cells")
    assert "double quotes" in more
    assert good == (3, 4, "")


def test_a_row_with_a_fault_keeps_the_cells_that_it_has() -> None:
    made = entry(f"{HEADER}\n7,glue\n".encode())

    assert dict(made.cells) == {
        "order": "7",
        "name": "glue",
        "trigger": "",
        "viscosity": "",
        "at": "",
    }


def test_a_quote_that_is_never_closed_costs_one_row() -> None:
    text = f'{HEADER}\n7,"glue,none,20 Pa*s,23 degC\n{ROW}\n{ROW}\n'
    first, *others = lines_of(text)

    assert "row: given 'a quote without its closing quote'" in first[2]
    assert others == [(2, 3, ""), (3, 4, "")]


def test_text_behind_a_closing_quote_costs_one_row() -> None:
    text = f'{HEADER}\n7,"glue" x,none,20 Pa*s,23 degC\n8,"a\nb"c,none,20 Pa*s,23 degC\n{ROW}\n'
    faults = lines_of(text)

    assert "given '' x" in faults[0][2]
    assert "behind a closing quote" in faults[1][2]
    assert "line 4: row: given '3 cells'" not in faults[1][2]
    assert faults[-1] == (len(faults), 5, "")


def test_a_stray_quote_before_good_quotes_costs_one_row() -> None:
    good = '8,"glue, grey",none,20 Pa*s,23 degC'
    faults = lines_of(f'{HEADER}\n7,"glue,none,20 Pa*s,23 degC\n{good}\n{good}\n')

    assert [fault == "" for _, _, fault in faults] == [False, True, True]


@pytest.mark.parametrize("length", [65_536, 65_537])
def test_a_cell_of_more_than_64_kib_is_a_fault(length: int) -> None:
    for quote in ("", '"'):
        made = entries(f"{HEADER}\n{quote}{'x' * length}{quote}{ROW[1:]}\n{ROW}\n".encode())

        assert (made[0].fault == "") == (length == 65_536)
        assert made[1].fault == ""
        if made[0].fault:
            assert "given 'a cell of 65537 characters'" in made[0].fault
            assert made[0].cells["order"] == ""
            assert made[0].cells["name"] == "glue"


def test_a_cell_of_more_than_64_kib_over_many_lines_is_a_fault_and_the_rest_goes_on() -> None:
    text = f'{HEADER}\n"' + ("x" * 99 + "\n") * 1000 + f'",glue,none,20 Pa*s,23 degC\n{ROW}\n'
    made = entries(text.encode())

    assert "within 65536 characters" in made[0].fault
    assert (made[-1].line, made[-1].fault) == (1003, "")


@pytest.mark.parametrize("end", ["\n", "\r", "\r\n"])
@pytest.mark.parametrize("length", [1_048_576, 1_048_577, 1_048_578, 1_048_579, 3_000_000])
def test_a_line_of_more_than_1_mib_is_a_fault_and_keeps_the_count_of_lines(
    end: str, length: int
) -> None:
    long = ("x" * 50_000 + ",") * 70
    text = f"{HEADER}{end}{long[:length].ljust(length, 'x')}{end}{ROW}{end}"
    made = entries(text.encode())

    assert [each.line for each in made] == [2, 3]
    assert ("a line of more than 1 MiB" in made[0].fault) == (length > 1_048_576)
    assert made[0].fault
    assert made[1].fault == ""


def test_a_row_of_more_than_1_mib_over_many_lines_is_a_fault() -> None:
    cell = '"' + ("x" * 99 + "\n") * 400 + '"'
    text = f"{HEADER}\n" + ",".join([cell] * 40) + f"\n{ROW}\n"
    made = entries(text.encode())

    assert "given 'a row of more than 1 MiB'" in made[0].fault
    assert (len(made), made[1].fault) == (2, "")


def test_nul_characters_are_a_fault_of_their_row() -> None:
    faults = lines_of(f"{HEADER}\n7,gl\0ue,none,20 Pa*s,23 degC\n{ROW}\n")

    assert "given 'a NUL character'" in faults[0][2]
    assert faults[1][2] == ""


def test_a_decimal_comma_is_refused_as_the_parser_does() -> None:
    text = f"{HEADER}\n7,glue,none,20 Pa*s,23 degC\n".replace(",", ";").replace("20 Pa", "3,5 Pa")

    assert "viscosity: given '3,5 Pa*s'" in lines_of(text)[0][2]
    assert lines_of(text)[0][2].endswith("write 3.5 Pa*s")


def test_signs_of_typesetting_are_read_as_the_parser_does() -> None:
    row = "7;glue;none;20 Pa\N{MIDDLE DOT}s;\N{MINUS SIGN}5 \N{DEGREE SIGN}C;40 \N{MICRO SIGN}m;quartz"
    text = f"{HEADER},filler_d99,filler\n".replace(",", ";") + row

    assert lines_of(text) == [(1, 2, "")]


@pytest.mark.parametrize("start", ["=1+1", "+1", "-20 degC", "@x", "\tx", "  =1", "\\tx"])
def test_an_apostrophe_that_keeps_a_cell_from_running_is_taken_off(start: str) -> None:
    text = f'{HEADER},x\n{ROW},"\'{start}"\n'

    assert entry(text.encode()).cells["x"] == start


def test_a_temperature_below_zero_survives_its_apostrophe() -> None:
    made = entry(f"{HEADER}\n7,glue,none,20 Pa*s,'-5 degC\n".encode()).material

    assert made is not None
    assert made.component is not None
    assert made.component.flow.at.text == "-5 degC"


@pytest.mark.parametrize("text", ["'7", "''=1", "'", "it's =1"])
def test_other_apostrophes_stay(text: str) -> None:
    assert entry(f"{HEADER},x\n{ROW},{text}\n".encode()).cells["x"] == text


@pytest.mark.parametrize(
    "data", [b"", b"\n\r\n", b"\xef\xbb\xbf", b"\xff\xfe", b"sep=;\n", b" ;;\n"]
)
def test_a_list_with_nothing_in_it_is_refused(data: bytes) -> None:
    assert "own.csv: file: given 'nothing in it'" in refusal(data)


def test_a_header_alone_gives_no_row_and_a_warning() -> None:
    materials = read_list(io.BytesIO(HEADER.encode()), "own.csv", base=EXAMPLES, folder=EXAMPLES)

    assert materials.warnings == ()
    assert list(materials) == []
    assert materials.warnings == ("own.csv: no row below the header",)


def test_a_broken_header_is_refused() -> None:
    assert "line 1: header: given 'a quote without" in refusal(b'"name,at\nglue,23 degC\n')
    assert "line 1: header: given 'a NUL" in refusal(b"name\0,at\nglue,23 degC\n")
    assert "line 1: header: given 'a line of more" in refusal(b"name," * 300_000)


def endless(*pieces: bytes) -> io.BufferedIOBase:
    """A stream of 40 MB that is never in memory as a whole."""

    class Endless(io.RawIOBase):
        left = 40_000_000
        first = True

        def readable(self) -> bool:
            return True

        def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
            if self.left <= 0:
                return 0
            piece = pieces[0] if self.first else pieces[-1] * (len(buffer) // len(pieces[-1]))
            self.first = False
            piece = piece[: len(buffer)]
            buffer[: len(piece)] = piece
            self.left -= len(piece)
            return len(piece)

    return io.BufferedReader(Endless(), 65_536)


@pytest.mark.slow
@pytest.mark.parametrize(
    "piece", [b"x", b"x" * 99 + b",", b'""', b'x","\n' + b"y" * 2000, b'"' + b"z" * 4000 + b"\n"]
)
def test_a_stream_without_end_needs_no_memory_and_no_time_without_end(piece: bytes) -> None:
    tracemalloc.start()
    start = time.process_time()
    materials = read_list(
        endless(HEADER.encode() + b'\n7,"glue', piece), "own.csv", base=EXAMPLES, folder=EXAMPLES
    )
    count = sum(1 for _ in materials)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert count >= 1
    assert peak < 24_000_000
    assert time.process_time() - start < 60.0
