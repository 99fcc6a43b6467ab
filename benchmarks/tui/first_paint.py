"""From a command to the first paint of the screens, in milliseconds.

`python benchmarks/tui/first_paint.py [--runs N]` starts the command in a terminal of its own and
waits until a word of the panels comes out of it. A busy machine makes every start slower: the
best run and the processor time of the start say more than the median then.
"""

from __future__ import annotations

import argparse
import contextlib
import fcntl
import os
import pty
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

MOST = 500.0
"""What is asked of the median. [ms]"""

ROOT = Path(__file__).resolve().parents[2]
QUESTION = ("lid-sealant", "lid-bead")
WORD = b"Parts"
"""Stands on the border of a panel."""

PATIENCE = 60.0
ROWS, COLUMNS = 36, 120


def started(*arguments: str, word: bytes = WORD) -> tuple[float, float]:
    """Start the screens once, and end them when a word is seen.

    Returns
    -------
    tuple of float
        Time to the word, and processor time of the process up to then. [ms]
    """
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
    with tempfile.TemporaryDirectory() as folder:
        environment = {"HEADWRIGHT_SESSION": folder, "TERM": "xterm-256color", "LANG": "C.UTF-8"}
        start = time.perf_counter()
        process = subprocess.Popen(
            [sys.executable, "-m", "configurator", "tui", *arguments],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env=environment,
            cwd=ROOT,
        )
        try:
            seen = b""
            while word not in seen:
                if not select.select([ours], [], [], PATIENCE)[0]:
                    raise TimeoutError(f"no {word.decode()} within {PATIENCE:.0f} s")
                seen += os.read(ours, 1 << 16)
            elapsed = (time.perf_counter() - start) * 1e3
            return elapsed, _processor_time(process.pid)
        finally:
            process.kill()
            process.wait()
            with contextlib.suppress(OSError):
                os.close(ours)
                os.close(theirs)


def _processor_time(pid: int) -> float:
    """Of a process so far; nan where the system does not tell. [ms]"""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    except OSError:
        return float("nan")
    ticks = int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK") * 1e3


def main() -> int:
    """Measure; 1 if the median is above what is asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=9)
    runs = parser.parse_args().runs
    print(f"load at the start: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    found = [started(*QUESTION) for _ in range(runs)]
    times, processor = zip(*found, strict=True)
    median = statistics.median(times)
    print(
        f"start to first paint: {median:.0f} ms median, {min(times):.0f} ms best of {runs} "
        f"(asked: {MOST:.0f}); processor time {min(processor):.0f} ms best"
    )
    return int(median > MOST)


if __name__ == "__main__":
    sys.exit(main())
