"""A material, a process and the parts that somebody has fixed or excluded."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from configurator.request.material import Material
from configurator.request.process import Process


@dataclass(frozen=True)
class Request:
    """One question.

    Attributes
    ----------
    material : Material
        What is dispensed.
    process : Process
        What for.
    picks : Mapping[str, str]
        Part fixed by slot, as `{"size": "h3"}` or `{"a.stator": "fkm"}`.
    without : Mapping[str, frozenset[str]]
        Parts excluded, by slot.
    """

    material: Material
    process: Process
    picks: Mapping[str, str] = field(default_factory=dict)
    without: Mapping[str, frozenset[str]] = field(default_factory=dict)
