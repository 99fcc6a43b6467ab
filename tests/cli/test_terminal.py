"""Standard output, its width and its colour."""

from __future__ import annotations

import io
import sys
from types import SimpleNamespace

import pytest

from configurator.cli import terminal
from configurator.cli.terminal import complain, put, table_width, wants_colour
from configurator.errors import UsageError


class Screen(io.StringIO):
    """A terminal as far as the command asks."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def screen(monkeypatch):
    # The module's own `sys`: pytest puts its capture back into the real one before each test.
    monkeypatch.setattr(terminal, "sys", SimpleNamespace(stdout=Screen(), stderr=sys.stderr))
    monkeypatch.setenv("TERM", "xterm")


def test_a_terminal_gets_colour(screen):
    assert wants_colour()


def test_no_color_is_honoured(screen, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    assert not wants_colour()


def test_an_empty_no_color_does_not_count(screen, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "")
    assert wants_colour()


def test_a_dumb_terminal_gets_no_colour(screen, monkeypatch):
    monkeypatch.setenv("TERM", "dumb")
    assert not wants_colour()


def test_a_pipe_gets_no_colour_and_a_hundred_columns(monkeypatch):
    monkeypatch.setattr(sys, "stdout", io.StringIO())

    assert not wants_colour()
    assert table_width() == 100


@pytest.mark.parametrize(
    ("columns", "width"), [("20", 40), ("40", 40), ("80", 80), ("100", 100), ("250", 100)]
)
def test_a_table_is_as_wide_as_the_terminal_up_to_a_hundred(screen, monkeypatch, columns, width):
    monkeypatch.setenv("COLUMNS", columns)
    assert table_width() == width


def test_data_and_words_go_different_ways(capsys):
    put("data\n")
    complain("words")

    assert capsys.readouterr() == ("data\n", "words\n")


def test_a_stream_that_cannot_be_set_up_is_written_all_the_same(monkeypatch):
    stream = io.StringIO()
    monkeypatch.setattr(sys, "stdout", stream)

    put("data")

    assert stream.getvalue() == "data"


def test_what_a_program_reads_is_utf_8_whatever_the_locale(monkeypatch):
    monkeypatch.delenv("PYTHONIOENCODING", raising=False)
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    put("\N{MICRO SIGN}m")
    assert raw.getvalue() == "\N{MICRO SIGN}m".encode()

    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw := io.BytesIO(), encoding="ascii"))
    put("\N{MICRO SIGN}m")
    assert raw.getvalue() == b"\\xb5m"


def test_what_moves_a_terminal_is_told_as_signs(capsys):
    complain("wrote \x1b[31mx.csv", "two\nlines")

    assert capsys.readouterr().err == "wrote \\x1b[31mx.csv\ntwo\nlines\n"


def test_words_never_go_among_the_data(monkeypatch, capsys):
    monkeypatch.setattr(sys, "stderr", None)
    complain("nobody hears this")

    assert capsys.readouterr().out == ""


def test_closed_error_output_is_nobody_to_tell(monkeypatch):
    class Closed(io.StringIO):
        def write(self, _text: str) -> int:
            raise BrokenPipeError

    monkeypatch.setattr(sys, "stderr", Closed())
    complain("nobody hears this")


def test_a_closed_pipe_has_an_error_of_its_own(monkeypatch):
    class Closed(io.StringIO):
        def write(self, _text: str) -> int:
            raise BrokenPipeError

    dropped = []
    monkeypatch.setattr(sys, "stdout", Closed())
    monkeypatch.setattr(terminal, "_drop_output", lambda: dropped.append(True))

    with pytest.raises(terminal.OutputClosedError):
        put("data")
    assert dropped == [True]


def test_output_that_has_no_place_is_a_clear_line_and_no_fault_of_the_program(monkeypatch):
    monkeypatch.setattr(terminal, "sys", SimpleNamespace(stdout=None, stderr=sys.stderr))

    with pytest.raises(UsageError, match="standard output is closed"):
        put("text")


def test_a_full_disk_is_a_clear_line(monkeypatch):
    class Full:
        def write(self, _text: str) -> None:
            raise OSError(28, "No space left on device")

        def fileno(self) -> int:
            raise ValueError

    monkeypatch.setattr(terminal, "sys", SimpleNamespace(stdout=Full(), stderr=sys.stderr))

    with pytest.raises(UsageError, match="No space left"):
        put("text")
