"""Work beside the screen: one thread, and in each lane only the newest order counts.

An engine that is at work cannot be interrupted. So an order never waits behind others of its
lane: while one runs, newer ones replace each other, and what comes back too late is dropped.
The threads are daemons, since leaving must not wait for them.
"""

from __future__ import annotations

import contextlib
import ctypes
import gc
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

IsStale = Callable[[], bool]
"""Asked by long work between two steps: true once nobody waits for it."""

Work = Callable[[IsStale], object]


HEAVY = 0.1
"""Seconds of work from which memory is given back behind it. [s]"""


M_ARENA_MAX, M_MMAP_THRESHOLD = -8, -3
"""Of `mallopt`, in the headers of the GNU C library."""

LARGE = 512 * 1024
"""An array from here on goes back to the system as it goes; left alone, the library raises that
to 32 MB, and what is kept between such arrays holds their pages. [B]"""


def share_memory() -> None:
    """Have all threads take memory from one place, and large arrays from the system."""
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).mallopt(M_ARENA_MAX, 1)
        ctypes.CDLL(None).mallopt(M_MMAP_THRESHOLD, LARGE)


def give_back() -> None:
    """Hand free memory back to the system, where the C library can be asked to, as that of GNU.

    It keeps what large arrays leave for later ones, of which a screen has few. An answer and what
    lists its builds know each other; so few objects with so large arrays would wait long to go.
    """
    gc.collect()
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)


class NobodyWaitsError(Exception):
    """The work was given up because something else is asked by now."""


@dataclass(frozen=True)
class Delivery:
    """What one order came to."""

    lane: str
    value: object
    """What the work returned; None if it failed."""
    error: Exception | None = None


@dataclass(frozen=True)
class _Order:
    lane: str
    ticket: int
    work: Work
    since: float


class Desk:
    """A thread that serves lanes, the first named first, and delivers what is still wanted.

    Orders wait by a clock. [s]
    """

    def __init__(
        self,
        lanes: Sequence[str],
        deliver: Callable[[Delivery], None],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._lanes = tuple(lanes)
        self._deliver = deliver
        self._clock = clock
        self._waiting: dict[str, _Order] = {}
        self._running: _Order | None = None
        self._delivering = False
        """True once the running order's work is done and only its result is under way."""
        self._tickets = dict.fromkeys(lanes, 0)
        self._changed = threading.Condition()
        self._held_until = 0.0
        self._closed = False
        self._thread = threading.Thread(target=self._serve, daemon=True, name="desk")
        self._thread.start()

    def ask(self, lane: str, work: Work) -> None:
        """Order work in a lane, in place of what was ordered there before."""
        with self._changed:
            self._tickets[lane] += 1
            self._waiting[lane] = _Order(lane, self._tickets[lane], work, self._clock())
            self._changed.notify_all()

    def drop(self, lane: str) -> None:
        """Want nothing of a lane any more."""
        with self._changed:
            self._tickets[lane] += 1
            self._waiting.pop(lane, None)

    def hold(self, seconds: float = 0.2) -> None:
        """Begin nothing for so long: a thread at work takes turns with the one that draws."""
        with self._changed:
            self._held_until = time.monotonic() + seconds
            self._changed.notify_all()

    def close(self) -> None:
        """Take no more orders and deliver nothing."""
        with self._changed:
            self._closed = True
            self._waiting.clear()
            self._changed.notify_all()

    def waiting_for(self, lane: str) -> float | None:
        """Seconds since a lane's order was given; None if it has none. [s]"""
        with self._changed:
            order = self._waiting.get(lane)
            running = None if self._delivering else self._running
            if order is None and running is not None and not self._is_stale(running):
                order = running if running.lane == lane else None
            return None if order is None else self._clock() - order.since

    @property
    def idle(self) -> bool:
        """True if nothing is ordered or running, wanted or not."""
        with self._changed:
            return not self._waiting and self._running is None

    def _is_stale(self, order: _Order) -> bool:
        return self._closed or self._tickets[order.lane] != order.ticket

    def _next(self) -> _Order | None:
        with self._changed:
            self._running, self._delivering = None, False
            while not self._closed:
                held = self._held_until - time.monotonic()
                if self._waiting and held <= 0:
                    break
                self._changed.wait(held if self._waiting else None)
            if self._closed:
                return None
            lane = next(lane for lane in self._lanes if lane in self._waiting)
            self._running = self._waiting.pop(lane)
            return self._running

    def _serve(self) -> None:
        while (order := self._next()) is not None:
            began = time.monotonic()
            value: object = None
            failed: Exception | None = None
            try:
                value = order.work(lambda order=order: self._is_stale(order))  # type: ignore[misc]
            except Exception as error:  # noqa: BLE001 - told to the person, not swallowed
                failed = error
            self._delivering = True
            if not self._is_stale(order):
                self._deliver(Delivery(order.lane, value, failed))
            # What it worked on may be large, and the next order long in coming.
            value = failed = self._running = order = None
            if time.monotonic() - began > HEAVY:
                give_back()
