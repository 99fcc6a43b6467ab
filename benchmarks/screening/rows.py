"""An invented list of any length: one-part materials, each drawn anew from a seed.

About half are liquids with one viscosity, the rest pastes of four models; two in three carry a
filler. Constituents are names that the shipped tables know. One row in forty cannot be read.
"""

import csv
import random
from collections.abc import Iterator
from pathlib import Path

HEADS = (
    "name",
    "trigger",
    "model",
    "at",
    "viscosity",
    "yield_stress",
    "consistency",
    "index",
    "plastic_viscosity",
    "casson_viscosity",
    "activation_energy",
    "density",
    "filler",
    "filler_volume_fraction",
    "filler_d50",
    "filler_d99",
    "filler_mohs",
    "filler_shape",
    "constituents",
    "complete",
    "sensitive_to",
)

FILLERS = (
    ("calcium carbonate", 2.5, 3.5),
    ("fumed silica", 5.5, 6.5),
    ("quartz flour", 7.0, 7.0),
    ("alumina", 9.0, 9.0),
    ("aluminium trihydroxide", 2.5, 3.5),
)

FORMULATIONS = (
    ("moisture", "silane-terminated polyether 26..34 %; diisononyl phthalate 14..20 %", ""),
    ("moisture", "MDI prepolymer 25..35 %; phthalate plasticiser 12..18 %", ""),
    ("moisture", "silanol-terminated PDMS 85..97 %; acetoxysilane 3..6 %", "yes"),
    ("none", "liquid bisphenol A epoxy resin 85..95 %; C12-C14 glycidyl ether 5..15 %", "yes"),
    ("none", "polyether polyol 90..100 %", "yes"),
    ("none", "vinyl-terminated PDMS 90..100 %", "yes"),
    ("heat", "liquid bisphenol A epoxy resin 55..65 %", ""),
)
"""Trigger, constituents, and whether these are all there is beside the filler."""


def rows(number: int, seed: int = 1) -> Iterator[dict[str, str]]:
    """Rows of the list, the same for the same seed."""
    draw = random.Random(seed)
    for at in range(1, number + 1):
        yield _row(draw, at)


def _row(draw: random.Random, number: int) -> dict[str, str]:
    trigger, constituents, complete = draw.choice(FORMULATIONS)
    row = {
        "name": f"m-{number}",
        "trigger": trigger,
        "at": "23 degC",
        "activation_energy": f"{draw.uniform(15, 60):.1f} kJ/mol +/- 10 %",
        "density": f"{draw.uniform(0.9, 2.2):.2f} g/cm^3",
        "constituents": constituents,
        "complete": complete,
    }
    row |= _flow(draw)
    if draw.random() < 2 / 3:
        name, low, high = draw.choice(FILLERS)
        middle = draw.lognormvariate(2.0, 0.6)
        row |= {
            "filler": name,
            "filler_volume_fraction": f"{draw.uniform(5, 40):.0f} %",
            "filler_d50": f"{middle:.1f} um",
            "filler_d99": f"{middle * draw.uniform(3, 6):.1f} um",
            "filler_mohs": f"{draw.uniform(low, high):.1f} Mohs",
            "filler_shape": draw.choice(("irregular", "sphere")),
        }
    if draw.random() < 1 / 40:
        row["viscosity"] = "thick"
    return row


def _flow(draw: random.Random) -> dict[str, str]:
    thick = draw.lognormvariate(2.0, 1.8)
    kind = draw.random()
    if kind < 0.5:
        return {"model": "newtonian", "viscosity": f"{thick:.3g} Pa*s +/- 15 %"}
    index = f"{draw.uniform(0.35, 0.95):.2f}"
    if kind < 0.68:
        return {"model": "power law", "consistency": f"{thick:.3g} Pa*s^n +/- 15 %", "index": index}
    stress = f"{thick * draw.uniform(0.3, 3):.3g} Pa +/- 15 %"
    if kind < 0.9:
        flow = {"consistency": f"{thick:.3g} Pa*s^n +/- 15 %", "index": index}
        return {"model": "herschel-bulkley", "yield_stress": stress, **flow}
    if kind < 0.95:
        plastic = f"{thick:.3g} Pa*s +/- 15 %"
        return {"model": "bingham", "yield_stress": stress, "plastic_viscosity": plastic}
    casson = f"{thick:.3g} Pa*s +/- 15 %"
    return {"model": "casson", "yield_stress": stress, "casson_viscosity": casson}


def write(path: Path, number: int, seed: int = 1) -> None:
    """Write a list."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, HEADS, restval="")
        writer.writeheader()
        writer.writerows(rows(number, seed))
