"""A catalog in which measured heads stand for themselves: figures of a trial in place of a guess."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Cavity, Part, RatedPoint
from configurator.physics.cavity import rubbing_speed_max
from configurator.physics.slip import INERTIAL_LOSS, slit_leakage
from configurator.request.intake import fill_gaps
from configurator.request.material import Component, Material
from configurator.rules.fluid import fluid_of
from configurator.trial.record import HeadRecord
from configurator.trial.verdict import REJECT
from configurator.units.display import quantity_from
from configurator.units.interval import Basis, Interval
from configurator.units.kinds import DENSITY, DISPLACEMENT, FRACTION, PRESSURE, ROTATION, VISCOSITY


def with_records(catalog: Catalog, records: Sequence[HeadRecord], material: Material) -> Catalog:
    """Return the catalog with the figures of cavities that were measured on a material.

    Parameters
    ----------
    catalog : Catalog
        As read.
    records : sequence of HeadRecord
        Of a shop; those on other materials and of rejected heads are passed over, and of
        several on one cavity and kind of stator the last one counts.
    material : Material
        As asked.

    Returns
    -------
    Catalog
        The same one if no record applies; else one with another digest.

    Notes
    -----
    A record speaks for its cavity with every stator of the same kind, since a catalog states
    displacement and slip by cavity. The slip is turned into a rated point on this material:
    the viscosity of that point is the one with which a Newtonian slit of the fitted gap loses
    what was measured, so that the model gives the measured slip back.
    """
    sides = {prefix.rstrip("."): part for prefix, part in fill_gaps(material).material.components}
    latest = {
        (record.cavity, record.rigid): record
        for record in records
        if record.material == material.name and record.verdict != REJECT and record.side in sides
    }
    cavities: list[Part] = []
    used: list[HeadRecord] = []
    for part in catalog.slot("cavity"):
        assert isinstance(part, Cavity)
        measured = part
        for rigid in (False, True):
            record = latest.get((part.name, rigid))
            if record is not None and not (rigid and part.rated_rigid is None):
                measured = _measured(measured, record, sides[record.side])
                used.append(record)
        cavities.append(measured)
    if not used:
        return catalog
    lines = "\n".join(record.line for record in used)
    return replace(
        catalog,
        parts={**catalog.parts, "cavity": tuple(cavities)},
        sha256=hashlib.sha256(f"{catalog.sha256}\n{lines}".encode()).hexdigest(),
        where=f"{catalog.where} with {len(used)} measured",
    )


def _measured(cavity: Cavity, record: HeadRecord, component: Component) -> Cavity:
    says = f"trial {record.trial} on {record.material} with stator {record.stator}"
    half = record.displacement_half_ml
    displacement = Interval(
        (record.displacement_ml - half) * 1e-6,
        record.displacement_ml * 1e-6,
        (record.displacement_ml + half) * 1e-6,
    )
    changes: dict[str, Any] = {
        "displacement": quantity_from(displacement, DISPLACEMENT, Basis.MEASURED, says),
        "note": f"{cavity.note} Measured in {says}.".strip()[:400],
    }
    per_stage = record.pressure_bar * 1e5 / cavity.stages.nominal
    opening = cavity.opening_pressure.nominal
    if not record.rigid and record.slip_shows:
        # Slip that follows the pressure from zero on opens at once: a hundredth stands for it.
        stated = (
            per_stage * 0.01
            if record.opening_bar is None
            else (record.opening_bar * 1e5 / cavity.stages.nominal)
        )
        opening = min(stated, per_stage * 0.99)
        changes["opening_pressure"] = quantity_from(
            Interval.exact(opening), PRESSURE, Basis.MEASURED, says
        )
    if record.slip_ml_min > 0.0 and (record.rigid or per_stage > opening):
        point = _rated_point(cavity, record, component, says)
        if point is not None:
            changes["rated_rigid" if record.rigid else "rated_elastomer"] = point
    return cavity.model_copy(update=changes)


def _rated_point(
    cavity: Cavity, record: HeadRecord, component: Component, says: str
) -> RatedPoint | None:
    """The measured slip as a delivery on a fluid of the catalog's kind; None out of its reach."""
    lost = record.slip_ml_min / 6e7
    speed = record.speed_rpm / 60.0
    moved = record.displacement_ml * 1e-6 * speed
    density = 1000.0 if component.density is None else component.density.nominal
    per_stage = record.pressure_bar * 1e5 / cavity.stages.nominal
    fluid = fluid_of(component, Interval.exact(record.temperature_c + 273.15))
    width, land = cavity.seal_width.nominal, cavity.seal_land.nominal
    sliding = rubbing_speed_max(
        eccentricity=cavity.eccentricity.nominal,
        rotor_diameter=cavity.rotor_diameter.nominal,
        speed=speed,
    )
    gaps = np.geomspace(1e-8, 2e-3, 1200)
    bounds = slit_leakage(
        curve=fluid.nominal,
        density=density,
        width=width,
        gap=gaps,
        land_length=land,
        pressure_per_stage=per_stage,
        sliding_speed=sliding,
    )
    leakage = (np.asarray(bounds.low) + np.asarray(bounds.high)) / 2.0
    if not leakage[0] < lost < leakage[-1] or lost >= moved:
        return None
    flows = leakage > 0.0
    gap = float(np.exp(np.interp(np.log(lost), np.log(leakage[flows]), np.log(gaps[flows]))))
    viscous = 12.0 * land / (width * gap**3)
    inertia = INERTIAL_LOSS * density / (2.0 * width**2 * gap**2)
    viscosity = (per_stage - inertia * lost**2) / (viscous * lost)
    if viscosity <= 0.0:
        return None
    return RatedPoint(
        viscosity=quantity_from(Interval.exact(viscosity), VISCOSITY, Basis.MEASURED, says),
        density=quantity_from(Interval.exact(density), DENSITY, Basis.MEASURED, says),
        speed=quantity_from(Interval.exact(speed), ROTATION, Basis.MEASURED, says),
        pressure=quantity_from(
            Interval.exact(record.pressure_bar * 1e5), PRESSURE, Basis.MEASURED, says
        ),
        efficiency=quantity_from(
            Interval.exact(1.0 - lost / moved), FRACTION, Basis.MEASURED, says
        ),
        fluid="own material",
    )
