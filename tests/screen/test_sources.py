"""Opening lists: files and pipes, hashes, warnings, and lists that cannot be opened."""

from __future__ import annotations

import hashlib
import io
import os
import sys
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest
from flat_rows import EXAMPLES, MATERIAL_FILES, csv_list, flat_row, material_tables

from configurator.errors import InputError
from configurator.request.load import load_material
from configurator.screen.sources import open_list

LISTS = EXAMPLES / "lists"
ROWS = [flat_row(material_tables(path.stem)) for path in MATERIAL_FILES]


def refusal(path: Path | str, **options: str) -> str:
    with pytest.raises(InputError) as caught:
        open_list(path, folder=EXAMPLES, **options)  # type: ignore[arg-type]
    return str(caught.value)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    path = tmp_path / "own.csv"
    path.write_bytes(csv_list(ROWS))
    return path


def test_a_file_is_read_with_its_hash_known_beforehand(own: Path) -> None:
    with open_list(own, folder=EXAMPLES) as materials:
        wanted = hashlib.sha256(own.read_bytes()).hexdigest()
        assert materials.sha256 == wanted
        made = list(materials)
        assert materials.sha256 == wanted

    assert [each.number for each in made] == list(range(1, len(ROWS) + 1))
    assert [each.material.name for each in made if each.material] == [
        path.stem for path in MATERIAL_FILES
    ]


def test_standard_input_is_read_once_and_hashed_as_it_comes(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stream = io.BytesIO(own.read_bytes())
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=stream))

    materials = open_list("-", folder=EXAMPLES)
    assert len(list(materials)) == len(ROWS)
    assert materials.sha256 == hashlib.sha256(own.read_bytes()).hexdigest()
    assert not stream.closed


def test_a_fault_hangs_on_no_name_of_a_list(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = io.BytesIO(csv_list([{"name": "x", "trigger": "none"}]))
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=stream))

    (only,) = open_list("-", folder=EXAMPLES)
    assert "standard input" not in only.fault
    assert (only.line, only.fault.partition(":")[0]) == (2, "row")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_named_pipe_is_read_as_a_stream(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    writer = threading.Thread(target=path.write_bytes, args=(csv_list(ROWS),))
    writer.start()
    with open_list(path, folder=EXAMPLES) as materials:
        assert len(list(materials)) == len(ROWS)
    writer.join()


def test_paths_of_material_files_start_from_the_folder_of_the_list(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_bytes(MATERIAL_FILES[0].read_bytes())
    path = tmp_path / "own.csv"
    path.write_text("file\nmine.toml\n", "utf-8")

    with open_list(path, folder=EXAMPLES) as materials:
        (only,) = materials
    assert only.material == load_material(MATERIAL_FILES[0].stem, folder=EXAMPLES)


@pytest.mark.parametrize(
    ("ending", "text"),
    [
        (".jsonl", '{"file": "bay-epoxy"}'),
        (".CSV", "file\nbay-epoxy"),
        ("", '{"file": "bay-epoxy"}'),
    ],
)
def test_the_form_follows_from_the_ending_or_the_first_sign(
    ending: str, text: str, tmp_path: Path
) -> None:
    path = tmp_path / f"own{ending}"
    path.write_text(text, "utf-8")

    with open_list(path, folder=EXAMPLES) as materials:
        assert [each.fault for each in materials] == [""]


def test_a_stated_form_wins(own: Path) -> None:
    assert "line 1: row: given 'name,title" in refusal(own, form="jsonl")


@pytest.mark.parametrize("name", ["no-such.csv", ".", "x" * 5000, "a\0b"])
def test_a_list_that_cannot_be_opened_is_a_clear_line(name: str, tmp_path: Path) -> None:
    line = refusal(tmp_path / name)

    assert line.isprintable()
    assert "file: given" in line


def test_bytes_that_are_no_text_are_refused_before_the_first_row(own: Path) -> None:
    own.write_bytes(own.read_bytes() + b"\xff\n")

    assert "state --encoding latin-1" in refusal(own)


def test_a_file_that_changes_while_it_is_read_is_refused_at_its_end(own: Path) -> None:
    data = csv_list(ROWS * 40)
    own.write_bytes(data)
    with open_list(own, folder=EXAMPLES) as materials:
        next(materials)
        own.write_bytes(data + data.splitlines(keepends=True)[1])
        with pytest.raises(InputError, match="a list that changed while it was read"):
            list(materials)


def test_a_list_that_was_read_is_at_its_end(own: Path) -> None:
    with open_list(own, folder=EXAMPLES) as materials:
        list(materials)
        assert list(materials) == []


@pytest.mark.parametrize("path", sorted(LISTS.iterdir()), ids=lambda path: path.name)
def test_a_shipped_list_reads_without_a_fault_and_says_that_it_is_invented(path: Path) -> None:
    with open_list(path, folder=EXAMPLES) as materials:
        made = list(materials)

    assert materials.warnings == ()
    assert [each.fault for each in made if each.fault] == []
    assert all(each.material.invented for each in made if each.material)


def test_the_shipped_lists_hold_rows_of_every_kind() -> None:
    made = []
    for path in LISTS.iterdir():
        with open_list(path, folder=EXAMPLES) as materials:
            made += list(materials)
    files = [each for each in made if each.cells.get("file")]
    own = [each.material for each in made if each.material and each not in files]
    two_part = [material for material in own if material.two_part]

    assert len(own) - len(two_part) == 30
    assert len(two_part) == 5
    assert len(files) == 5
