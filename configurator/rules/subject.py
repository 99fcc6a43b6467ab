"""What is asked, worked out as far as no part comes into it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from configurator.catalog.catalog import Catalog
from configurator.chemistry.contact import Contact
from configurator.chemistry.evidence import Evidence
from configurator.request.intake import Filled
from configurator.request.question import Question
from configurator.rules.duty import Duty
from configurator.rules.fluid import Fluid


@dataclass(frozen=True)
class Subject:
    """What is asked, worked out once: it does not depend on any part."""

    question: Question
    """As asked."""
    filled: Filled
    """The material with bounded estimates in its gaps."""
    catalog: Catalog
    """What can be built from."""
    duty: Duty
    """The process as numbers."""
    fluids: tuple[Fluid, ...]
    """One a side, as metered."""
    shares: tuple[float, ...]
    """Volume share of the flow that each side meters; arrays for many requests at once."""
    outlet_fluid: Fluid
    """What leaves the tip."""
    evidence: Evidence = field(default_factory=Evidence)
    """What the shop has measured."""
    contacts: dict[tuple[str, str, str], Contact] = field(default_factory=dict)
    """Judged contacts by side prefix, material code and compound: worked out when first asked."""

    def flows_like(self, other: Subject) -> bool:
        """Whether two requests have the same fluids, flows, mix and pressure at the mouth."""
        return self is other or (
            self.catalog is other.catalog
            and self.shares == other.shares
            and self.duty.flow == other.duty.flow
            and self.duty.back_pressure == other.duty.back_pressure
            and self._pot_life == other._pot_life
            and all(map(_alike, self.fluids, other.fluids))
            and _alike(self.outlet_fluid, other.outlet_fluid)
        )

    @property
    def _pot_life(self) -> object:
        """What thickens the mix on its way out."""
        mix = self.filled.material.mix
        if mix is None:
            return None
        pot_life = mix.pot_life
        return pot_life.value.low, pot_life.at.nominal, self.duty.temperature.high


def _alike(first: Fluid, second: Fluid) -> bool:
    if first is second:
        return True
    density = first.density == second.density
    unknown = math.isnan(first.density) and math.isnan(second.density)
    return (
        (density or unknown)
        and first.curves == second.curves
        and first.highest_rate == second.highest_rate
        and first.estimated == second.estimated
        and (first.thin_words, first.thick_words) == (second.thin_words, second.thick_words)
    )
