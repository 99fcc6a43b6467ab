"""The small world with two components: the base liquid on both sides, one to one."""

from __future__ import annotations

import copy

from small_tables import MATERIAL
from small_world import WORLD

TWO_PART = WORLD.having(
    {
        "material.trigger": "two-part",
        "material.component": None,
        "material.a": copy.deepcopy(MATERIAL["component"]),
        "material.b": copy.deepcopy(MATERIAL["component"]),
        "material.mix": {
            "ratio": [1, 1],
            "by": "volume",
            "ratio_tolerance": "5 %",
            "pot_life": {"value": "60 min", "at": "20 degC", "definition": "gel time"},
            "mixed_viscosity": "10 Pa*s",
        },
        "process.longest_stop": "60 s",
        "process.production.cycle_time": "30 s",
        "process.mixing_quality": "5 %",
    }
)
"""Each side meters half of the flow; one static tube mixes them. One build, which fits."""
