"""Random requests and parts whose figures have ranges, and points inside of all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from random_worlds import FIGURES, MIXERS
from small_tables import Table
from small_world import WORLD, World

RATES = (0.01, 0.1, 1, 10, 100, 1000, 10_000, 100_000)


class Draw:
    """Draws tables of files.

    Parameters
    ----------
    random : Generator
        Source of the draws.
    """

    def __init__(self, random: np.random.Generator) -> None:
        self._random = random

    def one_of(self, *values: Any) -> Any:
        """One of some values."""
        return values[self._random.integers(len(values))]

    def between(self, low: float, high: float) -> float:
        """A positive number, by its logarithm."""
        return float(np.exp(self._random.uniform(np.log(low), np.log(high))))

    def spread(self, value: float, unit: str, most: float) -> str:
        """A quantity with a tolerance of up to some per cent, or none."""
        within = self.one_of(0.0, 0.3, 1.0) * most
        text = f"{value:.6g} {unit}".strip()
        return f"{text} +/- {within:.3g} %" if within else text

    def flow(self, kinds: str) -> Table:
        """A flow of one of some models, each parameter with a range of its own."""
        make: Mapping[str, Callable[[float], Table]] = {
            "n": lambda eta: {"model": "newtonian", "viscosity": self.spread(eta, "Pa*s", 40)},
            "p": lambda eta: {"model": "power law", **self._paste(eta)},
            "b": lambda eta: {
                "model": "bingham",
                "yield_stress": self.spread(self.between(1, 300), "Pa", 40),
                "plastic_viscosity": self.spread(eta / 5, "Pa*s", 30),
            },
            "c": lambda eta: {
                "model": "casson",
                "yield_stress": self.spread(self.between(1, 300), "Pa", 40),
                "casson_viscosity": self.spread(eta / 5, "Pa*s", 30),
            },
            "h": lambda eta: {
                "model": "herschel-bulkley",
                "yield_stress": self.spread(self.between(1, 300), "Pa", 40),
                **self._paste(eta),
            },
            "d": lambda eta: {
                "model": "carreau",
                "zero_viscosity": self.spread(5 * eta, "Pa*s", 30),
                "infinite_viscosity": self.spread(eta / 50, "Pa*s", 30),
                "relaxation_time": self.spread(self.between(0.01, 10), "s", 40),
                "index": self.spread(self._random.uniform(0.3, 0.8), "", 15),
            },
            "r": lambda eta: {
                "viscosity": self.spread(eta, "Pa*s", 30),
                **self.one_of({}, {"shear_rate": "10 1/s"}),
            },
            "m": self._measured,
        }
        flow = {**make[self.one_of(*kinds)](self.between(0.02, 200)), "at": "20 degC"}
        energy = self.one_of("0 kJ/mol", "40 kJ/mol", "30..60 kJ/mol", None)
        more = {"activation_energy": energy, "batch_spread": self.one_of("20 %", None, None)}
        return {**flow, **{key: value for key, value in more.items() if value is not None}}

    def _paste(self, eta: float) -> Table:
        return {
            "consistency": self.spread(eta, "Pa*s^n", 30),
            "index": self.spread(self._random.uniform(0.35, 0.8), "", 15),
        }

    def _measured(self, eta: float) -> Table:
        """A curve whose tolerance is that of the instrument, the same at each point."""
        slope, within = self._random.uniform(-0.5, -0.2), self.one_of(0.0, 20.0)
        points = [
            {
                "rate": f"{rate} 1/s",
                "viscosity": f"{eta * rate**slope * self._random.uniform(0.93, 1.07):.6g} Pa*s"
                + (f" +/- {within} %" if within else ""),
            }
            for rate in RATES
        ]
        return {"model": "points", "points": points}

    def deposit(self) -> Table:
        """What is laid down, with its ranges."""
        return self.one_of(
            {"kind": "flow", "flow": "60 mL/min"},
            {"kind": "flow", "flow": "30..60 mL/min", "shot": "1..2 mL"},
            {
                "kind": "dots",
                "volume": self.spread(1, "mL", 10),
                "dispense_time": self.spread(1, "s", 20),
            },
            {
                "kind": "dots",
                "diameter": self.spread(6, "mm", 10),
                "height": self.spread(2, "mm", 10),
                "dispense_time": "0.1 s",
            },
            {
                "kind": "bead",
                "width": self.spread(3, "mm", 10),
                "contact_angle": "60 deg",
                "path_speed": self.spread(100, "mm/s", 20),
                "path_length": self.spread(300, "mm", 5),
            },
            {
                "kind": "potting",
                "volume": self.spread(60, "mL", 5),
                "fill_time": "50..60 s",
                "free_area": self.spread(10, "cm^2", 10),
            },
        )

    def process(self) -> Table:
        """Changes of the base process."""
        return {
            "process.deposit": self.deposit(),
            "process.temperature": self.one_of("20 degC", "15..25 degC", "0..40 degC"),
            "process.back_pressure": self.one_of(None, "0..4 bar", "1..3 bar", "2 bar"),
            "process.tolerance": self.one_of("2 %", "20 %"),
        }

    def component(self, kinds: str) -> Table:
        """A component."""
        densities = ("1000 kg/m^3", "900..1300 kg/m^3", "1.2 g/cm^3 +/- 3 %")
        return {"flow": self.flow(kinds), "density": self.one_of(*densities)}

    def mix(self) -> Table:
        """How two components come together; a stated viscosity is for `newtonian` ones."""
        return {
            "ratio": [int(self._random.integers(1, 11)), 1],
            "by": self.one_of("volume", "mass"),
            "ratio_tolerance": "10 %",
            "pot_life": {"value": "60 min", "at": "20 degC", "definition": "viscosity doubles"},
        }

    def parts(self, *, two_part: bool) -> World:
        """A catalog with two parts a slot, some figures of them with tolerances."""
        tables: dict[str, list[Table]] = {}
        for slot, figures in FIGURES.items():
            kept = {
                name: values
                for name, values in figures.items()
                if name not in ("size", "joints", "control")
            }
            tables[slot] = [
                {"name": name, **{key: self.one_of(*values) for key, values in kept.items()}}
                for name in ("small" if slot == "size" else "one", "tall")
            ]
        tables["cavity"][0] |= {"displacement": self.spread(1, "mL/rev", 4)}
        tables["cavity"][1] |= {"friction_torque": self.spread(0.1, "N*m", 10)}
        tables["outlet"][0] |= {
            "bore": self.spread(1.5, "mm", 6),
            "entry_bore": self.spread(4, "mm", 4),
            "length": self.spread(12, "mm", 4),
        }
        tables["size"][0] |= {"pressure_max": self.spread(40, "bar", 5)}
        tables["drive"][0] |= {
            "speed_max": self.spread(120, "rpm", 5),
            "torque_continuous": self.spread(2, "N*m", 5),
        }
        world = WORLD.with_parts(tables)
        if not two_part:
            return world
        tube = WORLD.parts["mixing"][1]
        static = [{}, {"elements": 32, "bore": self.spread(6, "mm", 5)}, MIXERS[2]]
        mixing = [{**tube, **table, "name": f"tube-{at}"} for at, table in enumerate(static)]
        return World(parts={**world.parts, "mixing": [WORLD.parts["mixing"][0], *mixing]})


def _number(viscosity: str) -> float:
    return float(viscosity.partition(" ")[0])


def request_of(world: World, draw: Draw, *, two_part: bool) -> World:
    """A catalog with a random request."""
    changes = draw.process()
    if not two_part:
        changes |= {f"component.{key}": value for key, value in draw.component("npbchdrm").items()}
        return world.having(changes)
    kinds = draw.one_of("n", "npbchdrm")
    base = WORLD.material["component"]
    mix = draw.mix()
    sides = {side: {**base, **draw.component(kinds)} for side in ("a", "b")}
    plain = [side["flow"]["viscosity"] for side in sides.values() if "viscosity" in side["flow"]]
    if kinds == "n" or draw.one_of(True, False):
        # Thinner than both components is refused: a mix lies between them.
        thinner = min(map(_number, plain), default=0.0)
        mix["mixed_viscosity"] = draw.spread(max(draw.between(0.1, 50), thinner), "Pa*s", 30)
    changes |= {
        "material.component": None,
        "material.trigger": "two-part",
        "material.mix": mix,
        "process.mixing_quality": "5 %",
        **{f"material.{side}": stated for side, stated in sides.items()},
    }
    return world.having(changes)
