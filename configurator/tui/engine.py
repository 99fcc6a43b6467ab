"""What a desk asks of the engine; the engine loads with the first question, beside the screen."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.request.request import Request
    from configurator.tui.flow_window import FlowWindow
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild


def configured(catalog: Catalog, request: Request) -> Answer:
    """Answer a request from a catalog, without findings of a shop."""
    from configurator.workshop.configure import configure

    return configure(request, catalog)


def timed(solve: Callable[[Request], Answer], request: Request) -> tuple[Answer, float]:
    """Answer a request, and tell how long it took. [s]"""
    start = time.monotonic()
    return solve(request), time.monotonic() - start


def drawn(answer: Answer, build: RankedBuild) -> tuple[RankedBuild, tuple[FlowWindow, ...]]:
    """Work out the flow windows of a build, one a side."""
    from configurator.tui.flow_window import windows_of

    return build, windows_of(answer, build)
