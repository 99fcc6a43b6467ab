"""Driving the application in a test: keys, waiting until nothing is at work, reading the screen."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

from textual.pilot import Pilot

from configurator.tui.app import HeadwrightApp
from configurator.tui.session import Session

WIDE, SLIM = (120, 36), (80, 24)
LONGEST = 60.0
"""Seconds that any work beside the screen may take in a test. [s]"""


class Driver:
    """A running application."""

    def __init__(self, app: HeadwrightApp, pilot: Pilot[None]) -> None:
        self.app = app
        self.pilot = pilot

    async def settle(self) -> None:
        """Wait until nothing is at work and everything is drawn."""
        waited, quiet = 0.0, 0
        while quiet < 2:
            await self.pilot.pause()
            quiet = quiet + 1 if self.app._solver.idle and self.app._viewer.idle else 0
            if quiet == 0:
                await asyncio.sleep(0.01)
                waited += 0.01
                assert waited < LONGEST, "something is at work without end"

    async def press(self, *keys: str) -> None:
        """Press keys, waiting once at the end."""
        await self.pilot.press(*keys)
        await self.settle()

    async def type(self, text: str) -> None:
        """Type a text into the field that has the keys, in place of what is there."""
        field: Any = self.app.focused
        field.value = text
        await self.press("enter")

    @property
    def text(self) -> str:
        """The screen as text."""
        # The compositor is private to textual; every test of a screen says when that changes.
        strips = self.app.screen._compositor.render_strips()
        return "\n".join(strip.text.rstrip() for strip in strips)

    def line_with(self, words: str) -> str:
        """The first line of the screen that holds some words."""
        return next((line for line in self.text.splitlines() if words in line), "")


def drive(
    session: Session,
    steps: Callable[[Driver], Awaitable[None]],
    *,
    size: tuple[int, int] = WIDE,
    **options: Any,
) -> HeadwrightApp:
    """Run the application through some steps."""
    app = HeadwrightApp(session, **options)

    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            driver = Driver(app, pilot)
            await driver.settle()
            await steps(driver)

    asyncio.run(run())
    return app
