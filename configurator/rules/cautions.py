"""What people have to mind: collected from constituents, process and pressures."""

from __future__ import annotations

import math

import numpy as np

from configurator.chemistry.cautions import Caution, cautions
from configurator.chemistry.hazards import ProcessFacts
from configurator.rules.case import Case
from configurator.rules.side import shares_of


def cautions_for(case: Case) -> tuple[Caution, ...]:
    """Cautions of a request, over all parts that it might be built from."""
    sides = case.sides
    crush = [
        side.component.filler.crush_pressure.low
        for side in sides
        if side.component.filler is not None and side.component.filler.crush_pressure is not None
    ]
    flash = [
        side.component.flash_point.low for side in sides if side.component.flash_point is not None
    ]
    fluid = case.subject.outlet_fluid
    reacting = case.material.two_part and case.duty.kind == "potting" and case.duty.shot
    mass = case.duty.shot.high * float(fluid.density) if case.duty.shot else math.nan
    rated = case.frame.column(sides[0].slot("size"), "pressure_max")
    facts = ProcessFacts(
        temperature=case.duty.temperature.high,
        flash_point=min(flash, default=None),
        pressure_max=float(np.nanmax(rated)) if rated.size else None,
        feed_pressure=case.duty.feed_pressure,
        reactive_mass=mass if reacting and not math.isnan(mass) else None,
        two_part=case.material.two_part,
        robot=case.process.carrier.payload is not None,
        light_cure=case.material.trigger == "light",
        crush_pressure=min(crush, default=None),
    )
    shares = tuple(share for side in sides for share in shares_of(side.component))
    return cautions(shares, facts, case.subject.catalog.substances)
