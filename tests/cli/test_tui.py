"""`headwright tui`: what it refuses before any screen, and that it opens what it is given."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from configurator.cli.main import run
from configurator.tui.app import HeadwrightApp

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def opened(monkeypatch, tmp_path):
    """The applications that the command opened, instead of a screen."""
    apps = []
    monkeypatch.setenv("HEADWRIGHT_SESSION", str(tmp_path))
    monkeypatch.setattr(HeadwrightApp, "run", lambda app, **options: apps.append((app, options)))
    return apps


def test_it_opens_the_question_it_is_given(opened):
    assert run(["tui", "lid-sealant", "lid-bead", "--pick", "stator=fkm-l", "--ascii"]) == 0

    ((app, options),) = opened
    assert app.session.draft.material.name == "lid-sealant"
    assert app.session.draft.picks == {"stator": "fkm-l"}
    assert app.ascii_only
    assert options == {"mouse": True}


def test_it_goes_on_where_it_ended(opened):
    run(["tui", "lid-sealant", "lid-bead", "--without", "seal=lip-fkm"])
    opened[0][0].leave()
    run(["tui", "--no-mouse", "--theme", "light"])
    again, options = opened[1]
    assert again.session.draft == opened[0][0].session.draft
    assert again.theme == "river-day"
    assert options == {"mouse": False}

    run(["tui", "--fresh"])
    assert opened[2][0].session.draft.material is None


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["lid-sealant"], "a MATERIAL comes with a PROCESS"),
        (["--pick", "stator=fkm-l"], "come with a MATERIAL"),
        (["lid-sealant", "no-such-process"], "no such file"),
        (["lid-sealant", "lid-bead", "--pick", "statr=fkm-l"], "did you mean stator?"),
        (["lid-sealant", "lid-bead", "--pick", "stator=fkml"], "did you mean fkm-l"),
        (["lid-sealant", "lid-bead", "--pick", "stator"], "SLOT=PART"),
        (["--theme", "pink"], "pink"),
    ],
)
def test_bad_input_is_refused_before_any_screen(opened, capsys, arguments, words):
    assert run(["tui", *arguments]) == 2
    assert words in capsys.readouterr().err
    assert opened == []


def test_its_help_loads_no_terminal_library():
    code = (
        "import sys\nfrom configurator.cli.main import run\nassert run(['tui', '--help']) == 0\n"
        "assert not {'textual', 'numpy', 'rich'} & set(sys.modules), sorted(sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "headwright tui lid-sealant lid-bead" in done.stdout


def test_without_a_terminal_it_says_so_at_once(capsys):
    assert run(["tui", "lid-sealant", "lid-bead"]) == 2
    assert "the screen needs a terminal" in capsys.readouterr().err


def test_a_screen_that_failed_leaves_no_code_of_success(opened, monkeypatch, capsys):
    monkeypatch.setattr(HeadwrightApp, "run", lambda app, **_: setattr(app, "_return_code", 1))

    assert run(["tui", "lid-sealant", "lid-bead"]) == 70
    assert "the session is kept" in capsys.readouterr().err
