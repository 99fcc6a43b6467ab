"""How every way a command can end becomes an exit code, in this process."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from configurator.cli import opening
from configurator.cli.main import COMMANDS, run
from configurator.errors import CatalogError, Fault, InputError

ROOT = Path(__file__).resolve().parents[2]

EVERY_COMMAND = [
    [],
    ["builds"],
    ["catalog"],
    ["catalog", "check"],
    ["catalog", "show"],
    ["examples"],
    ["screen"],
    ["gaps"],
    ["material"],
    ["material", "check"],
    ["evidence"],
    ["evidence", "add"],
    ["evidence", "import"],
    ["evidence", "show"],
]


def _raising(error: BaseException):
    def open_catalog(_folder: object) -> None:
        raise error

    return open_catalog


@pytest.mark.parametrize("command", EVERY_COMMAND, ids=" ".join)
def test_every_command_has_help_with_an_example(command, capsys):
    assert run([*command, "--help"]) == 0

    out, err = capsys.readouterr()
    assert "Example" in out
    assert " ".join(["headwright", *command]) in out
    assert err == ""


def test_the_group_lists_every_command_with_a_whole_sentence(capsys):
    run(["--help"])

    listed = capsys.readouterr().out.split("Commands:")[1].split("Example:")[0]
    for name in COMMANDS:
        line = next(line for line in listed.splitlines() if line.split()[:1] == [name])
        assert line.endswith(".")
        assert not line.endswith("...")


def test_help_fits_eighty_columns(capsys):
    for command in EVERY_COMMAND:
        run([*command, "--help"])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 80


def test_no_command_shows_the_help_as_a_usage_error(capsys):
    assert run([]) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert "Commands:" in err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["buildz"], "did you mean builds?"),
        (["builds", "only-one"], "PROCESS"),
        (["builds", "a", "b", "--limit", "-1"], "--limit"),
        (["builds", "a", "b", "--limit", "1e3"], "--limit"),
        (["builds", "a", "b", "--format", "xml"], "--format"),
        (["builds", "a", "b", "--colour"], "--colour"),
        (["catalog", "mend"], "mend"),
    ],
)
def test_a_wrong_call_is_exit_code_two_with_words_on_stderr(arguments, said, capsys):
    assert run(arguments) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
    (line,) = err.splitlines()
    assert line.endswith("--help)")


@pytest.mark.parametrize("arguments", [["bu\x1b[31mild"], ["builds", "a", "b", "--\x1b[31m"]])
def test_escapes_in_arguments_are_shown_and_not_sent(arguments, capsys):
    assert run(arguments) == 2
    assert "\x1b" not in capsys.readouterr().err


def test_input_errors_are_exit_code_two_and_all_faults_are_listed(monkeypatch, capsys):
    faults = [Fault("my.toml", f"field{number}", "x", "y") for number in range(3)]
    monkeypatch.setattr(opening, "open_catalog", _raising(InputError(faults)))

    assert run(["builds", "lid-sealant", "lid-bead"]) == 2
    assert capsys.readouterr().err.splitlines() == [fault.line() for fault in faults]


def test_catalog_errors_are_exit_code_three(monkeypatch, capsys):
    fault = Fault("my", "size", "no part", "at least one [[size]]")
    monkeypatch.setattr(opening, "open_catalog", _raising(CatalogError([fault])))

    assert run(["builds", "lid-sealant", "lid-bead"]) == 3
    assert capsys.readouterr() == ("", fault.line() + "\n")


@pytest.mark.parametrize("option", ["--catalog", "--evidence"])
def test_a_name_that_no_file_system_takes_is_bad_input(option, capsys):
    assert run(["builds", "lid-sealant", "lid-bead", option, "x" * 300]) == 2
    assert capsys.readouterr().err.endswith("...: a name longer than a file system takes\n")


def test_a_fault_of_the_program_is_one_line_and_says_how_to_see_more(monkeypatch, capsys):
    monkeypatch.setattr(opening, "open_catalog", _raising(ValueError("odd\x1b[2J\nthing")))

    assert run(["builds", "lid-sealant", "lid-bead"]) == 70

    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1
    assert "internal error: ValueError: odd" in err
    assert "HEADWRIGHT_DEBUG=1" in err
    assert "\x1b" not in err


def test_the_traceback_of_a_fault_is_there_for_who_asks(monkeypatch, capsys):
    monkeypatch.setattr(opening, "open_catalog", _raising(ValueError("odd")))
    monkeypatch.setenv("HEADWRIGHT_DEBUG", "1")

    assert run(["builds", "lid-sealant", "lid-bead"]) == 70

    err = capsys.readouterr().err
    assert "Traceback (most recent call last)" in err
    assert "in open_catalog" in err


def test_control_c_ends_without_a_traceback(monkeypatch, capsys):
    monkeypatch.setattr(opening, "open_catalog", _raising(KeyboardInterrupt()))

    assert run(["builds", "lid-sealant", "lid-bead"]) == 130
    assert capsys.readouterr().err.split() == ["stopped"]


def test_version_is_one_line(capsys):
    assert run(["--version"]) == 0
    assert capsys.readouterr().out.startswith("headwright ")


@pytest.mark.parametrize(
    "arguments", [["catalog", "show", "--format", "json"], ["--help"]], ids=" ".join
)
def test_a_reader_that_stops_reading_is_no_error(arguments):
    command = subprocess.Popen(
        [sys.executable, "-m", "configurator", *arguments],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert command.stdout is not None
    assert command.stderr is not None
    command.stdout.close()

    words = command.stderr.read()
    command.stderr.close()

    assert command.wait(timeout=120) == 141
    assert words == b""
