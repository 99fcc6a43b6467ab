"""Shop practice: the rules of thumb that decide where no formula does, each with a basis.

These are figures of a catalog, not constants of the code, because shops differ by a factor
of several. An own catalog may replace any of them.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from configurator.catalog.parts import Name
from configurator.units import fields


class ByFiller(fields.Frozen):
    """Rubbing speed limits by how hard the filler is."""

    clean: fields.Speed
    mild: fields.Speed
    hard: fields.Speed
    very_hard: fields.Speed
    hollow: fields.Speed


class SpeedCap(fields.Frozen):
    """The top rotor speed for materials up to a viscosity (apparent, at 10 1/s)."""

    viscosity_up_to: fields.Viscosity
    speed: fields.Rotation


class BoreRatio(fields.Frozen):
    """Tip bore over largest particle, least value by shape and loading."""

    floor: fields.Number
    smooth_low_load: fields.Number
    irregular_or_loaded: fields.Number
    flake_fibre_or_hollow: fields.Number
    loaded_from: fields.Fraction


class Practice(fields.Frozen):
    """Every rule of thumb that a check reads."""

    rubbing_speed: ByFiller
    speed_caps: Annotated[tuple[SpeedCap, ...], Field(min_length=1)]
    speed_cap_very_hard: fields.Rotation
    bore_ratio: BoreRatio
    particle_to_eccentricity_soft: fields.Number
    particle_to_eccentricity_hard: fields.Number
    shot_turns_tight: fields.Number
    shot_turns: fields.Number
    tight_tolerance: fields.Fraction
    dot_to_bore_low: fields.Number
    dot_to_bore_high: fields.Number
    bead_to_bore_low: fields.Number
    bead_to_bore_high: fields.Number
    mouth_speed_low: fields.Speed
    mouth_speed_high: fields.Speed
    hollow_pressure_share: fields.Number
    rest_pressure_share: fields.Number
    feed_least: fields.Pressure
    regulator_lock_up: fields.Fraction
    weep_share: fields.Fraction
    anaerobic_stop: fields.Time
    suck_back_share: fields.Fraction
    thin_below: fields.Viscosity
    slip_factor_own: fields.Number
    slip_factor_other: fields.Number
    slip_factor_untested: fields.Number
    filler_to_surface_hardness: fields.Number
    temperature_rise_refit: fields.TemperatureDifference
    swell_refit: fields.Fraction
    swell_reject: fields.Fraction
    carried_margin: fields.Fraction
    trapped_air: fields.Fraction
    displacement_error: fields.Fraction
    weighing_error: fields.Fraction
    rotor_ripple: fields.Fraction
    material_expansion: fields.Expansion
    stator_drift: fields.Expansion
    mixer_wall_modulus: fields.Modulus
    error_left_out: fields.Fraction
    caution_margin: fields.Fraction
    pot_life_stop_share: fields.Fraction
    pot_life_run_share: fields.Fraction
    mixing_reserve_above_10: fields.Fraction
    mixing_reserve_above_100: fields.Fraction
    viscosity_ratio_static: fields.Number
    pot_life_factor: fields.Number
    doublings_to_gel: fields.Number
    structure_rebuilt: fields.Number
    mixer_tail: fields.Number
    chamber_shots: fields.Number
    chamber_turns: fields.Number
    mixer_wall_rate_filled: fields.ShearRate
    purge_volumes: fields.Number
    alarm_over_working: fields.Number
    signal_over_error: fields.Number
    sensor_shots: fields.Number
    feed_heel: fields.Fraction
    dual_left_over: fields.Fraction
    shot_of_feed: fields.Fraction
    feed_lasts: fields.Time
    feed_off_temperature: fields.TemperatureDifference
    flushing_media: tuple[Name, ...] = ()
    """Constituents that a head may be flushed with, in the order in which they are thought of."""
