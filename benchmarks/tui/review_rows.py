"""Opening and scrolling a large results file in the review of a screening.

`python benchmarks/tui/review_rows.py [--rows N] [--form csv|jsonl]` writes an invented results
file, opens it and drives the screen without a terminal. It tells how long opening takes until
the first rows are seen and until all are read, what that costs in memory, and the time from a
key to its rows.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.screen.header import COLUMNS
from configurator.screen.results import Form, head_bytes, heads_of, result_cells, rows_bytes
from configurator.screen.tally import STATES
from configurator.tui.app import HeadwrightApp
from configurator.tui.review.rebuilt import Bench
from configurator.tui.review.review import Review
from configurator.tui.session import Session
from configurator.workshop.workshop import Workshop

ROWS = 100_000
MOST_TO_READ = 2.0
"""All rows of such a file have to be read within. [s]"""

MOST_FOR_A_KEY = 100.0
"""A key that scrolls. [ms]"""

SIZE = (120, 36)
COLUMNS_OF_LIST = tuple(column.name for column in COLUMNS)

REASONS = {
    "fits": "",
    "marginal": "soak test of the stator: 168 h at the highest temperature, invented row {at}",
    "unproven": "constituents that nobody names: the sheet leaves 0 to {at} % unnamed, invented",
    "ruled out": "largest particle against the cavity: {at} um, invented; takes up to 20 um",
    "not read": "",
    "not judged": "",
}


def _seen(app: HeadwrightApp) -> list[str]:
    return [strip.text for strip in app.screen._compositor.render_strips()]  # noqa: SLF001


def written(path: Path, form: Form, rows: int) -> Path:
    """Write a results file of invented rows, a column for each a list may have."""
    heads = heads_of(COLUMNS_OF_LIST)
    with path.open("wb") as file:
        file.write(head_bytes(form, heads))
        block: list[Any] = []
        for row in _rows(rows):
            block.append(row)
            if len(block) == 1000:
                file.write(rows_bytes(form, heads, block))
                block.clear()
        file.write(rows_bytes(form, heads, block))
    return path


def _rows(rows: int) -> Iterator[Any]:
    for number in range(1, rows + 1):
        state = STATES[(number * 7) % len(STATES)]
        builds = 0 if state == "ruled out" else None if state[:3] == "not" else number * 977
        cells = tuple(
            f"Invented paste {number}" if name == "name" else column.example
            for name, column in zip(COLUMNS_OF_LIST, COLUMNS, strict=True)
        )
        yield result_cells(
            cells,
            {
                "row": number,
                "line": number + 1,
                "process": "lid-bead",
                "material_name": f"invented-paste-{number}",
                "state": state,
                "builds": builds,
                "tightest_margin": (number % 997) / 997 - 0.3 if builds else None,
                "reason": REASONS[state].format(at=number % 100),
                "fault": "line: invented" if builds is None else None,
                "catalog_sha256": "000000000000",
            },
        )


async def settled(app: HeadwrightApp, pilot: Pilot[None]) -> None:
    """Wait until nothing is at work."""
    quiet = 0
    while quiet < 2:
        await pilot.pause()
        quiet = quiet + 1 if app.idle else 0
        await asyncio.sleep(0.005)


@cache
def shipped() -> Catalog:
    """The catalog that people start with."""
    folder = shipped_folder()
    return load_catalog(folder / "generic", substances=folder / "substances", where="shipped")


async def keys(path: Path) -> dict[str, list[float]]:
    """Time from a key to another screen, by key. [ms]"""
    session = Session(Workshop(shipped()), shipped_folder() / "examples")
    app = HeadwrightApp(session, results=path)
    found: dict[str, list[float]] = {}
    async with app.run_test(size=SIZE) as pilot:
        await settled(app, pilot)
        screen = app.review_screen
        assert screen is not None
        panel = screen.results
        ways: dict[str, Callable[[], None]] = {
            "down": lambda: panel.action_move(1),
            "page down": lambda: panel.action_page(1),
            "end": lambda: panel.action_edge(1),
            "home": lambda: panel.action_edge(0),
            "sort by margin": lambda: screen._sort("margin"),  # noqa: SLF001 - what the key does
            "only ruled out": lambda: screen._chose_state("ruled out"),  # noqa: SLF001
            "page down, sorted": lambda: panel.action_page(1),
            "all again": lambda: screen._chose_state("all"),  # noqa: SLF001
        }
        for name, act in ways.items():
            for _ in range(20 if "down" in name else 1):
                before = _seen(app)
                start = time.perf_counter()
                act()
                while _seen(app) == before:  # noqa: ASYNC110 - no event tells of a paint
                    await asyncio.sleep(0)
                found.setdefault(name, []).append((time.perf_counter() - start) * 1e3)
                await settled(app, pilot)
        for words in ("paste 4242", "soak"):
            start = time.perf_counter()
            screen._show_words(words)  # noqa: SLF001 - what typing does
            await settled(app, pilot)
            found[f"words '{words}', all found"] = [(time.perf_counter() - start) * 1e3]
            screen._show_words("")  # noqa: SLF001
            await settled(app, pilot)
    return found


def opened(path: Path) -> tuple[float, float]:
    """Seconds of processor time until the first rows are there, and until all are. [s]"""
    bench = Bench(Workshop(shipped()), shipped_folder() / "examples")
    start = time.process_time()
    review = Review(path, bench)
    first = time.process_time() - start
    while review.reading:
        review.take(review.read_on())
    assert review.fault is None, review.fault
    return first, time.process_time() - start


def main() -> int:
    """Measure everything; 1 if opening or a scrolling key takes longer than is asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=ROWS)
    parser.add_argument("--form", choices=["csv", "jsonl"], default="csv")
    options = parser.parse_args()
    print(f"load at the start: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder) / f"results.{options.form}", options.form, options.rows)
        size = path.stat().st_size / 1e6
        shipped()
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        times = [opened(path) for _ in range(3)]
        grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1e3
        first, every = (min(each) for each in zip(*times, strict=True))
        print(
            f"{options.rows} rows, {size:.0f} MB: first rows {first:.2f} s, all {every:.2f} s of "
            f"processor time, best of 3 (asked: {MOST_TO_READ:.0f}); {grown:.0f} MB of memory more"
        )
        missed = every > MOST_TO_READ * max(options.rows / ROWS, 1.0)
        for name, took in asyncio.run(keys(path)).items():
            median = statistics.median(took)
            print(f"{name}: {median:.0f} ms median, {max(took):.0f} ms worst of {len(took)}")
            missed |= "down" in name and median > MOST_FOR_A_KEY
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
