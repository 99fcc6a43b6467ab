"""Tables of the small world, as the files of a catalog and a request would hold them: invented.

One turn of the base cavity moves 1 mL and the base flow is 1 mL/s, so that the rotor turns once
a second. The base liquid is Newtonian, 10 Pa*s at any temperature, and nothing slips: the seal
lines open only above a pressure that the base tip never asks for.
"""

from __future__ import annotations

from typing import Any

from configurator.catalog.load import shipped_folder
from configurator.reading import read_toml

Table = dict[str, Any]

RATED: Table = {
    "viscosity": "10 Pa*s",
    "density": "1000 kg/m^3",
    "speed": "60 rpm",
    "pressure": "80 bar",
    "efficiency": "90 %",
    "fluid": "oil",
}

PARTS: dict[str, list[Table]] = {
    "size": [
        {
            "name": "small",
            "dry_mass": "1 kg",
            "pressure_max": "40 bar",
            "joints": ["luer lock"],
        },
        {
            "name": "tall",
            "dry_mass": "2 kg",
            "pressure_max": "60 bar",
            "joints": ["luer lock", "threaded"],
        },
    ],
    "cavity": [
        {
            "name": "one-ml",
            "size": "small",
            "eccentricity": "1 mm",
            "rotor_diameter": "10 mm",
            "pitch": "25 mm",
            "displacement": "1 mL/rev",
            "stages": 2,
            "stage_pressure": "12 bar",
            "stage_pressure_abrasive": "6 bar",
            "stage_pressure_thin": "3 bar",
            "friction_torque": "0.1 N*m",
            "breakaway_factor": 2,
            "seal_width": "40 mm",
            "seal_land": "2 mm",
            "opening_pressure": "10 bar",
            "rated_elastomer": RATED,
            "rated_rigid": RATED,
        },
    ],
    "body": [{"name": "plain", "material": "GOOD", "pressure_max": "40 bar", "mass_share": 1}],
    "rotor": [{"name": "plain", "material": "GOOD", "surface": "GOOD", "hardness": "1000 HV"}],
    "stator": [
        {
            "name": "soft",
            "material": "GOOD",
            "kind": "elastomer",
            "pressure_factor": 1,
            "friction_factor": 1,
            "temperature_low": "0 degC",
            "temperature_high": "100 degC",
        },
    ],
    "seal": [
        {
            "name": "lip",
            "materials": ["GOOD"],
            "pressure_max": "40 bar",
            "speed_max": "300 rpm",
            "temperature_low": "0 degC",
            "temperature_high": "100 degC",
            "filler_max": "hard",
            "keeps_moisture_out": True,
        },
    ],
    "drive": [
        {
            "name": "motor",
            "torque_continuous": "2 N*m",
            "torque_peak": "4 N*m",
            "speed_min": "1 rpm",
            "speed_max": "200 rpm",
            "counts_per_turn": 1000,
            "backlash": "0.1 deg",
            "mass": "500 g",
            "control": ["0-10 V"],
            "temperature_low": "0 degC",
            "temperature_high": "50 degC",
            "explosive_atmosphere": True,
        },
    ],
    "mixing": [
        {"name": "none", "kind": "none"},
        {
            "name": "tube",
            "kind": "static",
            "material": "GOOD",
            "pressure_max": "40 bar",
            "mass": "30 g",
            "bore": "10 mm",
            "elements": 16,
            "element_aspect": 1,
            "void_share": "80 %",
            "loss_factor": 5,
            "mixing_rate": 0.8,
            "joint": "luer lock",
            "tip_joint": "luer lock",
        },
    ],
    "outlet": [
        {
            "name": "tip",
            "kind": "needle",
            "bore": "2 mm",
            "entry_bore": "2 mm",
            "length": "10 mm",
            "outside_diameter": "3 mm",
            "material": "GOOD",
            "joint": "luer lock",
            "pressure_max": "40 bar",
            "mass": "20 g",
            "passes_light": False,
        },
    ],
    "feed": [
        {
            "name": "cartridge",
            "kind": "cartridge",
            "materials": ["GOOD"],
            "pressure_max": "10 bar",
            "viscosity_max": "100 Pa*s",
            "line_bore": "10 mm",
            "line_length": "0.1 m",
            "capacity": "300 mL",
            "carried_mass": "300 g",
            "keeps_moisture_out": True,
            "stirred": True,
            "passes_light": False,
            "air_over_material": True,
        },
    ],
}
"""Tables as a catalog file would hold them, the base part of each slot first."""

FITTED = ("body", "rotor", "stator", "seal", "drive", "feed")

