"""Figures over a frame: worked out once, and cut to fewer parts instead of worked out anew."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Generic, Self, TypeVar, cast, overload

import numpy as np
from numpy.typing import NDArray

from configurator.rules.comparison import Bound, cut
from configurator.rules.frame import Frame

Live = Mapping[str, NDArray[np.intp]]
"""By slot, places among the parts of a frame."""

Value = TypeVar("Value")
Owner = TypeVar("Owner", bound="OverFrame")


class OverFrame:
    """Something with figures over a frame."""

    def __init__(self, frame: Frame) -> None:
        self.frame = frame
        self._figures: dict[str, object] = {}
        self._wider: OverFrame | None = None
        self._kept: dict[int, NDArray[np.intp]] = {}

    def within(self, wider: Self, live: Live) -> Self:
        """Take figures from a grid of more parts, among which these stand by slot."""
        self._wider = wider
        slots = wider.frame.slots
        self._kept = {axis: live[slot] for axis, slot in enumerate(slots) if slot in live}
        return self

    def known(self, name: str) -> object:
        """A figure by its name, None if it has not been worked out here or over more parts."""
        if name not in self._figures and self._wider is not None:
            wide = self._wider.known(name)
            if wide is not None:
                self._figures[name] = self._cut(wide)
        return self._figures.get(name)

    @property
    def is_cut(self) -> bool:
        """True if the same is there over more parts."""
        return self._wider is not None

    def over_all(self, name: str) -> object:
        """A figure as it is over more parts, cut to these."""
        return self._cut(getattr(self._wider, name))

    def worked_out(self, name: str, value: Value) -> Value:
        """Keep a figure."""
        self._figures[name] = value
        return value

    def _cut(self, value: object) -> object:
        if isinstance(value, Bound):
            return value.cut(self._kept)
        assert isinstance(value, np.ndarray)  # a figure is one or the other
        # Ends such as thin and thick lie on axes in front of those of the slots.
        front = max(value.ndim - self.frame.ndim, 0)
        return cut(value, {front + axis: places for axis, places in self._kept.items()})


class figure(Generic[Owner, Value]):  # noqa: N801 - a decorator, as `property`
    """A property that is worked out once and outlives a cut to fewer parts.

    It is an array whose last axes are those of the frame, or a `Bound`.
    """

    def __init__(self, work: Callable[[Owner], Value]) -> None:
        self._work = work
        self.__doc__ = work.__doc__

    @overload
    def __get__(self, owner: None, kind: type[Any]) -> Self: ...

    @overload
    def __get__(self, owner: Owner, kind: type[Any]) -> Value: ...

    def __get__(self, owner: Owner | None, kind: type[Any]) -> Self | Value:
        if owner is None:
            return self
        known = owner.known(self.name)
        if known is None:
            return owner.worked_out(self.name, self.work(owner))
        return cast("Value", known)

    @property
    def name(self) -> str:
        """Under which it is kept."""
        return self._work.__name__

    def work(self, owner: Owner) -> Value:
        """Work it out."""
        return self._work(owner)


class wide_figure(figure[Owner, Value]):  # noqa: N801 - a decorator, as `property`
    """A figure so cheap that it is worked out once over all parts, and always cut from there."""

    def work(self, owner: Owner) -> Value:
        """Work it out over the most parts that are known, and cut it to these."""
        return cast("Value", owner.over_all(self.name)) if owner.is_cut else super().work(owner)
