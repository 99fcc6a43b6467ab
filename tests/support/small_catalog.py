"""The small world with two or three parts a slot, so that there is something to choose."""

from __future__ import annotations

from small_world import WORLD, World

SMALL: World = WORLD.with_parts(
    {
        "size": [{}, {"name": "tall", "dry_mass": "2 kg", "joints": ["luer lock", "threaded"]}],
        "cavity": [
            {},
            {"name": "half-ml", "displacement": "0.5 mL/rev", "stages": 1, "cost_index": 2},
            {"name": "one-ml-tall", "size": "tall", "opening_pressure": "0.2 bar"},
        ],
        "body": [{"cost_index": 3}, {"name": "light", "mass_share": 0.5, "cost_index": 5}],
        "rotor": [{}],
        "stator": [
            {},
            {"name": "fair", "material": "FAIR", "cost_index": 0.5},
            {"name": "unseen", "material": "UNSEEN", "cost_index": 0.2},
            {"name": "bad", "material": "BAD", "cost_index": 0.1},
        ],
        "seal": [{"sizes": ["small", "tall"]}],
        "drive": [
            {},
            {"name": "big", "mass": "1.5 kg", "speed_max": "400 rpm", "cost_index": 4},
            {"name": "weak", "torque_continuous": "0.14 N*m", "cost_index": 0.3},
        ],
        "outlet": [
            {},
            {"name": "fine", "bore": "1.2 mm", "entry_bore": "1.2 mm", "cost_index": 1.5},
            {"name": "thread", "bore": "3 mm", "entry_bore": "6 mm", "joint": "threaded"},
        ],
        "feed": [{}, {"name": "syringe", "carried_mass": "80 g", "viscosity_max": "10.5 Pa*s"}],
    }
).having({"process.temperature": "18..22 degC", "process.carrier.payload": "4 kg"})
