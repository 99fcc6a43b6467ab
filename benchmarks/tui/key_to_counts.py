"""From a key to updated counts, in milliseconds.

`python benchmarks/tui/key_to_counts.py [--only "two parts"]` runs the command in a terminal of
its own, on the shipped catalog, picks and frees parts of one slot after the other, and measures
from the moment a key is written to the moment the new counts of the first line come out of the
terminal. The start is measured by `first_paint.py`, the review of results by `review_rows.py`.

A busy machine makes every key slower: the best says more than the median then.
"""

from __future__ import annotations

import argparse
import contextlib
import fcntl
import os
import pty
import re
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Iterator
from pathlib import Path

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.tui.session import Session
from configurator.workshop.workshop import Workshop

QUESTIONS = {
    "one part": ("lid-sealant", "lid-bead", 30.0),
    "one part, many builds": ("hinge-grease", "hinge-dots", 30.0),
    "two parts": ("gap-filler", "gap-filler-pads", 60.0),
}
"""Material, process, and the most that the median may be; the worst may take twice that. [ms]"""

KEYS = 24
ROWS, COLUMNS = 36, 120
ROOT = Path(__file__).resolve().parents[2]
COUNTS = re.compile(rb"([0-9][0-9 ]*) of [0-9. ]+[kMGTPEZY]? ?builds")
RIGHT, DOWN, ENTER = b"\x1b[C", b"\x1b[B", b"\r"
QUIET = 0.4
"""Without a byte for so long, the screen has followed a key in everything. [s]"""

PATIENCE = 60.0


class Terminal:
    """The command at work in a terminal of its own."""

    def __init__(self, folder: str, material: str, process: str) -> None:
        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        environment = {"HEADWRIGHT_SESSION": folder, "TERM": "xterm-256color", "LANG": "C.UTF-8"}
        command = [sys.executable, "-m", "configurator", "tui", material, process]
        self._process = subprocess.Popen(
            command, stdin=theirs, stdout=theirs, stderr=theirs, env=environment, cwd=ROOT
        )
        os.close(theirs)
        self.counts = b""

    def press(self, keys: bytes) -> float:
        """Time from the keys to other counts than before. [ms]"""
        before, said = self.counts, b""
        start = time.perf_counter()
        os.write(self._ours, keys)
        while self.counts == before:
            if not select.select([self._ours], [], [], PATIENCE)[0]:
                raise TimeoutError(f"no other counts within {PATIENCE:.0f} s")
            said += os.read(self._ours, 1 << 16)
            if found := COUNTS.findall(said):
                self.counts = found[-1]
        return (time.perf_counter() - start) * 1e3

    def settle(self, keys: bytes = b"") -> None:
        """Write keys that change no counts, and wait until the screen has followed."""
        os.write(self._ours, keys)
        while select.select([self._ours], [], [], QUIET)[0]:
            os.read(self._ours, 1 << 16)

    def close(self) -> None:
        """End the command."""
        self._process.kill()
        self._process.wait()
        with contextlib.suppress(OSError):
            os.close(self._ours)


def ways(material: str, process: str) -> Iterator[bytes]:
    """Keys that lead from each slot to a part of the next one that leaves a choice."""
    folder = shipped_folder()
    catalog = load_catalog(folder / "generic", substances=folder / "substances", where="shipped")
    workshop = Workshop(catalog)
    session = Session(workshop, folder / "examples")
    session.open("material", material)
    session.open("process", process)
    question = session.to_solve
    assert question is not None, "an example is whole"
    session.solved(workshop.answer(question))
    assert session.board is not None
    steps = b""
    while True:
        for slot in session.board.in_pairs:
            able = [place for place, option in enumerate(slot.options) if option.left]
            if slot.open > 1:
                yield steps + DOWN * able[len(able) // 2]
                steps = b""
            steps += RIGHT


def key_to_counts(material: str, process: str) -> list[float]:
    """Pick and free parts of one slot after the other; the time of each key. [ms]"""
    times: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        terminal = Terminal(folder, material, process)
        try:
            terminal.press(b"")
            terminal.settle()
            terminal.settle(b"2")
            for way in ways(material, process):
                terminal.settle(way)
                for _ in range(2):  # picked, then freed again
                    times.append(terminal.press(ENTER))
                    terminal.settle()
                if len(times) >= KEYS:
                    return times
        finally:
            terminal.close()
    return times


def main() -> int:
    """Measure every question; 1 if a median or a worst is above what is asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", choices=QUESTIONS, help="one of the questions")
    only = parser.parse_args().only
    missed = False
    print(f"load at the start: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    for name, (material, process, most) in QUESTIONS.items():
        if only not in (None, name):
            continue
        times = key_to_counts(material, process)
        median, worst = statistics.median(times), max(times)
        missed |= median > most or worst > 2.0 * most
        print(
            f"{name}: key to counts {median:.0f} ms median, {min(times):.0f} ms best, "
            f"{worst:.0f} ms worst of {len(times)} (asked: {most:.0f} and {2.0 * most:.0f})"
        )
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
