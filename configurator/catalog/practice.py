"""Shop practice: the rules of thumb that decide where no formula does, each with a basis.

These are figures of a catalog, not constants of the code, because shops differ by a factor
of several. An own catalog may replace any of them.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from configurator.catalog.parts import Name
from configurator.units.fields import (
    Expansion,
    Fraction,
    Frozen,
    Modulus,
    Number,
    Rotation,
    ShearRate,
    Speed,
    TemperatureDifference,
    Time,
    Viscosity,
)


class ByFiller(Frozen):
    """Rubbing speed limits by how hard the filler is."""

    clean: Speed
    mild: Speed
    hard: Speed
    very_hard: Speed
    hollow: Speed


class SpeedCap(Frozen):
    """The top rotor speed for materials up to a viscosity (apparent, at 10 1/s)."""

    viscosity_up_to: Viscosity
    speed: Rotation


class BoreRatio(Frozen):
    """Tip bore over largest particle, least value by shape and loading."""

    floor: Number
    smooth_low_load: Number
    irregular_or_loaded: Number
    flake_fibre_or_hollow: Number
    loaded_from: Fraction


class Practice(Frozen):
    """Every rule of thumb that a check reads."""

    rubbing_speed: ByFiller
    speed_caps: Annotated[tuple[SpeedCap, ...], Field(min_length=1)]
    speed_cap_very_hard: Rotation
    bore_ratio: BoreRatio
    particle_to_eccentricity_soft: Number
    particle_to_eccentricity_hard: Number
    shot_turns_tight: Number
    shot_turns: Number
    tight_tolerance: Fraction
    dot_to_bore_low: Number
    dot_to_bore_high: Number
    bead_to_bore_low: Number
    bead_to_bore_high: Number
    mouth_speed_low: Speed
    mouth_speed_high: Speed
    hollow_pressure_share: Number
    rest_pressure_share: Number
    regulator_lock_up: Fraction
    weep_share: Fraction
    anaerobic_stop: Time
    suck_back_share: Fraction
    thin_below: Viscosity
    slip_factor_own: Number
    slip_factor_other: Number
    slip_factor_untested: Number
    filler_to_surface_hardness: Number
    temperature_rise_refit: TemperatureDifference
    swell_refit: Fraction
    swell_reject: Fraction
    carried_margin: Fraction
    trapped_air: Fraction
    displacement_error: Fraction
    weighing_error: Fraction
    rotor_ripple: Fraction
    material_expansion: Expansion
    stator_drift: Expansion
    mixer_wall_modulus: Modulus
    error_left_out: Fraction
    caution_margin: Fraction
    pot_life_stop_share: Fraction
    pot_life_run_share: Fraction
    mixing_reserve_above_10: Fraction
    mixing_reserve_above_100: Fraction
    viscosity_ratio_static: Number
    pot_life_factor: Number
    doublings_to_gel: Number
    structure_rebuilt: Number
    mixer_tail: Number
    chamber_shots: Number
    chamber_turns: Number
    mixer_wall_rate_filled: ShearRate
    purge_volumes: Number
    feed_heel: Fraction
    shot_of_feed: Fraction
    feed_lasts: Time
    flushing_media: tuple[Name, ...] = ()
    """Constituents that a head may be flushed with, in the order in which they are thought of."""
