"""The screens that are compared as text, by state, size and set of characters."""

from __future__ import annotations

import tempfile
from collections.abc import Awaitable, Callable
from pathlib import Path

from tui_driving import SLIM, WIDE, Driver, drive
from tui_results import ROWS, Rows, results
from tui_worlds import asked

FOLDER = Path(__file__).parent / "screens"

SIZES = {"120x36": WIDE, "80x24": SLIM}

Steps = Callable[[Driver], Awaitable[None]]


async def _nothing(_driver: Driver) -> None:
    """The screen as it comes up."""


async def _builds(driver: Driver) -> None:
    await driver.press("4", "down", "m")
    if driver.app.size.width > SLIM[0]:
        # Back to Parts, whose reasons are short: those of a build name every rule there is.
        await driver.press("2")


async def _reasons(driver: Driver) -> None:
    await driver.press("4", "w")


async def _stators(driver: Driver) -> None:
    await driver.press("right", "right")


async def _fault(driver: Driver) -> None:
    panel = driver.app.main.duty
    await driver.press("1")
    rows = [row.field.path if row.field else "" for row in panel.rows]
    panel.go(rows.index("feed_pressure"))
    await driver.press("enter")
    await driver.type("3,5 bar")


async def _needs(driver: Driver) -> None:
    await driver.press("6", "down")


async def _flow(driver: Driver) -> None:
    await driver.press("5")


async def _ruled_out(driver: Driver) -> None:
    await driver.press("f")
    await driver.type("ruled")


async def _no_row(driver: Driver) -> None:
    await driver.press("slash")
    await driver.type("grit of moon")


async def _not_read(driver: Driver) -> None:
    await driver.press(*["down"] * 6)


async def _two_part(driver: Driver) -> None:
    await driver.press(*["down"] * 8, "tab", *["down"] * 3)


async def _row_opened(driver: Driver) -> None:
    await driver.press(*["down"] * 4, "enter")


STATES: dict[str, tuple[str, str, Steps]] = {
    "empty": ("", "", _nothing),
    "normal": ("plain", "flow", _builds),
    "flow": ("plain", "flow", _flow),
    "needs": ("plain", "flow", _needs),
    "no-build": ("gritty", "flow", _reasons),
    "unproven": ("unseen", "flow", _builds),
    "bad-input": ("plain", "flow", _fault),
    "two-part": ("pair", "mixed", _stators),
}
"""Material, process, and what is done before the screen is read."""

REVIEWS: dict[str, tuple[Rows, Steps]] = {
    "review": (ROWS, _nothing),
    "review-ruled-out": (ROWS, _ruled_out),
    "review-empty": ((), _nothing),
    "review-no-row": (ROWS, _no_row),
    "review-not-read": (ROWS, _not_read),
    "review-two-part": (ROWS, _two_part),
    "review-opened": (ROWS, _row_opened),
}
"""Rows of a list that was screened, and what is done before the screen is read."""

WITH_LINES = (("normal", "80x24"), ("flow", "120x36"), ("review", "80x24"), ("review", "120x36"))
"""States and sizes that are compared with line characters as well."""

CASES = [
    (state, size, characters)
    for state in (*STATES, *REVIEWS)
    for size in SIZES
    for characters in ("ascii", "lines")
    if characters == "ascii" or (state, size) in WITH_LINES
]


def name_of(state: str, size: str, characters: str) -> str:
    """Name of a screen's file."""
    return f"{state}-{size}{'' if characters == 'ascii' else '-lines'}.txt"


def screen_of(examples: Path, state: str, size: str, characters: str) -> str:
    """The screen of a state, mono."""
    seen: list[str] = []
    material, process, steps = STATES.get(state, ("", "", _nothing))
    with tempfile.TemporaryDirectory() as folder:
        of_results = None
        if state in REVIEWS:
            rows, steps = REVIEWS[state]
            of_results = results(Path(folder), examples, rows=rows)

        async def look(driver: Driver) -> None:
            await steps(driver)
            await driver.settle()
            seen.append(driver.text)

        drive(
            asked(examples, material, process),
            look,
            size=SIZES[size],
            theme="mono",
            ascii_only=characters == "ascii",
            results=of_results,
        )
    return seen[0] + "\n"
