"""`headwright examples`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from configurator.cli.main import run

EXAMPLES = Path(__file__).resolve().parents[2] / "catalogs" / "examples"


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_every_shipped_example_is_listed(form, capsys):
    assert run(["examples", "--format", form]) == 0

    out, err = capsys.readouterr()
    assert err == ""
    for path in EXAMPLES.glob("*/*.toml"):
        assert path.stem in out


def test_names_are_those_that_builds_takes(capsys):
    run(["examples", "--format", "json"])
    data = json.loads(capsys.readouterr().out)

    for kind in ("materials", "processes"):
        for entry in data[kind]:
            assert (EXAMPLES / kind / f"{entry['name']}.toml").is_file()
