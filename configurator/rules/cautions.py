"""What people have to mind: collected from constituents, process and pressures."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime

import numpy as np

from configurator.catalog.parts import Feed, wetted_codes
from configurator.chemistry.cautions import Caution, cautions
from configurator.chemistry.process_cautions import ProcessFacts
from configurator.chemistry.share import shares_of
from configurator.rules.case import Case
from configurator.rules.cure_trigger import minds_moisture
from configurator.rules.side import Side


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
        data_sheet_years=_whole_years(case.material.safety_data_sheet),
        light_cure=case.material.trigger == "light",
        heat_cure=case.material.trigger == "heat",
        dry_gas=any(_dry_gas(case, side) for side in sides),
        aluminium=_touches_aluminium(case),
        crush_pressure=min(crush, default=None),
    )
    shares = tuple(share for side in sides for share in shares_of(side.component))
    return cautions(shares, facts, case.subject.catalog.substances)


def _whole_years(day: date | None) -> float | None:
    """Years since a day, the part of a year left off; None if nobody states it."""
    return None if day is None else max((datetime.now(tz=UTC).date() - day).days, 0) // 365.25


def _dry_gas(case: Case, side: Side) -> bool:
    """Whether a feed is among the parts that keeps moisture out of a material that minds it."""
    feeds = case.frame.parts[side.slot("feed")]
    keeps = any(isinstance(feed, Feed) and feed.keeps_moisture_out for feed in feeds)
    return keeps and bool(minds_moisture(case, side))


def _touches_aluminium(case: Case) -> bool:
    """Whether a part among those in question is of aluminium, coated or not."""
    wetted = case.subject.catalog.substances.wetted
    codes = {
        code for parts in case.frame.parts.values() for p in parts for _, code in wetted_codes(p)
    }
    return any(code in wetted and "aluminium" in wetted[code].tags for code in codes)
