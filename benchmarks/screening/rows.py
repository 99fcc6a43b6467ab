"""Invented lists of any length, each row drawn anew from a seed, and findings on their rows.

Of the flows about half are liquids with one viscosity, the rest pastes of four models; two in
three carry a filler. Constituents are names that the shipped tables know. One row in forty cannot
be read, unless it has a measured curve.
"""

import csv
import json
import random
from collections.abc import Callable, Iterator
from pathlib import Path

SEED = 1
"""Of every list, unless another one is named."""

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


TWO_PART = (
    (
        "liquid bisphenol A epoxy resin 45..95 %; C12-C14 glycidyl ether 4..8 %",
        "cycloaliphatic amine 45..60 %; benzyl alcohol 35..50 %",
        "yes",
    ),
    (
        "liquid bisphenol A epoxy resin 45..55 %; core shell rubber 5..10 %",
        "polyetheramine 50 %",
        "",
    ),
    ("polyether polyol 45..100 %", "MDI prepolymer 90..100 %", "yes"),
    (
        "vinyl-terminated PDMS 70..100 %; platinum catalyst 10..100 ppm",
        "vinyl-terminated PDMS 70..100 %; Si-H crosslinker 0.5..1.5 %",
        "yes",
    ),
    ("methyl methacrylate 50..65 %", "benzoyl peroxide 10..20 %", ""),
)
"""Constituents of either component, and whether these are all there is beside the filler."""

RATIOS = ("1:1", "2:1", "4:1", "10:1", "100:45")

CODES = ("EPDM", "FKM", "FFKM", "NBR", "VMQ", "PE-UHMW")
"""Wetted materials that a shop has soaked."""

Row = dict[str, str]


def one_part(number: int, seed: int = SEED) -> Iterator[Row]:
    """One-part materials of every flow model with stated figures."""
    draw = random.Random(seed)
    for at in range(1, number + 1):
        yield _one_part(draw, at)


def two_part(number: int, seed: int = SEED) -> Iterator[Row]:
    """Two-part materials; their components are drawn as one-part materials are."""
    draw = random.Random(seed)
    for at in range(1, number + 1):
        yield _two_part(draw, at)


def curves(number: int, seed: int = SEED) -> Iterator[Row]:
    """One-part materials, each with a measured curve of its own."""
    draw = random.Random(seed)
    for at in range(1, number + 1):
        yield _one_part(draw, at) | _curve(draw)


def mixed(number: int, seed: int = SEED) -> Iterator[Row]:
    """Of ten rows about eight of one part, one with a measured curve, and one of two parts."""
    draw = random.Random(seed)
    for at in range(1, number + 1):
        kind = draw.random()
        if kind < 0.1:
            yield _two_part(draw, at)
        else:
            row = _one_part(draw, at)
            yield row | _curve(draw) if kind < 0.2 else row


def findings(number: int, seed: int = SEED) -> Iterator[dict[str, object]]:
    """What a shop soaked: each code in some constituents, and in every fifth product of a list."""
    draw = random.Random(seed)
    known = ["liquid bisphenol A epoxy resin", "diisononyl phthalate", "polyether polyol"]
    products = [f"m-{at}" for at in range(1, number + 1) if draw.random() < 1 / 5]
    pairs = [(code, name) for code in CODES for name in known]
    pairs += [(draw.choice(CODES), name) for name in products]
    for code, name in pairs:
        yield {
            "date": "2026-05-04",
            "material": code,
            "substance": name,
            "kind": "immersion",
            "temperature_c": 30.0,
            "hours": 168.0,
            "swelling_pct": round(draw.uniform(0.2, 15.0), 1),
        }


def _one_part(draw: random.Random, number: int) -> Row:
    trigger, constituents, complete = draw.choice(FORMULATIONS)
    row = {"name": f"m-{number}", "trigger": trigger}
    row |= _component(draw, constituents, complete)
    if draw.random() < 1 / 40:
        row["viscosity"] = "thick"
    return row


def _two_part(draw: random.Random, number: int) -> Row:
    first, second, complete = draw.choice(TWO_PART)
    a, b = (_component(draw, constituents, complete) for constituents in (first, second))
    row = {"name": f"m-{number}", "trigger": "two-part"}
    row |= {f"a_{name}": cell for name, cell in a.items()}
    row |= {f"b_{name}": cell for name, cell in b.items()}
    row |= {
        "ratio": draw.choice(RATIOS),
        "ratio_by": draw.choice(("volume", "mass")),
        "ratio_tolerance": f"{draw.uniform(2, 10):.0f} %",
        "pot_life": f"{draw.uniform(5, 120):.0f} min",
        "pot_life_at": "23 degC",
        "pot_life_definition": draw.choice(("gel time", "viscosity doubles", "not stated")),
    }
    if draw.random() < 1 / 40:
        row["ratio"] = "even"
    return row


def _component(draw: random.Random, constituents: str, complete: str) -> Row:
    row = {
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
    return row


def _curve(draw: random.Random) -> Row:
    """Seven readings over four decades, each off by some per cent; no other figure of the flow."""
    thick, stress = draw.lognormvariate(3.0, 1.2), draw.choice((0.0, draw.lognormvariate(3.0, 1.0)))
    index, entries = draw.uniform(0.35, 0.95), []
    for rate in (0.1, 0.5, 2.0, 10.0, 50.0, 200.0, 1000.0):
        read = (stress + thick * rate**index) * draw.uniform(0.97, 1.03)
        entries.append(f"{rate:g} 1/s {read:.4g} Pa")
    stated = ("viscosity", "yield_stress", "consistency", "index")
    others = ("plastic_viscosity", "casson_viscosity")
    return dict.fromkeys((*stated, *others), "") | {
        "model": "points",
        "points": "; ".join(entries),
        "batch_spread": f"{draw.uniform(3, 12):.0f} %",
    }


def _flow(draw: random.Random) -> Row:
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


LISTS: dict[str, Callable[[int], Iterator[Row]]] = {
    "one-part": one_part,
    "two-part": two_part,
    "measured curves": curves,
    "mixed": mixed,
}
"""By name."""


def write(path: Path, rows: Iterator[Row]) -> None:
    """Write a list; its columns are those that any row fills."""
    every = list(rows)
    heads = list(dict.fromkeys(name for row in every for name in row))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, heads, restval="")
        writer.writeheader()
        writer.writerows(every)


def write_findings(path: Path, entries: Iterator[dict[str, object]]) -> None:
    """Write findings as a shop keeps them."""
    path.write_text("".join(f"{json.dumps(each)}\n" for each in entries), encoding="utf-8")
