"""One metering side: a component, its share of the flow, and the parts of its slots."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.catalog.parts import SHARED_SLOTS
from configurator.chemistry.contact import Contact, judge_contact
from configurator.chemistry.place import Place
from configurator.chemistry.share import MassFraction, shares_of
from configurator.request.estimates import mineral_of
from configurator.request.material import Component, Material
from configurator.rules.fluid import Fluid
from configurator.rules.frame import Floats, Frame
from configurator.rules.mixed import VolumeShare
from configurator.rules.rotation import Rotation
from configurator.rules.subject import Subject
from configurator.units.interval import End


@dataclass(frozen=True, eq=False)
class Side:
    """A component, the share of the flow that it takes, and the parts of its slots."""

    subject: Subject
    frame: Frame
    """The request, and the parts of all slots."""
    prefix: str
    """Empty for a one-part material, else `a.` or `b.`."""
    component: Component
    """What is metered, with its gaps filled."""
    fluid: Fluid
    """Its flow at the ends of the range."""
    share: VolumeShare
    """Its volume share of the whole flow."""
    rotation: Rotation
    """Its rotors at work."""

    def slot(self, name: str) -> str:
        """The build's slot for this side."""
        return name if name in SHARED_SLOTS else self.prefix + name

    def column(self, slot: str, field: str, end: End = "nominal") -> Floats:
        """A figure of this side's parts, in SI."""
        return self.frame.column(self.slot(slot), field, end)

    @property
    def product(self) -> str:
        """What the shop's findings call this component as a whole."""
        return product_name(self.subject.question.material, self.prefix)

    def contact(self, code: str, part: str = "", place: Place = "still seal") -> Contact:
        """How a wetted material stands this component; judged once for each code and compound.

        Findings that name a compound speak for the part of that name alone. A stator stands less
        swelling than a still seal.
        """
        subject = self.subject
        compound = part if subject.evidence.names_compounds(code) else ""
        key = (self.prefix, code, compound, place)
        if key not in subject.contacts:
            subject.contacts[key] = judge_contact(
                code,
                shares_of(self.component),
                temperature=subject.duty.temperature.high,
                substances=subject.catalog.substances,
                evidence=subject.evidence,
                product=self.product,
                grade_name=compound,
                place=place,
            )
        return subject.contacts[key]


def product_name(material: Material, prefix: str) -> str:
    """What the shop's findings call a component as a whole.

    The material's name; for a two-part material with ` a` or ` b` behind it, since a soak in one
    component says nothing of the other.
    """
    return f"{material.name} {prefix.rstrip('.')}".rstrip()


def filler_share(component: Component) -> MassFraction | None:
    """The filler as a constituent, by mass, where its content and density are known."""
    filler, density = component.filler, component.density
    if filler is None or density is None or filler.volume_fraction is None:
        return None
    mineral = mineral_of(filler)
    if mineral is None or mineral.density is None:
        return None
    low = filler.volume_fraction.low * mineral.density.low / density.high
    high = filler.volume_fraction.high * mineral.density.high / density.low
    return MassFraction(filler.name, min(low, 1.0), min(high, 1.0))
