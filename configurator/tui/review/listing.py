"""All rows of a results file in figures: totals by state, and which rows are shown in which order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields

import numpy as np
from numpy.typing import NDArray

from configurator.screen.tally import STATES
from configurator.tui.review.stretch import PLACES, Stretch, empty_stretch

Places = NDArray[np.intp]

SORTS: Mapping[str, str] = {
    "row": "as in the file",
    "state": "best first",
    "builds": "most first",
    "margin": "tightest first",
}
"""What rows can be sorted by, and which end comes first; turned around it is the other one."""


class Listing:
    """Figures of all rows that were read so far."""

    def __init__(self) -> None:
        self.figures = empty_stretch()

    def __len__(self) -> int:
        """Rows so far."""
        return len(self.figures)

    def add(self, stretches: Iterable[Stretch]) -> None:
        """Take further rows."""
        every = (self.figures, *stretches)
        self.figures = Stretch(
            *(
                np.concatenate([getattr(each, column.name) for each in every])
                for column in fields(Stretch)
            )
        )

    @property
    def totals(self) -> dict[str, int]:
        """Rows in each state, from best to worst."""
        counts = np.bincount(self.figures.states, minlength=len(STATES))
        return {state: int(count) for state, count in zip(STATES, counts, strict=True)}

    @property
    def last_number(self) -> int:
        """The largest number of a row."""
        return int(self.figures.numbers.max(initial=0))

    def shown(
        self, state: str = "", found: Places | None = None, sort: str = "row", *, turned: bool
    ) -> Places:
        """Places of the rows to show, in order; of equals the earlier first.

        Parameters
        ----------
        state : str
            Only rows in this state; all of them if empty.
        found : ndarray of int, optional
            Only these rows.
        sort : str
            A key of `SORTS`.
        turned : bool
            True for the other end first. Rows that have no such figure stay last.
        """
        places = np.arange(len(self), dtype=np.intp) if found is None else np.sort(found)
        if state:
            places = places[self.figures.states[places] == PLACES[state]]
        if sort == "row":
            return places[::-1] if turned else places
        if sort == "state":
            keys = self.figures.states[places].astype(np.float64)
        elif sort == "builds":
            keys = -self.figures.builds[places]
        else:
            keys = self.figures.margins[places]
        return places[np.argsort(-keys if turned else keys, kind="stable")]
