"""Several processes judge as one does: the same order and bytes, deaths survived or told."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
from screened import Deadly, chunks, kept, rows, setup, texts, wanted

from configurator.screen.chunk import Chunk, ListRow
from configurator.screen.run import Pace, screen
from configurator.screen.workers import AHEAD, TRIES, WorkerLostError, in_processes

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are other ones there")


def test_two_workers_give_the_bytes_of_one_process_in_order(tmp_path):
    asked, listed = setup(processes=("pour", "seam")), rows(16, bad=[7])
    with kept(tmp_path / "one.csv", asked) as store:
        one = screen(listed, asked, store)
    with kept(tmp_path / "two.csv", asked) as store:
        two = screen(
            listed, asked, store, partial(in_processes, workers=2), pace=Pace(rows=2, most=4)
        )

    assert two == one
    assert (tmp_path / "two.csv").read_bytes() == (tmp_path / "one.csv").read_bytes()
    assert not multiprocessing.active_children()


def test_the_chunk_of_a_killed_worker_is_judged_by_another():
    judged = in_processes(setup(), chunks(12), 2)
    found = [next(judged)]
    killed = 0
    for each in judged:
        found.append(each)
        if killed < 2:
            os.kill(multiprocessing.active_children()[0].pid, signal.SIGKILL)
            killed += 1

    assert killed == 2
    assert texts(found) == wanted(12)


def test_a_worker_that_only_starts_is_not_ended_by_the_user_who_stops_the_run():
    judged = in_processes(setup(), chunks(2), 1)
    first = threading.Thread(target=next, args=(judged,))
    first.start()
    while not (started := multiprocessing.active_children()) and first.is_alive():
        time.sleep(0.001)
    for child in started:
        os.kill(child.pid, signal.SIGINT)
    first.join()

    assert multiprocessing.active_children() == started
    assert len(list(judged)) == 1


def test_rows_that_end_every_worker_are_told_and_what_comes_before_is_kept():
    def with_a_deadly_one() -> Iterator[Chunk]:
        for chunk in chunks(6):
            row = ListRow(5, 6, ("x", "y"), Deadly()) if chunk.number == 2 else None
            yield Chunk(chunk.number, chunk.rows if row is None else (row,))

    judged = in_processes(setup(), with_a_deadly_one(), 2)
    found = []
    with pytest.raises(WorkerLostError) as error:
        found.extend(each.number for each in judged)

    assert error.value.exit_code == 70
    assert str(error.value) == (
        f"row 5: the worker ended {TRIES} times, the last with exit code 9; "
        "what was judged before is written"
    )
    assert found == [0, 1]
    assert not multiprocessing.active_children()


def test_no_more_chunks_are_read_ahead_than_stated():
    given = 0

    def counted() -> Iterator[Chunk]:
        nonlocal given
        for chunk in chunks(16, 1):
            given += 1
            yield chunk

    judged = in_processes(setup(), counted(), 2)
    for taken, _ in enumerate(judged, start=1):
        assert given <= taken + AHEAD * 2
    assert given == 16


def test_a_run_that_is_left_early_leaves_no_worker_behind():
    judged = in_processes(setup(), chunks(40), 2)
    next(judged)
    assert len(multiprocessing.active_children()) == 2
    judged.close()

    assert not multiprocessing.active_children()


def alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at processes there")
def test_workers_end_when_the_run_itself_is_killed():
    code = textwrap.dedent("""
        import multiprocessing, sys
        sys.path.insert(0, "tests/support")
        from screened import chunks, setup
        from configurator.screen.workers import in_processes
        if __name__ == "__main__":
            for _ in in_processes(setup(), chunks(4000), 2):
                print(*(each.pid for each in multiprocessing.active_children()), flush=True)
        """)
    with subprocess.Popen(
        [sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True
    ) as run:
        assert run.stdout is not None
        workers = [int(pid) for pid in run.stdout.readline().split()]
        assert len(workers) == 2
        assert all(map(alive, workers))
        run.kill()
    until = time.monotonic() + 20
    while any(map(alive, workers)) and time.monotonic() < until:
        time.sleep(0.05)
    assert not any(map(alive, workers))
