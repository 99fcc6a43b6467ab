"""Judging on several processes of this machine: in order, flat in memory, deaths survived."""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import pickle
import signal
import zlib
from collections import Counter, deque
from collections.abc import Generator, Iterator
from dataclasses import dataclass, field
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, Generic

from configurator.errors import HeadwrightError, shown
from configurator.screen.chunk import AskedOfChunks, Chunk, Done, Told_co

TRIES = 3
"""Workers that one chunk may lose before the run ends."""

AHEAD = 3
"""Chunks a worker that are judged, or waiting for an earlier one, before no more are read."""


class WorkerLostError(HeadwrightError):
    """The workers on some rows were ended from outside, again and again."""

    exit_code = 70

    def __init__(self, rows: str, how: str) -> None:
        self.rows = rows
        self.how = how
        super().__init__(rows, how)

    def __str__(self) -> str:
        return f"{self.rows}: {self.how}; what was judged before is written"


@dataclass(frozen=True, slots=True)
class Broken:
    """What a worker sends if a chunk as a whole cannot be judged: a fault of the program."""

    text: str


@dataclass
class _Worker:
    process: BaseProcess
    pipe: Connection
    chunk: Chunk | None = None


@dataclass
class _Crew(Generic[Told_co]):
    """Workers, the chunks that they have, and those that wait for an earlier one."""

    size: int
    """Workers wanted."""
    payload: bytes
    """What is asked of all chunks, packed."""
    chunks: Iterator[Chunk]
    """What is still to be given out."""
    workers: list[_Worker] = field(default_factory=list)
    again: deque[Chunk] = field(default_factory=deque)
    ahead: Chunk | None = None
    """Read while all workers are busy, so that the first one that is done need not wait for it."""
    ready: dict[int, Told_co] = field(default_factory=dict)
    lost: Counter[int] = field(default_factory=Counter)
    wanted: int = 0
    all_given: bool = False

    def next_ready(self) -> Told_co | None:
        """The chunk that comes next in the file, if it is judged."""
        judged = self.ready.pop(self.wanted, None)
        if judged is not None:
            self.wanted += 1
        return judged

    def hand_out(self) -> bool:
        """Give every idle worker a chunk; False if nothing is left to wait for."""
        idle = [worker for worker in self.workers if worker.chunk is None]
        while idle or len(self.workers) < self.size:
            chunk = self._next_chunk()
            if chunk is None:
                break
            if not idle:
                idle.append(_started(self.payload))
                self.workers.append(idle[-1])
            worker = idle.pop()
            worker.chunk = chunk
            try:
                worker.pipe.send(chunk)
            except OSError:
                self.bury(worker)
        return any(worker.chunk is not None for worker in self.workers) or bool(self.again)

    def _next_chunk(self) -> Chunk | None:
        if self.again:
            return self.again.popleft()
        under_way = sum(worker.chunk is not None for worker in self.workers)
        if under_way + len(self.ready) >= AHEAD * self.size:
            return None
        chunk = self.ahead or self._read()
        self.ahead = None
        return chunk

    def _read(self) -> Chunk | None:
        chunk = None if self.all_given else next(self.chunks, None)
        self.all_given = chunk is None
        return chunk

    def collect(self) -> None:
        """Wait until some worker has judged its chunk or has died, and take what there is."""
        self.ahead = self.ahead or self._read()
        busy = {worker.pipe: worker for worker in self.workers if worker.chunk is not None}
        for pipe in wait(list(busy)):
            assert isinstance(pipe, Connection)
            worker = busy[pipe]
            try:
                judged = pipe.recv()
            except (EOFError, OSError):
                self.bury(worker)
                continue
            if isinstance(judged, Broken):
                raise RuntimeError(judged.text)  # noqa: TRY004 - a fault of the program, told
            worker.chunk = None
            self.ready[judged.number] = judged

    def bury(self, worker: _Worker) -> None:
        """Take a dead worker out; its chunk goes to another one."""
        worker.process.join()
        worker.pipe.close()
        self.workers.remove(worker)
        chunk = worker.chunk
        assert chunk is not None
        self.lost[chunk.number] += 1
        if self.lost[chunk.number] >= TRIES:
            code = worker.process.exitcode or 0
            how = f"the last by signal {-code}" if code < 0 else f"the last with exit code {code}"
            raise WorkerLostError(chunk.words, f"the worker ended {TRIES} times, {how}")
        self.again.append(chunk)

    def dismiss(self) -> None:
        """End all workers, at once."""
        for worker in self.workers:
            worker.pipe.close()
            worker.process.kill()
        for worker in self.workers:
            worker.process.join()


def in_processes(
    asked: AskedOfChunks[Told_co], chunks: Iterator[Chunk], workers: int
) -> Generator[Told_co]:
    """Judge chunks on several processes, and give what came of them back in order.

    Raises
    ------
    WorkerLostError
        If the workers on one chunk were ended as often as `TRIES`.
    """
    crew: _Crew[Told_co] = _Crew(workers, packed(asked), chunks)
    try:
        while True:
            while (judged := crew.next_ready()) is not None:
                yield judged
            if not crew.hand_out():
                return
            crew.collect()
    finally:
        crew.dismiss()


def packed(asked: object) -> bytes:
    """What is asked as few bytes, which fit into a pipe before its reader is there."""
    return zlib.compress(pickle.dumps(asked, protocol=pickle.HIGHEST_PROTOCOL))


def unpacked(payload: bytes) -> Any:
    """The same again; only ever of bytes that this program packed."""
    return pickle.loads(zlib.decompress(payload))  # noqa: S301 - from this run's own pipe


def _started(payload: bytes) -> _Worker:
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(
        target=_serve, args=(theirs, payload), name="headwright screen", daemon=True
    )
    with _interrupts_held_back():
        process.start()
    theirs.close()
    return _Worker(process, ours)


@contextlib.contextmanager
def _interrupts_held_back() -> Iterator[None]:
    """Start a process that no interrupt reaches, not even before it can ask for that itself."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # Where it has to be started first, it lets interrupts through again behind itself.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _serve(pipe: Connection, payload: bytes) -> None:
    """Judge what comes until nobody sends any more, which is so as well when the run is killed."""
    # The run itself ends its workers when a user stops it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # What a batch works out goes without a look for circles of objects, as in the run itself.
    gc.set_threshold(300_000, 20, 20)
    asked = unpacked(payload)
    with contextlib.suppress(EOFError, OSError):
        while True:
            chunk = pipe.recv()
            try:
                answer: Done | Broken = asked.judged(chunk)
            except Exception as error:  # noqa: BLE001 - told where it can be told
                answer = Broken(shown(f"{type(error).__name__}: {error}", 400))
            pipe.send(answer)
