"""What a shell is offered behind a half-typed word, by click's own protocol."""

from __future__ import annotations

import pytest

from configurator.cli.main import COMPLETING, run


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        ("headwright cat", {"plain,catalog"}),
        ("headwright catalog show --slot st", {"plain,stator"}),
        ("headwright builds lid-se", {"plain,lid-sealant", "file,lid-se"}),
        ("headwright builds lid-sealant lid-b", {"plain,lid-bead", "file,lid-b"}),
        ("headwright builds x y --pick si", {"plain,size="}),
        ("headwright builds x y --pick a.ca", {"plain,a.cavity="}),
        (
            "headwright builds x y --without stator=vmq",
            {"plain,stator=vmq-s", "plain,stator=vmq-l"},
        ),
        ("headwright builds x y --sort mixing", {"plain,mixing_cov"}),
        ("headwright builds x y --pareto cost_index,tor", {"plain,cost_index,torque_nm"}),
        ("headwright builds x y --catalog nowhere --pick size=", set()),
        ("headwright builds x y --pick nothing=", set()),
    ],
)
def test_a_half_typed_word_is_completed(words, offered, monkeypatch, capsys):
    monkeypatch.setenv(COMPLETING, "bash_complete")
    monkeypatch.setenv("COMP_WORDS", words)
    monkeypatch.setenv("COMP_CWORD", str(len(words.split()) - 1))

    assert run([]) == 0
    out, err = capsys.readouterr()
    assert {line for line in out.splitlines() if line} == offered
    assert err == ""


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_gets_its_script(shell, monkeypatch, capsys):
    monkeypatch.setenv(COMPLETING, f"{shell}_source")

    assert run([]) == 0
    assert "_HEADWRIGHT_COMPLETE" in capsys.readouterr().out
