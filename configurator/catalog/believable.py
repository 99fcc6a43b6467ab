"""Figures that are hard to believe by themselves: a unit, a digit or a column that slipped.

Bounds are wide: a part outside of them exists rarely, a slip lies there often. All of them are
recollections, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product

from configurator.catalog.catalog import Catalog
from configurator.catalog.checking import Check, Finding, between, figure_of, holders

BAR, RPM, DEG = 1e5, 1 / 60, math.pi / 180

BELIEVABLE: tuple[tuple[str, float, float, str], ...] = (
    ("size", 0.05, 200.0, "dry_mass"),
    ("size", 3 * BAR, 120 * BAR, "pressure_max"),
    ("cavity", 0.3 * BAR, 20 * BAR, "stage_pressure stage_pressure_abrasive stage_pressure_thin"),
    ("cavity", 0.3 * BAR, 20 * BAR, "opening_pressure"),
    ("cavity", 5e-5, 0.05, "eccentricity"),
    ("cavity", 5e-4, 0.3, "rotor_diameter"),
    ("cavity", 5e-4, 1.0, "pitch"),
    ("cavity", 1.2, 6.0, "breakaway_factor"),
    ("cavity", 0.3, 1.0, "rated_elastomer.efficiency rated_rigid.efficiency"),
    ("cavity", 5 * RPM, 600 * RPM, "rated_elastomer.speed rated_rigid.speed"),
    ("body", 5 * BAR, 150 * BAR, "pressure_max"),
    ("body", 0.3, 1.5, "mass_share"),
    ("body", 0.5 * BAR, 400 * BAR, "sensor.range"),
    ("body", 1e-9, 3e-5, "sensor.volume"),
    ("rotor", 1, 3500, "hardness"),
    ("stator", 0.3, 2.0, "pressure_factor"),
    ("stator", 0.2, 3.0, "friction_factor"),
    ("seal", 1 * BAR, 100 * BAR, "pressure_max"),
    ("seal", 20 * RPM, 2000 * RPM, "speed_max"),
    ("drive", 0.02, 5000.0, "torque_continuous torque_peak"),
    ("drive", 0.05 * RPM, 30 * RPM, "speed_min"),
    ("drive", 20 * RPM, 600 * RPM, "speed_max"),
    ("drive", 200, 1e8, "counts_per_turn"),
    ("drive", 0.001 * DEG, 5 * DEG, "backlash"),
    ("drive", 0.05, 200.0, "mass"),
    ("drive", 223.15, 283.15, "temperature_low"),
    ("drive", 298.15, 363.15, "temperature_high"),
    ("mixing", 5 * BAR, 250 * BAR, "pressure_max"),
    ("mixing", 0.001, 0.05, "bore"),
    ("mixing", 4, 80, "elements"),
    ("mixing", 0.5, 3.0, "element_aspect"),
    ("mixing", 0.4, 0.95, "void_share"),
    ("mixing", 2.0, 400.0, "loss_factor"),
    ("mixing", 0.3, 0.97, "mixing_rate"),
    ("mixing", 1e-8, 2e-3, "volume"),
    ("mixing", 50 * RPM, 6000 * RPM, "speed_max"),
    ("mixing", 3e-4, 20.0, "mass"),
    ("outlet", 3e-5, 0.05, "bore"),
    ("outlet", 1e-3, 2.0, "length"),
    ("outlet", 3 * BAR, 400 * BAR, "pressure_max"),
    ("outlet", 5e-5, 20.0, "mass"),
    ("feed", 1e-3, 0.1, "line_bore"),
    ("feed", 5e-3, 50.0, "line_length"),
    ("feed", 0.005, 0.3, "heel"),
    ("feed", 0.1, 1000.0, "viscosity_min"),
    ("feed", 0.05 * BAR, 30 * BAR, "regulator_drop"),
    ("practice", 5.0, 6e5, "anaerobic_stop"),
    ("practice", 0.005, 5.0, "thin_below"),
    ("practice.rubbing_speed", 0.01, 3.0, "clean mild hard very_hard hollow"),
    ("practice", 5e8, 3e11, "mixer_wall_modulus"),
    ("practice", 0.02, 0.6, "carried_margin caution_margin"),
    ("practice", 30.0, 14400.0, "feed_lasts"),
    ("practice", 5 * RPM, 400 * RPM, "speed_cap_very_hard"),
    ("practice", 5e-4, 0.1, "tight_tolerance displacement_error rotor_ripple weighing_error"),
    ("practice", 1e-4, 0.05, "trapped_air"),
    ("practice", 0.005, 0.5, "weep_share suck_back_share swell_refit swell_reject"),
    ("practice", 0.02, 0.8, "pot_life_run_share pot_life_stop_share"),
    ("practice", 0.05, 2.0, "mixing_reserve_above_10 mixing_reserve_above_100"),
    ("practice", 3.0, 1e5, "viscosity_ratio_static"),
    ("practice", 2.0, 500.0, "chamber_turns"),
    ("practice", 1.0, 30.0, "purge_volumes"),
    ("practice", 5.0, 1e4, "mixer_wall_rate_filled"),
    ("practice", 3.0, 100.0, "temperature_rise_refit"),
    ("practice", 1.0, 30.0, "feed_off_temperature"),
    ("practice", 1e-5, 5e-3, "material_expansion stator_drift"),
    ("practice", 0.05, 0.6, "bore_ratio.loaded_from"),
    ("practice", 1e-5, 0.1, "mouth_speed_low"),
    ("practice", 0.05, 20.0, "mouth_speed_high"),
)
"""Who states the fields, between what they are believed, in SI, and the fields."""

RATIOS: tuple[tuple[str, str, str, float, float], ...] = (
    ("cavity", "eccentricity", "rotor_diameter", 0.08, 0.35),
    ("cavity", "pitch", "rotor_diameter", 1.2, 8.0),
    ("cavity", "seal_width", "pitch", 0.5, 4.0),
    ("cavity", "seal_land", "rotor_diameter", 0.08, 1.2),
    ("cavity", "opening_pressure", "stage_pressure", 0.1, 1.0),
    ("drive", "torque_peak", "torque_continuous", 0.0, 5.0),
    ("drive", "speed_max", "speed_min", 5.0, 20000.0),
    ("mixing", "gap", "chamber_diameter", 0.005, 0.25),
    ("body", "sensor.error", "sensor.range", 2e-4, 0.1),
    ("body", "sensor.range", "pressure_max", 0.02, 1.0),
    ("outlet", "outside_diameter", "bore", 0.0, 12.0),
    ("outlet", "length", "bore", 1.0, 2000.0),
    ("outlet", "entry_bore", "bore", 0.0, 45.0),
    ("outlet", "shut_off_pressure", "pressure_max", 0.02, 1.0),
    ("feed", "line_length", "line_bore", 2.0, 3000.0),
    ("feed", "regulator_drop", "pressure_max", 0.001, 0.8),
    ("feed", "second_capacity", "capacity", 0.03, 1.0),
    ("feed", "viscosity_max", "viscosity_min", 5.0, 1e5),
)
"""Who states both, over, under, and between what the quotient is believed."""


def _unbelievable(catalog: Catalog) -> Iterator[Finding]:
    for place, low, high, names in BELIEVABLE:
        slot, _, inner = place.partition(".")
        for (where, model), name in product(holders(catalog, slot), names.split()):
            field = f"{inner}.{name}".removeprefix(".")
            figure = figure_of(model, field)
            if figure is not None and not low <= figure.nominal <= high:
                bounds = between(low, high, figure.kind)
                yield where, field, f"{figure.text} is hard to believe, {bounds}: a unit, a digit?"


def _out_of_proportion(catalog: Catalog) -> Iterator[Finding]:
    for slot, over, under, low, high in RATIOS:
        for where, model in holders(catalog, slot):
            first, second = figure_of(model, over), figure_of(model, under)
            if first is None or second is None or second.nominal <= 0:
                continue
            ratio = first.nominal / second.nominal
            if not low <= ratio <= high:
                text = f"{first.text} is {ratio:.3g} times {under}, {second.text}"
                yield where, over, f"{text}; believable are {low:g} to {high:g}"


CHECKS: tuple[Check, ...] = (
    Check("figures are believable", "warning", _unbelievable, alone=True),
    Check("figures are in proportion", "warning", _out_of_proportion, alone=True),
)
