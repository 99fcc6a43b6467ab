"""A dask cluster judges as one process does: the same bytes, dead workers survived or told."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from functools import partial

import pytest
from screened import Deadly, chunks, kept, rows, setup, texts, wanted

from configurator.errors import UsageError
from configurator.screen import cluster as cluster_module
from configurator.screen.chunk import Chunk, ListRow
from configurator.screen.cluster import AHEAD, on_cluster
from configurator.screen.run import Pace, screen
from configurator.screen.workers import WorkerLostError

distributed = pytest.importorskip("distributed")
dask = pytest.importorskip("dask")

pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("default"),  # what the library warns of is its own affair
    pytest.mark.skipif(sys.platform == "win32", reason="signals are other ones there"),
]


@pytest.fixture(scope="module")
def local() -> Iterator[distributed.LocalCluster]:
    # Each new worker takes seconds to start: one is enough after a death, and how many deaths are
    # forgiven is dask's affair.
    with (
        dask.config.set({"distributed.scheduler.allowed-failures": 1}),
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=2, processes=True, dashboard_address=":0"
        ) as cluster,
    ):
        for nanny in cluster.workers.values():
            nanny.close_gracefully()  # when its worker goes, and starts no other
        yield cluster


def pids(local: distributed.LocalCluster) -> list[int]:
    with distributed.Client(local, set_as_default=False) as client:
        return list(client.run(os.getpid).values())


def test_a_cluster_gives_the_bytes_of_one_process_in_order(tmp_path, local):
    asked, listed = setup(processes=("pour", "seam")), rows(16, bad=[7])
    with kept(tmp_path / "one.csv", asked) as store:
        one = screen(listed, asked, store)
    with kept(tmp_path / "many.csv", asked) as store:
        many = screen(
            listed,
            asked,
            store,
            partial(on_cluster, address=local.scheduler_address),
            pace=Pace(rows=2, most=4),
        )

    assert many == one
    assert (tmp_path / "many.csv").read_bytes() == (tmp_path / "one.csv").read_bytes()


def test_a_run_that_was_ended_goes_on_on_a_cluster(tmp_path, local):
    asked, listed = setup(), rows(20)
    with kept(tmp_path / "one.csv", asked) as store:
        screen(listed, asked, store)
    out = tmp_path / "r.csv"
    with kept(out, asked) as store, pytest.raises(ZeroDivisionError):
        screen(
            listed,
            asked,
            store,
            tell=lambda tally: 1 / (tally.rows < 5),
            pace=Pace(rows=2, most=2),
        )
    assert out.stat().st_size < (tmp_path / "one.csv").stat().st_size
    with kept(out, asked, resume=True) as store:
        screen(listed, asked, store, partial(on_cluster, address=local.scheduler_address))

    assert out.read_bytes() == (tmp_path / "one.csv").read_bytes()


def test_no_more_chunks_are_read_ahead_than_stated(local):
    given = 0

    def counted() -> Iterator[Chunk]:
        nonlocal given
        for chunk in chunks(16, 1):
            given += 1
            yield chunk

    for taken, _ in enumerate(on_cluster(setup(), counted(), local.scheduler_address), start=1):
        assert given <= taken + AHEAD * 2
    assert given == 16


def test_a_worker_that_is_killed_on_the_way_costs_nothing(local):
    victim = pids(local)[0]
    judged = on_cluster(setup(), chunks(14), local.scheduler_address)
    found = [next(judged)]
    os.kill(victim, signal.SIGKILL)
    found.extend(judged)

    assert texts(found) == wanted(14)
    assert victim not in pids(local)


def test_rows_that_kill_every_worker_are_told(local):
    """By themselves: of chunks that a worker held when it died, dask says which one is blamed."""
    local.scheduler.allowed_failures = 0
    deadly = Chunk(0, (ListRow(3, 4, ("x", "y"), Deadly()),))

    with pytest.raises(WorkerLostError, match="row 3: the cluster's workers on it died"):
        list(on_cluster(setup(), iter([deadly]), local.scheduler_address))


def test_an_address_where_nobody_answers_is_one_line(monkeypatch):
    monkeypatch.setattr(cluster_module, "PATIENCE", 0.5)
    for address in ("tcp://127.0.0.1:1", "nonsense://x", "127.0.0.1:port"):
        with pytest.raises(UsageError, match=f"--cluster {address}: no scheduler answers") as error:
            list(on_cluster(setup(), chunks(1), address))
        assert "\n" not in str(error.value)


def test_a_cluster_without_workers_is_one_line(monkeypatch):
    monkeypatch.setattr(cluster_module, "PATIENCE_WITH_WORKERS", 0.5)
    with (
        distributed.LocalCluster(n_workers=0, dashboard_address=":0") as empty,
        pytest.raises(UsageError, match="the scheduler has no worker"),
    ):
        list(on_cluster(setup(), chunks(1), empty.scheduler_address))


def test_without_the_library_the_line_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)

    with pytest.raises(UsageError, match=r"pip install 'headwright\[cluster\]'"):
        list(on_cluster(setup(), chunks(1), "tcp://127.0.0.1:1"))
