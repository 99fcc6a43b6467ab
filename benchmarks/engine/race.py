"""Run one competitor in a process of its own, stop it at a time cap, report its memory."""

import multiprocessing
import resource
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from time import perf_counter
from typing import Any


@dataclass(frozen=True)
class Outcome:
    """What a competitor answered, its seconds (of each query, if several), peak megabytes."""

    answer: Any
    seconds: Any
    megabytes: float
    capped: bool


def _child(pipe: Connection, work: Callable[..., Any], arguments: tuple[Any, ...]) -> None:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    answer, seconds = work(*arguments)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    pipe.send((answer, seconds, max(peak, before) / 1024))


def run(cap: float, work: Callable[..., Any], *arguments: Any) -> Outcome:
    """The outcome, or a capped one if the competitor needs more than ``cap`` seconds."""
    context = multiprocessing.get_context("spawn")
    receiving, sending = context.Pipe(duplex=False)
    process = context.Process(target=_child, args=(sending, work, arguments))
    start = perf_counter()
    process.start()
    sending.close()
    try:
        if receiving.poll(cap):
            answer, seconds, megabytes = receiving.recv()
            return Outcome(answer, seconds, megabytes, capped=False)
        return Outcome(None, perf_counter() - start, 0.0, capped=True)
    finally:
        if process.is_alive():
            process.terminate()
        process.join()