PRACTICE: Table = {
    "rubbing_speed": {
        "clean": "0.5 m/s",
        "mild": "0.4 m/s",
        "hard": "0.3 m/s",
        "very_hard": "0.2 m/s",
        "hollow": "0.1 m/s",
    },
    "speed_caps": [
        {"viscosity_up_to": "10 Pa*s", "speed": "100 rpm"},
        {"viscosity_up_to": "1000 Pa*s", "speed": "50 rpm"},
    ],
    "speed_cap_very_hard": "60 rpm",
    "bore_ratio": {
        "floor": 3,
        "smooth_low_load": 5,
        "irregular_or_loaded": 10,
        "flake_fibre_or_hollow": 15,
        "loaded_from": "30 %",
    },
    "particle_to_eccentricity_soft": 0.2,
    "particle_to_eccentricity_hard": 0.1,
    "shot_turns_tight": 1,
    "shot_turns": 0.25,
    "tight_tolerance": "1 %",
    "dot_to_bore_low": 1.5,
    "dot_to_bore_high": "3..6",
    "bead_to_bore_low": 1,
    "bead_to_bore_high": "3..5",
    "mouth_speed_low": "0.2..1 mm/s",
    "mouth_speed_high": "0.5..3 m/s",
    "hollow_pressure_share": 0.25,
    "rest_pressure_share": 0.5,
    "feed_least": "0 bar",
    "regulator_lock_up": "10 %",
    "weep_share": "1..10 %",
    "anaerobic_stop": "2 h",
    "suck_back_share": "10 %",
    "thin_below": "0.1 Pa*s",
    "slip_factor_own": 1.2,
    "slip_factor_other": 2,
    "slip_factor_untested": 5,
    "filler_to_surface_hardness": 0.8,
    "temperature_rise_refit": "20 K",
    "swell_refit": "3 %",
    "swell_reject": "8 %",
    "carried_margin": "20 %",
    "trapped_air": "0.1 %",
    "displacement_error": "0.4 %",
    "weighing_error": "0.1 %",
    "rotor_ripple": "0.3 %",
    "material_expansion": "1e-5 1/K",
    "stator_drift": "2e-5 1/K",
    "mixer_wall_modulus": "2 GPa",
    "error_left_out": "0.001 %",
    "caution_margin": "10 %",
    "pot_life_stop_share": "30 %",
    "pot_life_run_share": "10 %",
    "mixing_reserve_above_10": "25 %",
    "mixing_reserve_above_100": "50 %",
    "viscosity_ratio_static": 1000,
    "pot_life_factor": "1.5..2.5",
    "doublings_to_gel": "3..8",
    "structure_rebuilt": "1..3",
    "mixer_tail": "1.2..1.5",
    "chamber_shots": 3,
    "chamber_turns": 20,
    "mixer_wall_rate_filled": "100 1/s",
    "purge_volumes": 3,
    "alarm_over_working": 1.5,
    "signal_over_error": 5,
    "sensor_shots": "1..5",
    "feed_heel": "4 %",
    "dual_left_over": "10 %",
    "shot_of_feed": "30 %",
    "feed_lasts": "2 min",
    "feed_off_temperature": "10 K",
}

SHIPPED_PRACTICE: Table = read_toml(shipped_folder() / "generic" / "practice.toml")[0]["practice"]
"""What `PRACTICE` leaves out stands as in the shipped catalog."""

WETTED: tuple[Table, ...] = (
    {"code": "GOOD"},
    {"code": "FAIR"},
    {"code": "BAD"},
    {"code": "UNSEEN"},
    {"code": "WARM"},
    {"code": "BRASS", "tags": ["copper"]},
    {"code": "STEEL", "tags": ["iron"]},
    {"code": "PLASTIC", "family": "plastic"},
    {"code": "RUBBER", "family": "elastomer"},
    {"code": "SOFT RUBBER", "family": "elastomer"},
    {"code": "BAD RUBBER", "family": "elastomer"},
    {"code": "NEW RUBBER", "family": "elastomer"},
)
"""Codes that say by their name how they stand the base liquid; brass and steel stand it well."""

CONSTITUENTS: tuple[Table, ...] = (
    {"name": "plainol"},
    {"name": "anaerol", "tags": ["anaerobic monomer"], "counts_from": "1 %"},
    {"name": "dampol", "tags": ["moisture cure"], "counts_from": "1 %"},
    {"name": "isol", "tags": ["isocyanate"], "counts_from": "1 %"},
    {"name": "wetol", "tags": ["water"], "counts_from": "1 %"},
    {"name": "alcol", "tags": ["alcohol"], "counts_from": "1 %"},
    {"name": "additol", "kind": "class", "counts_from": "0.1 %"},
)

VERDICT: Table = {
    "basis": "from memory",
    "source": "invented",
    "confidence": "high",
}

MATERIAL: Table = {
    "schema": 1,
    "name": "plain",
    "title": "An invented liquid",
    "trigger": "none",
    "component": {
        "flow": {
            "model": "newtonian",
            "viscosity": "10 Pa*s",
            "at": "20 degC",
            "activation_energy": "0 kJ/mol",
        },
        "density": "1000 kg/m^3",
        "surface_tension": "30 mN/m",
        "constituents": [{"name": "plainol", "mass_fraction": "100 %"}],
        "complete": True,
    },
}

PROCESS: Table = {
    "schema": 1,
    "name": "plain",
    "title": "An invented flow",
    "deposit": {"kind": "flow", "flow": "60 mL/min", "shot": "5 mL"},
    "tolerance": "1 %",
    "temperature": "20 degC",
    "feed_pressure": "3 bar",
}
