"""Time commands on shipped pairs, cold: `python -m benchmarks.answers [PAIR ...]`.

`builds` on every pair; `why` and `measure`, which put changed requests by the hundred, on those that
are named or on the two-part ones and the slowest without a build.

Each run is a process of its own, as people run it: with compiled modules kept from the run before.
The table gives the best of some runs, the processor time of that run and its peak memory, beside a
bare interpreter for comparison.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RUNS = 3

PAIRS = (
    "lid-sealant:lid-bead",
    "hinge-grease:hinge-dots",
    "bay-epoxy:bay-pour",
    "grip-mortar:grip-dots",
    "bay-potting:bay-potting-pour",
    "gap-filler:gap-filler-pads",
    "hull-paste:hull-seam",
    "cable-cast:cable-exit-cast",
    "void-filler:void-pour",
    "bracket-acrylate:bracket-bead",
)

CHANGED = (
    "bracket-acrylate:bracket-bead",
    "hull-paste:hull-seam",
    "void-filler:void-pour",
    "bay-potting:bay-potting-pour",
    "gap-filler:gap-filler-pads",
    "cable-cast:cable-exit-cast",
    "bay-potting:contact-dots",
    "void-filler:cap-dots",
)
"""Pairs on which changed requests cost most; the last two have no build."""


def measured(arguments: list[str]) -> tuple[float, float, float]:
    """Wall time and processor time in seconds, and peak memory in MB, of one process."""
    start = time.perf_counter()
    child = os.posix_spawn(
        sys.executable,
        [sys.executable, *arguments],
        {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"},
        file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)],
    )
    _, _, usage = os.wait4(child, 0)
    wall = time.perf_counter() - start
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def best(arguments: list[str]) -> tuple[float, float, float]:
    return min(measured(arguments) for _ in range(RUNS))


def main() -> None:
    os.chdir(ROOT)
    named = sys.argv[1:]
    asked = [("builds", named or PAIRS), ("why", named or CHANGED), ("measure", named or CHANGED)]
    bare = best(["-c", "pass"])
    print(f"{'process':42} {'wall s':>8} {'cpu s':>8} {'MB':>6} {'over bare':>10}")
    rows = [("bare interpreter", bare)]
    rows.append(("headwright --help", best(["-m", "configurator", "--help"])))
    for command, pairs in asked:
        for pair in pairs:
            found = best(["-m", "configurator", command, *pair.split(":")])
            rows.append((f"{command} {pair}", found))
    for name, (wall, cpu, memory) in rows:
        print(f"{name:42} {wall:8.2f} {cpu:8.2f} {memory:6.0f} {wall / bare[0]:10.0f}")


if __name__ == "__main__":
    main()
