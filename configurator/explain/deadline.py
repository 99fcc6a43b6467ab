"""How long a search may take, and whom it tells what it is at."""

from __future__ import annotations

import time
from collections.abc import Callable

Progress = Callable[[str], None]
"""Told what is being tried."""


class Deadline:
    """Processor time that a search may use. [s]"""

    def __init__(self, budget: float) -> None:
        self._end = time.process_time() + budget
        self.met = False
        """True once the time was up when somebody asked."""

    def expired(self) -> bool:
        """Whether the time is up."""
        self.met = self.met or time.process_time() > self._end
        return self.met
