"""What is asked, worked out as far as no part comes into it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from pydantic import BaseModel

from configurator.catalog.catalog import Catalog
from configurator.chemistry.contact import Contact
from configurator.chemistry.evidence import Evidence
from configurator.chemistry.share import shares_of
from configurator.chemistry.trigger import implied_triggers
from configurator.request.intake import Filled
from configurator.request.question import Question
from configurator.rules.cure import Cure
from configurator.rules.duty import Duty
from configurator.rules.fluid import Fluid
from configurator.rules.frame import Flags
from configurator.rules.mixed import VolumeShare


@dataclass(frozen=True)
class Subject:
    """What is asked, worked out once: it does not depend on any part."""

    question: Question
    filled: Filled
    """The material with bounded estimates in its gaps."""
    catalog: Catalog
    duty: Duty
    fluids: tuple[Fluid, ...]
    """One a side, as metered."""
    shares: tuple[VolumeShare, ...]
    """Of the flow that each side meters."""
    outlet_fluid: Fluid
    """What leaves the tip."""
    cure: Cure | None = None
    """How fast that thickens; None for a material of one part."""
    evidence: Evidence = field(default_factory=Evidence)
    contacts: dict[tuple[str, str, str, str], Contact] = field(default_factory=dict)
    """Judged contacts by side prefix, material code and compound: worked out when first asked."""

    anaerobic_rows: bool | Flags | None = None
    """Which of many requests are for an anaerobic material; None for one request."""

    @property
    def anaerobic(self) -> bool | Flags:
        """Whether it cures where air is kept out, as stated or by its constituents."""
        if self.anaerobic_rows is not None:
            return self.anaerobic_rows
        material = self.filled.material
        return any(
            "anaerobic"
            in implied_triggers(material.trigger, shares_of(component), self.catalog.substances)
            for _, component in material.components
        )

    def filled_at(self, path: str) -> tuple[BaseModel, str]:
        """The process, or the material with its gaps filled, and a path below it."""
        inner = path.removeprefix("process.")
        return (self.filled.material if inner == path else self.question.process), inner

    def flows_like(self, other: Subject) -> bool:
        """Whether two requests have the same fluids, flows, cure and pressure at the mouth."""
        return self is other or (
            self.catalog is other.catalog
            and self.shares == other.shares
            and self.duty.flow == other.duty.flow
            and self.duty.back_pressure == other.duty.back_pressure
            and self.cure == other.cure
            and (self.cure is None or self.duty.rhythm == other.duty.rhythm)
            and all(map(_alike, self.fluids, other.fluids))
            and _alike(self.outlet_fluid, other.outlet_fluid)
        )


def _alike(first: Fluid, second: Fluid) -> bool:
    if first is second:
        return True
    density = first.density_ends == second.density_ends and first.density == second.density
    unknown = math.isnan(first.density) and math.isnan(second.density)
    return (
        (density or unknown)
        and first.curves == second.curves
        and first.corners == second.corners
        and (first.warm, first.cold) == (second.warm, second.cold)
        and (first.lowest_rate, first.highest_rate) == (second.lowest_rate, second.highest_rate)
        and first.estimated == second.estimated
        and (first.thin_words, first.thick_words) == (second.thin_words, second.thick_words)
    )
