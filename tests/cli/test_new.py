"""`headwright new`: files to begin with are read, and schemas are those of the models."""

from __future__ import annotations

from pathlib import Path

import fastjsonschema  # type: ignore[import-untyped]
import pytest
import tomli

from configurator.cli.main import run
from configurator.cli.new import KINDS, schema_of, schema_text

CATALOGS = Path(__file__).resolve().parents[2] / "catalogs"
FILES = {
    "material": sorted((CATALOGS / "examples" / "materials").glob("*.toml")),
    "process": sorted((CATALOGS / "examples" / "processes").glob("*.toml")),
    "catalog": sorted((CATALOGS / "generic").glob("*.toml")),
}


@pytest.mark.parametrize("kind", KINDS)
def test_the_shipped_schema_is_that_of_the_models(kind: str) -> None:
    """`headwright new schema KIND > catalogs/schemas/KIND.json` renews it."""
    assert (CATALOGS / "schemas" / f"{kind}.json").read_text("utf-8") == schema_text(kind)


@pytest.mark.parametrize("kind", FILES)
def test_an_outside_validator_takes_every_shipped_file_and_refuses_slips(kind: str) -> None:
    schema = schema_of(kind)
    schema.pop("$schema")  # the newest draft that it knows says the same of what is used here
    validate = fastjsonschema.compile(schema)

    for path in FILES[kind]:
        text = path.read_text(encoding="utf-8")
        if kind != "catalog":
            assert text.startswith(f"#:schema ../../schemas/{kind}.json\n")
        tables = tomli.loads(text)
        validate(tables)
        with pytest.raises(fastjsonschema.JsonSchemaException):
            validate({**tables, "densty": "1 g/mL"})


def test_a_material_begins_with_what_is_set_and_the_rest_as_comments(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "my paste.toml"
    given = [
        *("--set", "trigger=moisture", "--set", "component.density=1.2 g/cm^3"),
        *("--set", "component.flow.model=newtonian", "--set", "component.flow.at=23 degC"),
        *("--set", "component.flow.viscosity=20 Pa*s"),
        *("--set", 'component.constituents=[{"name": "xylene", "mass_fraction": "5 %"}]'),
    ]

    assert run(["new", "material", str(path), *given]) == 0
    text = path.read_text(encoding="utf-8")
    assert "# surface_tension = " in text
    assert "[mix]" not in text
    assert run(["material", "check", str(path), "--format", "json"]) == 0
    assert '"my-paste"' in capsys.readouterr().out
    assert run(["new", "material", str(path), *given]) == 2
    assert "--force replaces it" in capsys.readouterr().err


def test_a_row_of_a_list_becomes_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    listed = str(CATALOGS / "examples" / "lists" / "one-part.csv")
    path = tmp_path / "row.toml"

    assert run(["new", "material", str(path), "--from", listed, "--row", "2"]) == 0
    name = tomli.loads(path.read_text("utf-8"))["name"]
    assert run(["material", "check", str(path), "--format", "json"]) == 0
    assert f'"{name}"' in capsys.readouterr().out
    assert run(["new", "material", str(tmp_path / "b"), "--from", listed, "--row", name]) == 0


def test_a_process_of_each_kind_begins(tmp_path: Path) -> None:
    for kind in ("dots", "bead", "potting", "flow"):
        path = tmp_path / f"{kind}.toml"
        assert run(["new", "process", str(path), "--set", f"deposit.kind={kind}"]) == 0
        assert tomli.loads(path.read_text("utf-8"))["deposit"] == {"kind": kind}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--set", "component.densty=1"], "did you mean component.density"),
        (["--set", "trigger"], "KEY=VALUE"),
        (["--row", "2"], "go together"),
        (["--from", str(CATALOGS / "examples/lists/one-part.csv"), "--row", "none"], "1 to "),
    ],
)
def test_what_cannot_be_set_is_refused_in_a_line(
    words: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["new", "material", str(tmp_path / "a.toml"), *words]) == 2

    err = capsys.readouterr().err
    assert told in err
    assert len(err.splitlines()) == 1
    assert not (tmp_path / "a.toml").exists()


@pytest.mark.parametrize(
    ("stem", "name"),
    [
        ("\N{LATIN SMALL LETTER E WITH ACUTE}poxy 2", "epoxy-2"),
        ("x" * 90, "x" * 60),
        ("---", "own"),
    ],
)
def test_a_file_of_any_name_gets_a_name_that_is_taken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], stem: str, name: str
) -> None:
    path = tmp_path / f"{stem}.toml"
    assert run(["new", "process", str(path)]) == 0
    capsys.readouterr()
    assert tomli.loads(path.read_text(encoding="utf-8"))["name"] == name
