"""What a desk asks of the engine; the engine loads with the first question, beside the screen."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from configurator.request.question import Question
    from configurator.tui.flow_window import FlowWindow
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import RankedBuild


def timed(solve: Callable[[Question], Answer], question: Question) -> tuple[Answer, float]:
    """Answer a request, and tell how long it took. [s]"""
    start = time.monotonic()
    return solve(question), time.monotonic() - start


def drawn(answer: Answer, build: RankedBuild) -> tuple[RankedBuild, tuple[FlowWindow, ...]]:
    """Work out the flow windows of a build, one a side."""
    from configurator.tui.flow_window import windows_of

    return build, windows_of(answer, build)
