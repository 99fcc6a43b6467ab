"""One metering side at work: slip, speed, torque and filling over a frame of parts."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import SHARED_SLOTS, Stator
from configurator.chemistry.contact import Contact, judge_contact
from configurator.chemistry.share import Share
from configurator.physics.cavity import rubbing_speed_max
from configurator.physics.domain import Floats as FloatsOrOne
from configurator.physics.rheology import FlowCurve
from configurator.physics.slip import slit_leakage
from configurator.physics.slip_calibration import (
    gap_from_rated_point,
    leakage_of_efficiency,
    opening_from_rated_point,
    opening_gap,
)
from configurator.request.estimates import mineral_of
from configurator.request.material import Component, Material
from configurator.rules.comparison import Bound
from configurator.rules.fluid import Fluid

if TYPE_CHECKING:
    from configurator.rules.case import Case

Floats = NDArray[np.float64]


class SlipEnds(NamedTuple):
    """Slip before its own uncertainty; each shape (3, ...): thin, nominal, thick. [m^3/s]"""

    low: Floats
    high: Floats


class Side:
    """A component, the share of the flow that it takes, and the parts of its slots.

    Parameters
    ----------
    case : Case
        The case it belongs to.
    prefix : str
        Empty for a one-part material, else `a.` or `b.`.
    component : Component
        What is metered, with its gaps filled.
    fluid : Fluid
        Its flow at the ends of the range.
    share : float
        Its volume share of the whole flow. [-]
    """

    def __init__(
        self, *, case: Case, prefix: str, component: Component, fluid: Fluid, share: float
    ) -> None:
        self.case = case
        self.prefix = prefix
        self.component = component
        self.fluid = fluid
        self.share = share
        self.flow_high = case.duty.flow.high * share
        self.flow_low = case.duty.flow.low * share

    def slot(self, name: str) -> str:
        """The build's slot for this side."""
        return name if name in SHARED_SLOTS else self.prefix + name

    def column(self, slot: str, field: str) -> Floats:
        """A figure of this side's parts, in SI."""
        return self.case.frame.column(self.slot(slot), field)

    @property
    def product(self) -> str:
        """What the shop's findings call this component as a whole."""
        return product_name(self.case.subject.request.material, self.prefix)

    def contact(self, code: str, part: str = "") -> Contact:
        """How a wetted material stands this component; judged once for each code and compound.

        Parameters
        ----------
        code : str
            Code of the wetted material.
        part : str
            Name of the part that is made of it: findings that name a compound speak for the
            part of that name alone.
        """
        subject = self.case.subject
        compound = part if subject.evidence.names_compounds(code) else ""
        key = (self.prefix, code, compound)
        if key not in subject.contacts:
            subject.contacts[key] = judge_contact(
                code,
                shares_of(self.component),
                temperature=self.case.duty.temperature.high,
                substances=subject.catalog.substances,
                evidence=subject.evidence,
                product=self.product,
                grade_name=compound,
            )
        return subject.contacts[key]

    @cached_property
    def rigid(self) -> NDArray[np.bool_]:
        """True for stators that seal with a clearance instead of interference."""
        return self.case.frame.flags(
            self.slot("stator"), lambda part: isinstance(part, Stator) and part.kind == "rigid"
        )

    @cached_property
    def turns(self) -> Floats:
        """Rotor speed at the highest flow without slip. [1/s]"""
        return self.flow_high / self.column("cavity", "displacement")

    def rubbing_speed(self, speed: Floats) -> Floats:
        """Highest speed between rotor and stator. [m/s]"""
        return np.asarray(
            rubbing_speed_max(
                eccentricity=self.column("cavity", "eccentricity"),
                rotor_diameter=self.column("cavity", "rotor_diameter"),
                speed=speed,
            )
        )

    @cached_property
    def _clearance(self) -> Floats:
        """Gap of a rigid stator, from its rated point. [m]"""
        return np.asarray(
            gap_from_rated_point(
                viscosity=self.column("cavity", "rated_rigid.viscosity"),
                density=self.column("cavity", "rated_rigid.density"),
                width=self.column("cavity", "seal_width"),
                land_length=self.column("cavity", "seal_land"),
                pressure_per_stage=self._rated_stage_pressure("rated_rigid"),
                leakage=self._rated_leakage("rated_rigid"),
            )
        )

    @cached_property
    def _compliance(self) -> Floats:
        """Opening per pressure of an elastomer stator, from its rated point. [m/Pa]"""
        return np.asarray(
            opening_from_rated_point(
                viscosity=self.column("cavity", "rated_elastomer.viscosity"),
                density=self.column("cavity", "rated_elastomer.density"),
                width=self.column("cavity", "seal_width"),
                land_length=self.column("cavity", "seal_land"),
                pressure_per_stage=self._rated_stage_pressure("rated_elastomer"),
                opening_pressure=self.column("cavity", "opening_pressure"),
                leakage=self._rated_leakage("rated_elastomer"),
            )
        )

    def _rated_stage_pressure(self, point: str) -> Floats:
        return self.column("cavity", f"{point}.pressure") / self.column("cavity", "stages")

    def _rated_leakage(self, point: str) -> Floats:
        return np.asarray(
            leakage_of_efficiency(
                displacement=self.column("cavity", "displacement"),
                speed=self.column("cavity", f"{point}.speed"),
                volumetric_efficiency=self.column("cavity", f"{point}.efficiency"),
            )
        )

    def slip(self, back_pressure: Floats, flow: float) -> SlipEnds:
        """Slip of this side against a back pressure, by the flow model alone.

        Parameters
        ----------
        back_pressure : ndarray
            Shape (3, ...): with thin, nominal and thick material. [Pa]
        flow : float
            Flow of this side. [m^3/s]
        """
        per_stage = back_pressure / self.column("cavity", "stages")
        sliding = self.rubbing_speed(flow / self.column("cavity", "displacement"))
        lows, highs = [], []
        for curve, pressure in zip(self.fluid.curves, per_stage, strict=True):
            gap = opening_gap(
                compliance=self._compliance,
                opening_pressure=self.column("cavity", "opening_pressure"),
                pressure_per_stage=pressure,
            )
            low, high = self._leakage(curve, gap, pressure, sliding)
            if np.any(self.rigid):
                stiff_low, stiff_high = self._leakage(curve, self._clearance, pressure, sliding)
                low = np.where(self.rigid, stiff_low, low)
                high = np.where(self.rigid, stiff_high, high)
            lows.append(low)
            highs.append(high)
        return SlipEnds(np.stack(lows), np.stack(highs))

    def _leakage(
        self, curve: FlowCurve, gap: FloatsOrOne, pressure: Floats, sliding: Floats
    ) -> tuple[Floats, Floats]:
        """Leakage of a curve through a gap: low and high bound of the flow model. [m^3/s]"""
        leakage = slit_leakage(
            curve=curve,
            density=self.fluid.density,
            width=self.column("cavity", "seal_width"),
            gap=gap,
            land_length=self.column("cavity", "seal_land"),
            pressure_per_stage=pressure,
            sliding_speed=sliding,
        )
        return np.asarray(leakage.low), np.asarray(leakage.high)

    @cached_property
    def slip_fast(self) -> SlipEnds:
        """Slip at the highest flow."""
        return self.slip(self.case.back_pressure_fast, self.flow_high)

    @cached_property
    def slip_slow(self) -> SlipEnds:
        """Slip at the lowest flow."""
        if self.flow_low == self.flow_high:
            return self.slip_fast
        return self.slip(self.case.back_pressure_slow, self.flow_low)

    @cached_property
    def slip_factor(self) -> Floats:
        """How far slip may be off either way: less if the head was tested on its own material."""
        practice = self.case.practice
        factors = {
            "own material": practice.slip_factor_own.nominal,
            "water": practice.slip_factor_other.nominal,
            "oil": practice.slip_factor_other.nominal,
        }

        def of(rating: str) -> Floats:
            def read(part: object) -> float:
                fluid = getattr(getattr(part, rating, None), "fluid", None)
                return factors.get(str(fluid), practice.slip_factor_untested.nominal)

            return self.case.frame.numbers(self.slot("cavity"), read)

        return np.where(self.rigid, of("rated_rigid"), of("rated_elastomer"))

    @cached_property
    def speed(self) -> Bound:
        """Rotor speed that delivers the highest flow. [1/s]

        The hard end has the worst slip times its uncertainty; the nominal end has it divided,
        so that slip alone rules a head out only where even its kindest value does.
        """
        displacement = self.column("cavity", "displacement")
        worst = self.slip_fast.high.max(axis=0) * self.slip_factor
        least = self.slip_fast.low / self.slip_factor
        return Bound(
            kind=(self.flow_high + least.min(axis=0)) / displacement,
            nominal=(self.flow_high + least[1]) / displacement,
            hard=(self.flow_high + worst) / displacement,
            corner=f"{self.fluid.thin_words} or thick, most slip, highest flow",
            estimated=self.fluid.estimated,
        )

    @cached_property
    def slip_error(self) -> Bound:
        """Share of the flow by which slip moves it over the stated range. [-]

        The head is set on the scale at nominal conditions, so that only the change of slip
        between the ends counts, at whichever flow it weighs most.
        """
        kind, hard = [], []
        for slip, flow in ((self.slip_fast, self.flow_high), (self.slip_slow, self.flow_low)):
            # Each model bound against itself: what the model does not know, the scale does.
            spreads = np.stack([np.ptp(bound, axis=0) for bound in slip])
            kind.append(spreads.min(axis=0) / self.slip_factor / flow)
            hard.append(spreads.max(axis=0) * self.slip_factor / flow)
        mildest = np.maximum(*kind)
        return Bound(
            kind=mildest,
            nominal=mildest,
            hard=np.maximum(*hard),
            corner="thin to thick, most slip",
            estimated=self.fluid.estimated,
        )


def product_name(material: Material, prefix: str) -> str:
    """What the shop's findings call a component as a whole.

    The material's name; for a two-part material with ` a` or ` b` behind it, since a soak in one
    component says nothing of the other.
    """
    return f"{material.name} {prefix.rstrip('.')}".rstrip()


def shares_of(component: Component) -> tuple[Share, ...]:
    """Constituents of a component as chemistry takes them."""
    return tuple(
        Share(entry.name)
        if entry.mass_fraction is None
        else Share(entry.name, entry.mass_fraction.low, entry.mass_fraction.high)
        for entry in component.constituents
    )


def filler_share(component: Component) -> Share | None:
    """The filler as a constituent, by mass, where its content and density are known."""
    filler, density = component.filler, component.density
    if filler is None or density is None or filler.volume_fraction is None:
        return None
    mineral = mineral_of(filler)
    if mineral is None or mineral.density is None:
        return None
    low = filler.volume_fraction.low * mineral.density.low / density.high
    high = filler.volume_fraction.high * mineral.density.high / density.low
    return Share(filler.name, min(low, 1.0), min(high, 1.0))
