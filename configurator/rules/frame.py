"""Parts laid out as arrays, so that one rule judges a table of builds or a list of them alike.

In a *grid* each slot has an axis of its own and columns broadcast to every combination; in
*rows* all slots share one axis and each place along it is one build. Rules only broadcast, so
they never know which of the two they work on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.units.interval import End
from configurator.units.quantity import Quantity

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


class Frame:
    """Columns of part figures over a grid, or over rows of shape (builds, slots).

    Parts stand by slot, in the order of the axes; a row holds the place of each slot's part.
    """

    def __init__(
        self, parts: Mapping[str, Sequence[Part]], rows: NDArray[np.intp] | None = None
    ) -> None:
        self.parts = {slot: tuple(entries) for slot, entries in parts.items()}
        self.slots = tuple(self.parts)
        self._axis = {slot: axis for axis, slot in enumerate(self.slots)}
        self._rows = rows
        self._columns: dict[tuple[str, str, str], Floats] = {}
        self._figures: dict[tuple[str, str, str], Floats] = {}
        self._wider: tuple[Frame, Mapping[str, NDArray[np.intp]]] | None = None
        self._in_front: Mapping[str, NDArray[np.intp]] = {}

    @property
    def is_grid(self) -> bool:
        """True if each slot has an axis of its own."""
        return self._rows is None

    def has_axis(self, slot: str) -> bool:
        """True if the parts of a slot have an axis of their own."""
        return self._rows is None and slot not in self._in_front

    @property
    def ndim(self) -> int:
        """Number of axes of a full array."""
        return len(self.slots) if self._rows is None else 1

    def shape(self, scope: Sequence[str]) -> tuple[int, ...]:
        """Shape of an array that depends on the slots of `scope` alone."""
        if self._rows is not None:
            return (len(self._rows),)
        scope = [slot for slot in scope if slot not in self._in_front]
        return tuple(len(entries) if slot in scope else 1 for slot, entries in self.parts.items())

    def place(self, slot: str, values: NDArray[np.generic]) -> NDArray[np.generic]:
        """Lay one value a part along the slot's axis, or pick each build's."""
        if self._rows is not None:
            return values[self._rows[:, self._axis[slot]]]
        if slot in self._in_front:
            return values[self._in_front[slot]].reshape(-1, *(1,) * (self.ndim - 1))
        return values.reshape(self.shape((slot,)))

    def column(self, slot: str, field: str, end: End = "nominal") -> Floats:
        """A quantity of each part of a slot in SI; NaN where the part does not state it."""
        key = (slot, field, end)
        if key not in self._columns:
            self._columns[key] = self.place(slot, self.figures(slot, field, end))  # type: ignore[assignment]
        return self._columns[key]

    def figures(self, slot: str, field: str, end: End = "nominal") -> Floats:
        """The same as one value a part, in their order."""
        key = (slot, field, end)
        if key not in self._figures:
            if self._wider is None:
                values = [_figure(part, field, end) for part in self.parts[slot]]
                self._figures[key] = np.array(values, dtype=np.float64)
            else:
                wider, live = self._wider
                every = wider.figures(slot, field, end)
                self._figures[key] = every[live[slot]] if slot in live else every
        return self._figures[key]

    def numbers(self, slot: str, read: Callable[[Part], float]) -> Floats:
        """Any figure worked out from each part of a slot."""
        values = np.array([read(part) for part in self.parts[slot]], dtype=np.float64)
        return self.place(slot, values)  # type: ignore[return-value]

    def flags(self, slot: str, read: Callable[[Part], bool]) -> Flags:
        """A yes or no of each part of a slot."""
        values = np.array([read(part) for part in self.parts[slot]], dtype=np.bool_)
        return self.place(slot, values)  # type: ignore[return-value]

    def codes(self, slot: str, read: Callable[[Part], int]) -> NDArray[np.int8]:
        """A small whole number of each part of a slot, such as a state."""
        values = np.array([read(part) for part in self.parts[slot]], dtype=np.int8)
        return self.place(slot, values)  # type: ignore[return-value]

    def places(self, slot: str) -> NDArray[np.intp]:
        """The place of each part of a slot among its parts."""
        return self.place(slot, np.arange(len(self.parts[slot])))  # type: ignore[return-value]

    def only(self, live: Mapping[str, NDArray[np.intp]]) -> Frame:
        """The grid with the parts at the given places only."""
        fewer = Frame(
            {
                slot: tuple(entries[place] for place in live[slot]) if slot in live else entries
                for slot, entries in self.parts.items()
            }
        )
        # Reading a figure off hundreds of parts is dear, and they are the same parts.
        fewer._wider, fewer._in_front = (self, live), self._in_front
        return fewer

    def in_front(self, places: Mapping[str, NDArray[np.intp]]) -> Frame:
        """The grid with some slots laid along its first axis: by slot, the part of each place."""
        laid = Frame(self.parts)
        laid._wider, laid._in_front = (self, {}), places
        return laid

    def with_rows(self, rows: NDArray[np.intp]) -> Frame:
        """Some builds of the same parts, shape (builds, slots): the part of each slot."""
        builds = Frame(self.parts, rows)
        builds._wider = (self, {})
        return builds


def _figure(part: Part, field: str, end: str) -> float:
    value: object = part
    for name in field.split("."):
        value = getattr(value, name, None) if value is not None else None
    if isinstance(value, Quantity):
        return float(getattr(value, end))
    return np.nan
