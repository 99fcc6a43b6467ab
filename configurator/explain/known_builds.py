"""Builds that were found on the way: rules that one of them passes are not solved for another."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from configurator.engine.arrays import IntArray
from configurator.explain.one_build import OneBuild
from configurator.physics.domain import PhysicsDomainError
from configurator.rules.evaluation import Live
from configurator.rules.frame import Frame
from configurator.rules.subject import Subject


class KnownBuilds:
    """Some builds of a request as it stands, whatever rules each of them breaks."""

    def __init__(self, frame: Frame, subject: Subject) -> None:
        self._frame = frame
        self._subject = subject
        self._builds: list[tuple[OneBuild, dict[str, int]]] = []

    def add(self, places: IntArray) -> None:
        """Keep a build by the places of its parts."""
        at = dict(zip(self._frame.slots, places.tolist(), strict=True))
        parts = {slot: self._frame.parts[slot][place] for slot, place in at.items()}
        self._builds.append((OneBuild(parts, self._subject), at))

    def pass_rules(self, numbers: Collection[int], start: Live) -> bool:
        """Whether one passes some judgements; by slot, in shape (1, parts), its parts may stand."""
        return any(
            _may_stand(at, start) and not any(build.breaks(number) for number in numbers)
            for build, at in self._builds
        )

    def stands_under(self, subject: Subject, start: Live) -> bool:
        """Whether the last one, if its parts may stand, passes all rules of a changed request."""
        if not self._builds:
            return False
        build, at = self._builds[-1]
        try:
            return _may_stand(at, start) and not build.under([subject])[0].is_out
        except PhysicsDomainError:
            return False


def _may_stand(at: Mapping[str, int], start: Live) -> bool:
    return all(start[slot][0, place] for slot, place in at.items())
