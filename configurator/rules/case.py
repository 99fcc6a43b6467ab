"""One request against one frame of parts: what all rules look at."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

from configurator.catalog.catalog import Practice
from configurator.catalog.parts import SIDE_SLOTS
from configurator.engine.arrays import IntArray
from configurator.rules.comparison import Bound
from configurator.rules.frame import Floats, Frame
from configurator.rules.hydraulics import Hydraulics
from configurator.rules.kept import Live
from configurator.rules.mixer import Mixer
from configurator.rules.outlet_pressure import OutletPressure
from configurator.rules.side import Side
from configurator.rules.subject import Subject
from configurator.units.interval import End


class Case:
    """A subject and a frame, with everything that several rules need worked out once.

    The hydraulics are those of another request that flows alike, where there is one. In front, behind
    pairs of mixer and tip: the case over the same parts with the requests in front, and the request of
    each pair.
    """

    def __init__(
        self,
        subject: Subject,
        frame: Frame,
        hydraulics: Hydraulics | None = None,
        in_front: tuple[Case, IntArray] | None = None,
    ) -> None:
        self._in_front = in_front
        self._known: dict[tuple[Callable[[Case, Side], Bound], str], Bound] = {}
        self.subject = subject
        self.frame = frame
        self.hydraulics = hydraulics or Hydraulics(subject, frame)
        self.duty = subject.duty
        self.process = subject.question.process
        self.material = subject.filled.material
        self.practice: Practice = subject.catalog.practice

    def under(self, subject: Subject) -> Case:
        """The same parts under another request; what it does not move is not worked out again."""
        return Case(subject, self.frame, self.hydraulics.under(subject))

    def only(self, live: Live) -> Case:
        """The case over some parts of a grid; pressures and slip that are known are kept."""
        frame = self.frame.only(live)
        return Case(self.subject, frame, self.hydraulics.only(frame, live))

    def of_requests(self, work: Callable[[Case, Side], Bound], side: Side) -> Bound:
        """What hangs on neither mixer nor tip, kept for other rules: as in the requests of pairs.

        Parameters
        ----------
        work : callable
            Works it out for a case and one of its sides.
        side : Side
            Of this case.
        """
        if self._in_front is not None:
            requests, rows = self._in_front
            return requests.of_requests(work, requests.side(side.prefix)).cut({0: rows})
        key = work, side.prefix
        if key not in self._known:
            self._known[key] = work(self, side)
        return self._known[key]

    @property
    def without_slip(self) -> Case:
        """The case if nothing slipped, for rules whose demand grows with slip."""
        return Case(self.subject, self.frame, self.hydraulics.without_slip)

    @property
    def outlet(self) -> OutletPressure:
        """Pressure behind tip and mixer."""
        return self.hydraulics.outlet

    @property
    def mixer(self) -> Mixer:
        """The mixing slot of a two-part material."""
        return self.hydraulics.outlet.mixer

    @cached_property
    def sides(self) -> tuple[Side, ...]:
        """One metering side for a one-part material, two for a two-part one."""
        return tuple(
            Side(
                subject=self.subject,
                frame=self.frame,
                prefix=prefix,
                component=component,
                fluid=fluid,
                share=share,
                rotation=rotation,
            )
            for (prefix, component), fluid, share, rotation in zip(
                self.material.components,
                self.subject.fluids,
                self.subject.shares,
                self.hydraulics.rotations,
                strict=True,
            )
        )

    def side(self, prefix: str) -> Side:
        """The metering side with a prefix: empty, `a.` or `b.`."""
        return next(each for each in self.sides if each.prefix == prefix)

    @cached_property
    def prefixes(self) -> tuple[str, ...]:
        """Slot prefixes of the sides: one empty, or `a.` and `b.`."""
        return tuple(prefix for prefix, _ in self.material.components)

    @property
    def caution(self) -> float:
        """Share of a limit that the shop leaves. [-]"""
        return self.practice.caution_margin.nominal

    def column(self, slot: str, field: str, end: End = "nominal") -> Floats:
        """A figure of a shared slot's parts, in SI."""
        return self.frame.column(slot, field, end)


def slots_of(*, two_part: bool) -> tuple[str, ...]:
    """Slots of a build in the order in which it is named."""
    if not two_part:
        return (*SIDE_SLOTS[:-1], "mixing", "outlet", SIDE_SLOTS[-1])
    sides = tuple(f"{side}.{slot}" for side in ("a", "b") for slot in SIDE_SLOTS)
    return (*sides, "mixing", "outlet")
