"""One-part rows are taken over where only a mixer or what is practice in mixing has changed."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import pytest
from screened import kept

from configurator.catalog.catalog import TWO_PART_PRACTICE, Catalog, Practice
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.reading import read_toml
from configurator.request.load import load_process
from configurator.screen.chunk import Setup
from configurator.screen.run import EarlierRows, screen
from configurator.screen.sources import open_list
from configurator.workshop.workshop import Workshop

HEAD = 'schema = 1\nname = "own"\nextends = "shipped"\nbasis = "common practice"\nsource = "invented"\n'

WORDS = {"flushing_media"}
"""Practice without a number."""


@cache
def stated() -> dict[str, Any]:
    """Shop practice of the shipped catalog as it is written."""
    tables, _ = read_toml(shipped_folder() / "generic" / "practice.toml")
    found: dict[str, Any] = tables["practice"]
    return found


def catalog(folder: Path, key: str, factor: float) -> Catalog:
    """The shipped catalog with one rule of thumb of a shop's own."""
    folder.mkdir()
    text = HEAD + f"[practice]\n{key} = {moved(stated()[key], factor)}\n"
    (folder / "own.toml").write_text(text, encoding="utf-8")
    return load_catalog(folder, substances=shipped_folder() / "substances", where="own")


def moved(value: Any, factor: float) -> str:
    """A value as TOML, the numbers in it times a factor."""
    match value:
        case dict():
            kept = {each: value[each] for each in value if each not in ("note", "source", "basis")}
            return "{ " + ", ".join(f"{k} = {moved(v, factor)}" for k, v in kept.items()) + " }"
        case list():
            return "[" + ", ".join(moved(each, factor) for each in value) + "]"
        case str():
            number = re.compile(r"(?<![\w^/])\d+(?:\.\d+)?(?:e-?\d+)?(?!\d*/)")
            return f'"{number.sub(lambda found: f"{float(found[0]) * factor:g}", value)}"'
        case _:
            return f"{value * factor:g}"


@dataclass
class Few:
    """The first rows of a shipped list of one-part materials."""

    def __iter__(self) -> Any:
        path = shipped_folder() / "examples" / "lists" / "one-part.csv"
        folder = shipped_folder() / "examples"
        yield from islice(open_list(str(path), form=None, encoding=None, folder=folder), 0, 30, 6)


def asked(own: Catalog) -> Setup:
    read = [
        load_process(each, folder=shipped_folder() / "examples")
        for each in ("lid-bead", "bolt-dots")
    ]
    return Setup((), "csv", tuple(read), Workshop(own))


def run(out: Path, own: Catalog, earlier: Path | None = None) -> int:
    setup = asked(own)
    with kept(out, setup) as store:
        if earlier is None:
            return screen(Few(), setup, store).reused
        with EarlierRows(earlier) as known:
            return screen(Few(), setup, store, earlier=known).reused


@pytest.mark.parametrize("key", sorted(TWO_PART_PRACTICE))
def test_practice_in_mixing_judges_no_one_part_row_anew(tmp_path, key):
    before, after = (catalog(tmp_path / f"own{at}", key, at) for at in (1.0, 1.6))
    assert before.practice != after.practice
    assert before.sha256 != after.sha256
    run(tmp_path / "earlier.csv", before)
    run(tmp_path / "whole.csv", after)
    reused = run(tmp_path / "again.csv", after, tmp_path / "earlier.csv")

    assert reused == 10
    whole = (tmp_path / "whole.csv").read_bytes()
    assert (tmp_path / "again.csv").read_bytes() == whole
    assert (tmp_path / "earlier.csv").read_bytes() == whole


@pytest.mark.parametrize("key", sorted(set(Practice.model_fields) - TWO_PART_PRACTICE - WORDS))
def test_all_other_practice_judges_them_anew(tmp_path, key):
    before, after = (catalog(tmp_path / f"own{at}", key, at) for at in (1.0, 0.99))
    assert before.digest_for(two_part=False) != after.digest_for(two_part=False)
    assert before.digest_for(two_part=False) != before.sha256


def test_a_mixer_less_judges_no_one_part_row_anew(tmp_path):
    """The outcome, with the digests that the reader made: the file's passes over mixers."""
    own = catalog(tmp_path / "own", "weep_share", 1.0)
    mixers = [each for each in own.parts["mixing"] if each.name != "none"]
    fewer = replace(own, parts={**own.parts, "mixing": (own.parts["mixing"][0], *mixers[1:])})
    run(tmp_path / "earlier.csv", own)
    run(tmp_path / "whole.csv", fewer)
    assert (tmp_path / "earlier.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


def test_two_part_materials_hang_on_the_whole_catalog(tmp_path):
    own = catalog(tmp_path / "own", "mixer_tail", 1.0)
    assert own.digest_for(two_part=True) == own.sha256
