"""A catalog that extends another: what it adds, replaces and withdraws, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from configurator.catalog import load
from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.cli.main import run
from configurator.errors import CatalogError

HEAD = 'schema = 1\nname = "over"\nbasis = "datasheet"\nextends = "shipped"\n'
TIP = """
[[outlet]]
name = "{name}"
title = "Own tip"
kind = "needle"
bore = "0.9 mm"
entry_bore = "0.9 mm"
length = "20 mm"
outside_diameter = "1.3 mm"
material = "316L"
joint = "luer lock"
pressure_max = "20 bar"
mass = "1 g"
passes_light = false
cost_index = 1
"""


def layer(folder: Path, text: str) -> Catalog:
    folder.mkdir(exist_ok=True)
    (folder / "catalog.toml").write_text(text, encoding="utf-8")
    return load_catalog(folder, substances=shipped_folder() / "substances", where=folder.name)


@pytest.fixture(scope="module")
def shipped() -> Catalog:
    return load_catalog(shipped_folder() / "generic", substances=shipped_folder() / "substances")


def test_a_small_file_adds_replaces_and_withdraws(tmp_path: Path, shipped: Catalog) -> None:
    over = layer(
        tmp_path / "over",
        HEAD
        + '[withdraw]\noutlet = ["cone-3"]\n'
        + TIP.format(name="own-tip")
        + TIP.format(name="cone-2")
        + '[practice]\ncaution_margin = "15 %"\n[practice.rubbing_speed]\nclean = "0.4 m/s"\n',
    )

    names = [part.name for part in shipped.slot("outlet")]
    assert [part.name for part in over.slot("outlet")] == [
        *(name for name in names if name != "cone-3"),
        "own-tip",
    ]
    replaced = over.part("outlet", "cone-2")
    assert replaced is not None
    assert replaced.title == "Own tip"
    assert over.slot("cavity") == shipped.slot("cavity")
    assert over.practice.caution_margin.text == "15 %"
    assert over.practice.rubbing_speed.clean.text == "0.4 m/s"
    assert over.practice.rubbing_speed.mild == shipped.practice.rubbing_speed.mild
    assert (
        over.practice.model_copy(
            update={
                "caution_margin": shipped.practice.caution_margin,
                "rubbing_speed": shipped.practice.rubbing_speed,
            }
        )
        == shipped.practice
    )
    assert over.origins == {
        "outlet cone-3": "withdrawn by over",
        "outlet own-tip": "added by over",
        "outlet cone-2": "replaced by over",
        "practice caution_margin": "replaced by over",
        "practice rubbing_speed": "replaced by over",
    }


def test_what_fits_only_a_withdrawn_size_goes_with_it(
    tmp_path: Path, shipped: Catalog, capsys: pytest.CaptureFixture[str]
) -> None:
    over = layer(tmp_path / "over", HEAD + '[withdraw]\nsize = ["h1"]\n')

    assert "h1" not in {part.name for part in over.slot("size")}
    assert not any(part.size == "h1" for part in over.slot("cavity"))  # type: ignore[attr-defined]
    body, before = over.part("body", "316l"), shipped.part("body", "316l")
    assert [*body.sizes] == [size for size in before.sizes if size != "h1"]  # type: ignore[union-attr]
    assert over.origins["cavity h1-0.003-2s"] == "withdrawn by over with its size"
    assert run(["catalog", "check", "--catalog", str(tmp_path / "over")]) == 0
    assert "no size is called" not in capsys.readouterr().out


def test_the_digest_covers_every_layer(tmp_path: Path, shipped: Catalog) -> None:
    base = tmp_path / "base"
    plain = layer(base, HEAD)
    over = HEAD.replace('"shipped"', '"../base"').replace('"over"', '"upper"')
    first = layer(tmp_path / "upper", over)
    layer(base, HEAD + TIP.format(name="own-tip"))
    second = layer(tmp_path / "upper", over)

    assert len({shipped.sha256, plain.sha256, first.sha256, second.sha256}) == 4
    assert first.part("outlet", "own-tip") is None
    assert second.part("outlet", "own-tip") is not None


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (HEAD + '[withdraw]\noutlet = ["cone-33"]\n', "did you mean cone-3"),
        (HEAD + '[withdraw]\noutlets = ["cone-3"]\n', "did you mean outlet?"),
        (HEAD.replace("shipped", "."), "in a circle"),
        (HEAD.replace("shipped", "nowhere"), "no such folder"),
        (HEAD + TIP.format(name="twin") * 2, "the name twice"),
        (
            HEAD + '[withdraw]\nseal = ["lip-fkm"]\nbody = ["pom"]\n[practice]\nx = 1\n',
            "practice.x",
        ),
        ('schema = 1\n[withdraw]\noutlet = ["cone-3"]\n', "nothing to extend"),
    ],
)
def test_what_a_layer_cannot_say_is_refused(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(CatalogError, match=told.replace("?", r"\?")):
        layer(tmp_path / "over", text)


def test_a_slot_of_which_all_is_withdrawn_is_told(tmp_path: Path, shipped: Catalog) -> None:
    names = ", ".join(f'"{part.name}"' for part in shipped.slot("mixing"))

    with pytest.raises(CatalogError, match=r"mixing: given 'no part'"):
        layer(tmp_path / "over", HEAD + f"[withdraw]\nmixing = [{names}]\n")


def test_origins_are_shown_and_audited(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    layer(tmp_path / "over", HEAD + TIP.format(name="own-tip"))
    over = ["--catalog", str(tmp_path / "over")]

    assert run(["catalog", "show", "--origin", *over]) == 0
    assert "outlet own-tip" in capsys.readouterr().out
    assert run(["catalog", "show", "--origin", "--format", "csv", *over]) == 0
    assert "outlet,own-tip,added by " in capsys.readouterr().out
    assert run(["catalog", "check", *over]) == 0
    assert run(["catalog", "show", "--origin"]) == 0
    assert "all parts are its own" in capsys.readouterr().out


OLD = """schema = 1
name = "old"
basis = "datasheet"
[practice]
caution_margin = "15 %"
[practice.rubbing_speed]
clean = "0.4 m/s"
"""


def test_what_an_own_shop_practice_leaves_out_the_shipped_one_states(
    tmp_path: Path, shipped: Catalog, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    for path in (shipped_folder() / "generic").glob("*.toml"):
        if path.name not in ("practice.toml", "catalog.toml"):
            (own / path.name).write_bytes(path.read_bytes())
    old = layer(own, OLD)

    assert old.practice.caution_margin.text == "15 %"
    assert old.practice.rubbing_speed.clean.text == "0.4 m/s"
    assert old.practice.rubbing_speed.mild == shipped.practice.rubbing_speed.mild
    assert old.practice.shot_turns == shipped.practice.shot_turns
    assert "rubbing_speed.mild" in old.stand_ins
    assert "caution_margin" not in old.stand_ins
    assert old.origins["practice shot_turns"] == "of the shipped catalog"
    # What stands in is told in one line, and each face that takes a catalog tells it.
    for command in (["catalog", "check"], ["builds", "lid-sealant", "lid-bead", "--limit", "1"]):
        assert run([*command, "--catalog", str(own)]) == 0
        (line,) = capsys.readouterr().err.splitlines()
        assert "the shipped rules of thumb stand in" in line


def test_the_digest_covers_the_rules_of_thumb_that_stand_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    base = tmp_path / "shipped" / "generic"
    base.mkdir(parents=True)
    practice = (shipped_folder() / "generic" / "practice.toml").read_text(encoding="utf-8")
    own = tmp_path / "own"
    own.mkdir()
    (own / "catalog.toml").write_text(OLD, encoding="utf-8")
    substances = shipped_folder() / "substances"
    monkeypatch.setattr(load, "shipped_folder", lambda: tmp_path / "shipped")
    digests = set()
    for remark in ("", "# another remark\n"):
        (base / "practice.toml").write_text(remark + practice, encoding="utf-8")
        catalog, _ = load.read_catalog(own, substances=substances)
        assert catalog is not None
        digests.add(catalog.sha256)

    assert len(digests) == 2
