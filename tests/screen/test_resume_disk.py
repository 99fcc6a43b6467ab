"""Full disks, other runs, and files that are none: one line, and nothing is lost."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from ended import FORMS, run
from screened import kept, rows, setup

from configurator.errors import InputError
from configurator.screen.chunk import Chunk, JudgedChunk, Setup
from configurator.screen.results import read_results
from configurator.screen.results_file import ResultsFile, journal_path, load_journal
from configurator.screen.run import Pace, alone, screen
from configurator.screen.store import Kept

pytestmark = pytest.mark.usefixtures("quick")


def full_after(calls: int, name: str) -> Callable[..., object]:
    """A disk that takes so many calls and is then full; a write takes half of what it gets."""
    true = getattr(os, name)
    left = [calls]

    def call(handle: int, *arguments: bytes) -> object:
        left[0] -= 1
        if left[0] >= 0:
            return true(handle, *arguments)
        if name == "write" and left[0] == -1:
            return true(handle, arguments[0][: len(arguments[0]) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    return call


@pytest.mark.parametrize("name", ["write", "fsync"])
@pytest.mark.parametrize("calls", [0, 1, 2, 3, 6, 7, 9])
@pytest.mark.parametrize("form", FORMS)
def test_a_full_disk_is_one_line_and_the_run_goes_on_when_there_is_room(
    tmp_path, form, calls, name, monkeypatch
):
    listed = rows(30)
    run(tmp_path / f"whole.{form}", listed, form)
    out = tmp_path / f"r.{form}"
    with monkeypatch.context() as patch:
        patch.setattr(os, name, full_after(calls, name))
        with pytest.raises(InputError, match=r"No space left on device.*--resume goes on") as error:
            run(out, listed, form)
    assert "\n" not in str(error.value)
    growing = out if form != "parquet" else out.with_name(f"{out.name}.part.jsonl")
    journal = load_journal(journal_path(out))
    assert growing.stat().st_size == (0 if journal is None else journal.length)

    run(out, listed, form, resume=True)
    assert out.read_bytes() == (tmp_path / f"whole.{form}").read_bytes()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 48 kB; wants the right to mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=48k", "tmpfs", str(folder)]
    try:
        subprocess.run(command, check=True, capture_output=True, timeout=20)
    except (OSError, subprocess.SubprocessError):
        pytest.skip("no file system may be mounted here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True, timeout=20)


@pytest.mark.parametrize("form", FORMS)
def test_a_small_disk_fills_and_the_run_goes_on_after_it_has_grown(tmp_path, small_disk, form):
    listed = rows(150)
    run(tmp_path / f"whole.{form}", listed, form)
    out = small_disk / f"r.{form}"
    with pytest.raises(InputError, match="No space left on device"):
        run(out, listed, form)
    held = load_journal(journal_path(out)).tally.rows
    assert 0 < held < 150
    growing = out if form != "parquet" else out.with_name(f"{out.name}.part.jsonl")
    assert len(list(read_results(growing))) == 2 * held
    with pytest.raises(InputError, match="No space left on device"):
        run(out, listed, form, resume=True)

    grow = ["mount", "-o", "remount,size=1m", str(small_disk)]
    subprocess.run(grow, check=True, timeout=20)
    run(out, listed, form, resume=True)
    assert out.read_bytes() == (tmp_path / f"whole.{form}").read_bytes()


@pytest.mark.skipif(sys.platform == "win32", reason="files are locked otherwise there")
def test_two_runs_do_not_write_one_file(tmp_path):
    out = tmp_path / "r.csv"
    asked = setup()
    with kept(out, asked):
        for options in ({"resume": True}, {"force": True}):
            with pytest.raises(InputError, match="another run is writing"):
                kept(out, asked, **options)
        assert load_journal(journal_path(out)) is not None
    kept(out, asked, resume=True).__exit__(None, None, None)


@pytest.mark.skipif(sys.platform == "win32", reason="open files cannot be moved there")
@pytest.mark.parametrize("another", [False, True])
def test_a_file_that_is_moved_during_the_run_is_noticed_and_gone_on_with(tmp_path, another):
    run(tmp_path / "whole.csv", rows(20))
    out, away, asked = tmp_path / "r.csv", tmp_path / "away.csv", setup("csv", ("pour", "seam"))

    def moving(asked: Setup, chunks: Iterator[Chunk]) -> Iterator[JudgedChunk]:
        for judged in alone(asked, chunks):
            if judged.number == 2:
                out.rename(away)
                if another:
                    out.write_text("somebody else's")
            yield judged

    moved = pytest.raises(InputError, match="moved or removed during the run")
    with kept(out, asked) as store, moved:
        screen(rows(20), asked, store, moving, pace=Pace(rows=3, most=3))
    away.replace(out)
    run(out, rows(20), resume=True)

    assert out.read_bytes() == (tmp_path / "whole.csv").read_bytes()


def test_what_is_no_plain_file_is_refused_and_gets_no_journal(tmp_path):
    for out in (tmp_path, Path(os.devnull)):
        with pytest.raises(InputError, match="no plain file"):
            kept(out, setup(), force=True)
        assert not journal_path(out).exists()
    with pytest.raises(InputError, match="No such file or directory"):
        kept(tmp_path / "missing" / "r.csv", setup())


def test_lines_go_to_the_system_whole(tmp_path, monkeypatch):
    lines = b"".join(b"%d,%s\n" % (number, b"x" * (number % 700)) for number in range(300))
    lines += b"y" * 10_000 + b"\n" + b"z\n"
    seen: list[bytes] = []
    true = os.write

    def write(handle: int, piece: memoryview) -> int:
        seen.append(bytes(piece))
        return true(handle, piece)

    with ResultsFile(tmp_path / "r") as file:
        monkeypatch.setattr(os, "write", write)
        file.append(lines)
        monkeypatch.undo()
        assert file.length == len(lines)

    assert b"".join(seen) == lines == (tmp_path / "r").read_bytes()
    assert all(piece.endswith(b"\n") for piece in seen)
    assert max(map(len, seen)) == 10_001
    assert len(seen) < 50


def test_a_store_that_could_not_begin_keeps_no_lock(tmp_path):
    out = tmp_path / "r.csv"
    out.write_text("someone's\n")
    with pytest.raises(InputError):
        kept(out, setup())
    store: Kept = kept(out, setup(), force=True)
    store.__exit__(None, None, None)
    assert out.read_text().startswith("name,viscosity,row")
