"""A list of entries that narrows while one types."""

from __future__ import annotations

from textual import events
from textual.widgets import OptionList


class Entries(OptionList):
    """A list that other keys narrow."""

    def on_click(self, event: events.Click) -> None:
        """Drop a click on an entry of the list before: a burst holds keys and clicks."""
        if event.style.meta.get("option", -1) >= self.option_count:
            event.prevent_default()
