"""Everything that hangs on fluids, flows, mouth pressure, mix and parts alone.

Pressures and slip are dear to work out, and most of what a request states does not move them:
cases of requests that flow alike share one of these.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Self

import numpy as np

from configurator.engine.arrays import IntArray, distinct
from configurator.rules.frame import Frame
from configurator.rules.kept import Live
from configurator.rules.mouths import Mouths
from configurator.rules.outlet_pressure import NoPressure, OutletPressure
from configurator.rules.rotation import Rotation
from configurator.rules.seal_lines import SealLines
from configurator.rules.subject import Subject


class Hydraulics:
    """Pressure, slip and speed of a request over a frame of parts.

    Seal lines, one a side, may be those of another request over the same frame. Rotations are one a
    side as well.
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

    def only(self, frame: Frame, live: Live, subject: Subject | None = None) -> Self:
        """The same over fewer parts of a grid, by slot; nothing is worked out twice.

        The subject holds the requests that are left, where some of those in front are not.
        """
        fewer = type(self)(subject or self._subject, frame)
        fewer.outlet.within(self.outlet, live)
        for mine, theirs in zip(fewer.seals, self.seals, strict=True):
            mine.within(theirs, live)
        for rotation, known in zip(fewer.rotations, self.rotations, strict=True):
            rotation.within(known, live)
        return fewer

    def behind(self, subject: Subject, frame: Frame, mouths: Mouths) -> Self:
        """The same behind each pair of mixer and tip, which subject and frame have in front."""
        pairs = type(self)(subject, frame, self.seals)
        slots = self._frame.slots[1:]
        for name in ("fast", "slip_fast", "slip_slow"):
            pairs.outlet.worked_out(name, mouths.of_ends(getattr(self.outlet, name), slots))
        return pairs

    def sealing_alike(self, slot: str) -> IntArray:
        """For each part of a slot, the first one with which a cavity seals in the same way."""
        for seals in self.seals:
            if slot == seals.stator:
                rigid = seals.rigid.reshape(-1)
                return np.asarray(rigid.argmax() * rigid + (~rigid).argmax() * ~rigid)
        return np.arange(len(self._frame.parts[slot]))

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


@dataclass(frozen=True, eq=False)
class SpeedsBehind:
    """Speed and slip behind pairs of mixer and tip, from which those of fewer parts are cut."""

    hydraulics: Hydraulics
    """Over all cavities in question, and one stator of each way of sealing."""
    frame: Frame
    """These parts."""
    place: Mapping[str, IntArray]
    """By slot, where each kind stands in it."""

    @classmethod
    def of(cls, hydraulics: Hydraulics, frame: Frame, live: Live) -> SpeedsBehind:
        """Work them out in one search, behind all pairs over the kinds in question."""
        alike = {slot: hydraulics.sealing_alike(slot) for slot in live}
        kept = {slot: distinct(alike[slot][places]) for slot, places in live.items()}
        fewer = frame.only(kept)
        base = hydraulics.only(fewer, kept)
        for rotation in base.rotations:
            _ = rotation.speed, rotation.slip_error
            _ = rotation.slip_at_one_flow, rotation.slip_unset
        return cls(base, fewer, {s: np.searchsorted(kept[s], alike[s]) for s in live})

    def behind_some(self, subject: Subject, mouths: Mouths, which: IntArray) -> SpeedsBehind:
        """The same behind some of the pairs, by their places among all."""
        frame = self.frame.in_front(mouths.kinds)
        fewer = self.hydraulics.only(frame, {frame.slots[0]: which}, subject)
        return SpeedsBehind(fewer, frame, self.place)

    def only(self, frame: Frame, live: Live) -> Hydraulics:
        """Cut to some kinds of parts, by their places among all."""
        return self.hydraulics.only(frame, {slot: self.place[slot][live[slot]] for slot in live})
