"""From a key to updated counts, in milliseconds.

`python benchmarks/tui/key_to_counts.py` drives the screen without a terminal on the shipped
catalog. It measures from the moment a key is handed to the screen to the moment the new counts
stand in its first line, so without the pauses that a test driver makes between keys. The start
is measured by `first_paint.py`, the review of results by `review_rows.py`.
"""

from __future__ import annotations

import asyncio
import os
import statistics
import sys
import time

from textual.pilot import Pilot

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.tui.app import HeadwrightApp
from configurator.tui.screen_text import screen_text
from configurator.tui.session import Session
from configurator.workshop.workshop import Workshop

QUESTIONS = {
    "one part": ("lid-sealant", "lid-bead", 100.0),
    "one part, many builds": ("hinge-grease", "hinge-dots", 100.0),
    "two parts": ("gap-filler", "gap-filler-pads", 150.0),
}
"""Material, process, and the most that the median may be. [ms]"""

KEYS = 24
SIZE = (120, 36)


async def settled(app: HeadwrightApp, pilot: Pilot[None]) -> None:
    quiet = 0
    while quiet < 2:
        await pilot.pause()
        quiet = quiet + 1 if app.idle else 0
        await asyncio.sleep(0.005)


async def key_to_counts(material: str, process: str) -> list[float]:
    """Pick and free parts of one slot after the other; the time of each key."""
    folder = shipped_folder()
    catalog = load_catalog(folder / "generic", substances=folder / "substances", where="shipped")
    session = Session(Workshop(catalog), folder / "examples")
    session.open("material", material)
    session.open("process", process)
    app = HeadwrightApp(session)
    times: list[float] = []
    async with app.run_test(size=SIZE) as pilot:
        await settled(app, pilot)
        parts = app.main.parts
        while len(times) < KEYS:
            for slot in [slot for slot in parts.slots if slot.open > 1][: KEYS // 2]:
                able = [option.name for option in slot.options if option.left]
                parts.show_slot(slot.name, able[len(able) // 2])
                await settled(app, pilot)
                for _ in range(2):  # picked, then freed again
                    before = screen_text(app).splitlines()[0]
                    start = time.perf_counter()
                    parts.action_act()
                    while screen_text(app).splitlines()[0] == before:  # noqa: ASYNC110 - no event tells of a paint
                        await asyncio.sleep(0)
                    times.append((time.perf_counter() - start) * 1e3)
                    await settled(app, pilot)
    return times


def main() -> int:
    """Measure every question; 1 if a median is above what is asked."""
    missed = False
    print(f"load at the start: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    for name, (material, process, most) in QUESTIONS.items():
        times = asyncio.run(key_to_counts(material, process))
        median, worst = statistics.median(times), max(times)
        missed |= median > most
        print(
            f"{name}: key to counts {median:.0f} ms median, {min(times):.0f} ms best, "
            f"{worst:.0f} ms worst of {len(times)} (asked: {most:.0f})"
        )
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
