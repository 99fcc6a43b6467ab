"""Judging on the machines of a dask cluster: the same order, the same bytes; wants distributed."""

from __future__ import annotations

import contextlib
import logging
import pickle
import threading
from collections import deque
from collections.abc import Generator, Iterator
from functools import lru_cache
from typing import Any

from configurator.errors import UsageError, shown
from configurator.screen.chunk import AskedOfChunks, Chunk, Done, Told_co
from configurator.screen.workers import WorkerLostError, packed, unpacked

PATIENCE = 30.0
"""How long to wait for the scheduler. [s]"""

PATIENCE_WITH_WORKERS = 30.0
"""How long to wait for a first worker. [s]"""

AHEAD = 3
"""Chunks a worker that are under way before no more are read."""

_ONE_AT_A_TIME = threading.Lock()


def judge_packed(payload: bytes, chunk: bytes) -> Done:
    """Judge a chunk on a machine of the cluster.

    What is asked comes packed with each chunk, so that a worker needs no memory of others.
    """
    # Threads of one process would only wait for each other.
    with _ONE_AT_A_TIME:
        done: Done = _asked(payload).judged(pickle.loads(chunk))  # noqa: S301 - from the run itself
        return done


@lru_cache(maxsize=2)
def _asked(payload: bytes) -> Any:
    return unpacked(payload)


def on_cluster(
    asked: AskedOfChunks[Told_co], chunks: Iterator[Chunk], address: str
) -> Generator[Told_co]:
    """Judge chunks on the workers of a cluster, by the address of its scheduler.

    Raises
    ------
    UsageError
        If dask.distributed is missing, nobody answers there, or a worker lacks the program.
    WorkerLostError
        If the workers on one chunk died more often than the scheduler allows.
    """
    client = _connected(address)
    payload = packed(asked)
    under_way: deque[tuple[Chunk, Any]] = deque()
    try:
        _wait_for_a_worker(client, address)
        while True:
            for chunk in _more(chunks, AHEAD * _workers(client) - len(under_way)):
                raw = pickle.dumps(chunk, protocol=pickle.HIGHEST_PROTOCOL)
                under_way.append((chunk, client.submit(judge_packed, payload, raw, pure=False)))
            if not under_way:
                return
            chunk, future = under_way.popleft()
            yield _result(future, chunk, address)
    finally:
        with contextlib.suppress(Exception):
            client.cancel([future for _, future in under_way])
        with contextlib.suppress(Exception):
            client.close()


def _more(chunks: Iterator[Chunk], room: int) -> Iterator[Chunk]:
    for _ in range(max(room, 0)):
        chunk = next(chunks, None)
        if chunk is None:
            return
        yield chunk


def _connected(address: str) -> Any:
    try:
        import distributed
    except ImportError:
        raise UsageError(
            "--cluster wants dask.distributed", "pip install 'headwright[cluster]'"
        ) from None
    # What goes wrong is told below in one line; its own lines would only stand around it.
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    try:
        library: Any = distributed
        return library.Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise UsageError(f"--cluster {address}: no scheduler answers: {error}") from None


def _wait_for_a_worker(client: Any, address: str) -> None:
    try:
        client.wait_for_workers(1, timeout=PATIENCE_WITH_WORKERS)
    except TimeoutError:
        raise UsageError(f"--cluster {address}: the scheduler has no worker") from None


def _workers(client: Any) -> int:
    """How many workers there are now; at least one, as the last may come back."""
    return max(1, len(client.nthreads()))


def _result(future: Any, chunk: Chunk, address: str) -> Any:
    from distributed import CancelledError, KilledWorker

    try:
        return future.result()
    except KilledWorker:
        raise WorkerLostError(
            chunk.words, "the cluster's workers on it died more often than the scheduler allows"
        ) from None
    except CancelledError:
        raise UsageError(f"--cluster {address}: the scheduler was lost") from None
    except ImportError as error:
        raise UsageError(
            f"--cluster {address}: a worker lacks headwright: {shown(str(error))}",
            "install the same version on every machine",
        ) from None
