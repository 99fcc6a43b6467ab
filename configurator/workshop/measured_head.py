"""A catalog in which measured heads stand for themselves: figures of a trial in place of a guess."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from configurator.catalog.catalog import Catalog, further_digest
from configurator.catalog.parts import Cavity, Part, RatedPoint
from configurator.physics.inlet import rubbing_speed_max
from configurator.physics.slip import INERTIAL_LOSS, slit_leakage
from configurator.request.intake import fill_gaps
from configurator.request.material import Component, Material
from configurator.rules.fluid import fluid_of
from configurator.units.display import quantity_from
from configurator.units.interval import Basis, Interval
from configurator.units.kinds import (
    DENSITY,
    DISPLACEMENT,
    FRACTION,
    PRESSURE,
    ROTATION,
    VISCOSITY,
    Kind,
)
from configurator.units.quantity import Quantity
from configurator.workshop.head_record import HeadRecord


def with_records(catalog: Catalog, records: Sequence[HeadRecord], material: Material) -> Catalog:
    """Return the catalog with the figures of cavities that were measured on a material.

    Parameters
    ----------
    catalog : Catalog
        As read.
    records : sequence of HeadRecord
        Of a shop; those on other materials and of rejected heads are passed over, and of
        several trials on one cavity and kind of stator the last one counts.
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
    what was measured, so that the model gives the measured slip back. Where one trial measured
    both sides of a two-part head on one cavity, its displacement spans both, and the wider gap
    and the lower opening pressure stand for its slip.
    """
    sides = {prefix.rstrip("."): part for prefix, part in fill_gaps(material).material.components}
    latest: dict[tuple[str, bool], dict[str, HeadRecord]] = {}
    for record in records:
        if record.usable and record.material == material.name and record.side in sides:
            of_trial = latest.setdefault((record.cavity, record.rigid), {})
            if any(held.trial != record.trial for held in of_trial.values()):
                of_trial.clear()
            of_trial[record.side] = record
    cavities: list[Part] = []
    used: list[HeadRecord] = []
    for part in catalog.slot("cavity"):
        assert isinstance(part, Cavity)
        measured = part
        for rigid in (False, True):
            of_trial = latest.get((part.name, rigid), {})
            if of_trial and not (rigid and part.rated_rigid is None):
                measured = _measured(measured, tuple(of_trial.values()), sides)
                used += of_trial.values()
        cavities.append(measured)
    if not used:
        return catalog
    lines = "\n".join(record.line for record in used)
    return replace(
        catalog,
        parts={**catalog.parts, "cavity": tuple(cavities)},
        sha256=further_digest(catalog.sha256, f"\n{lines}"),
        one_part_sha256=further_digest(catalog.one_part_sha256, f"\n{lines}"),
        where=f"{catalog.where} with {len(used)} measured",
    )


def _measured(
    cavity: Cavity, records: Sequence[HeadRecord], sides: Mapping[str, Component]
) -> Cavity:
    first = records[0]
    stators = " and ".join(dict.fromkeys(record.stator for record in records))
    says = f"trial {first.trial} on {first.material} with stator {stators}"
    low = min(record.displacement_ml - record.displacement_half_ml for record in records)
    high = max(record.displacement_ml + record.displacement_half_ml for record in records)
    middle = sum(record.displacement_ml for record in records) / len(records)
    displacement = Interval(low * 1e-6, middle * 1e-6, high * 1e-6)
    changes: dict[str, Any] = {
        "displacement": quantity_from(displacement, DISPLACEMENT, Basis.MEASURED, says),
        "note": f"{cavity.note} Measured in {says}.".strip()[:400],
    }
    opening = cavity.opening_pressure.nominal
    opened = [_opening(cavity, record) for record in records if record.slip_shows]
    if opened and not first.rigid:
        opening = min(opened)
        changes["opening_pressure"] = quantity_from(
            Interval.exact(opening), PRESSURE, Basis.MEASURED, says
        )
    points = [
        point
        for record in records
        if record.slip_ml_min > 0.0 and (record.rigid or _a_stage(cavity, record) > opening)
        if (point := _rated_point(cavity, record, sides[record.side], says)) is not None
    ]
    if points:
        widest = max(points, key=lambda entry: entry[0])[1]
        changes["rated_rigid" if first.rigid else "rated_elastomer"] = widest
    return cavity.model_copy(update=changes)


def _a_stage(cavity: Cavity, record: HeadRecord) -> float:
    """Highest pressure of the trial over one stage. [Pa]"""
    return record.pressure_bar * 1e5 / cavity.stages.nominal


def _opening(cavity: Cavity, record: HeadRecord) -> float:
    """Opening pressure of a stage; a hundredth of the trial's stands for one that is open. [Pa]"""
    per_stage = _a_stage(cavity, record)
    if record.opening_bar is None:
        return per_stage * 0.01
    return min(record.opening_bar * 1e5 / cavity.stages.nominal, per_stage * 0.99)


def _rated_point(
    cavity: Cavity, record: HeadRecord, component: Component, says: str
) -> tuple[float, RatedPoint] | None:
    """Gap, and the measured slip as a delivery on a fluid of the catalog's kind.

    None where the slip is out of the model's reach.
    """
    lost = record.slip_ml_min / 6e7
    speed = record.speed_rpm / 60.0
    moved = record.displacement_ml * 1e-6 * speed
    density = 1000.0 if component.density is None else component.density.nominal
    per_stage = _a_stage(cavity, record)
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

    def exact(value: float, kind: Kind) -> Quantity:
        return quantity_from(Interval.exact(value), kind, Basis.MEASURED, says)

    return gap, RatedPoint(
        viscosity=exact(viscosity, VISCOSITY),
        density=exact(density, DENSITY),
        speed=exact(speed, ROTATION),
        pressure=exact(record.pressure_bar * 1e5, PRESSURE),
        efficiency=exact(1.0 - lost / moved, FRACTION),
        fluid="own material",
    )
