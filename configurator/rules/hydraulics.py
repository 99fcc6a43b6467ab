"""Everything that hangs on fluids, flows, mouth pressure, mix and parts alone.

Pressures and slip are dear to work out, and most of what a request states does not move them:
cases of requests that flow alike share one of these.
"""

from __future__ import annotations

from functools import cached_property
from typing import Self

from configurator.rules.frame import Frame
from configurator.rules.kept import Live
from configurator.rules.outlet_pressure import NoPressure, OutletPressure
from configurator.rules.rotation import Rotation
from configurator.rules.seal_lines import SealLines
from configurator.rules.subject import Subject


class Hydraulics:
    """Pressure, slip and speed of a request over a frame of parts.

    Parameters
    ----------
    subject : Subject
        What flows.
    frame : Frame
        The parts.
    seals : tuple of SealLines, optional
        One a side, where they are known from another request over the same frame.

    Attributes
    ----------
    outlet : OutletPressure
        Behind tip and mixer.
    seals : tuple of SealLines
        One a side.
    rotations : tuple of Rotation
        One a side.
    """

    def __init__(
        self, subject: Subject, frame: Frame, seals: tuple[SealLines, ...] | None = None
    ) -> None:
        self._subject = subject
        self._frame = frame
        self._prefixes = tuple(prefix for prefix, _ in subject.filled.material.components)
        practice = subject.catalog.practice
        self.seals = seals or tuple(SealLines(frame, prefix, practice) for prefix in self._prefixes)
        self.outlet = OutletPressure(subject, frame)
        self.rotations = self._rotations(self.outlet)

    def _rotations(self, outlet: OutletPressure) -> tuple[Rotation, ...]:
        subject = self._subject
        return tuple(
            Rotation(seals=seals, outlet=outlet, prefix=prefix, fluid=fluid, share=share)
            for seals, prefix, fluid, share in zip(
                self.seals, self._prefixes, subject.fluids, subject.shares, strict=True
            )
        )

    def under(self, subject: Subject) -> Self:
        """The same parts under another request: this itself where the two flow alike."""
        if subject.flows_like(self._subject):
            return self
        return type(self)(subject, self._frame, self.seals)

    def only(self, frame: Frame, live: Live) -> Self:
        """The same over fewer parts of a grid; nothing is worked out twice.

        Parameters
        ----------
        frame : Frame
            The fewer parts.
        live : Mapping
            By slot, their places among those of this.
        """
        fewer = type(self)(self._subject, frame)
        fewer.outlet.within(self.outlet, live)
        for mine, theirs in zip(fewer.seals, self.seals, strict=True):
            mine.within(theirs, live)
        for rotation, known in zip(fewer.rotations, self.rotations, strict=True):
            rotation.within(known, live)
        return fewer

    @cached_property
    def without_slip(self) -> Self:
        """The same with rotors that lose nothing: slip is never negative, so none turns slower.

        Only speeds of rotors differ, and they do not hang on mixer and tip any more.
        """
        least = type(self)(self._subject, self._frame, self.seals)
        least.outlet = self.outlet
        nothing = NoPressure(self._subject, self._frame, self.outlet)
        least.rotations = self._rotations(nothing)
        return least
