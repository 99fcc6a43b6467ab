"""Parts among their neighbours: a figure that breaks its series, sizes with a gap, names that differ.

A series is a power law of one figure over another among parts of one kind, laid through the medians,
so that a slip among five parts moves it little. Only factors are judged, never small differences.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median

from configurator.catalog import parts
from configurator.catalog.catalog import Catalog
from configurator.catalog.checking import Check, Finding, figure_of, of, where_of
from configurator.catalog.purchase import money_of
from configurator.units.path import quantities

TURN = "largest displacement"
"""Key of a head size: what the largest of its cavities delivers by turn."""

LEAST_PARTS = 4
"""Fewer make no series."""

LEAST_FACTOR, UNSCALED_FACTOR, SPREADS = 2.6, 5.0, 6.0
"""A figure breaks its series if it is off by so much and by so many median deviations. Prices, and what
is compared without a figure to go by, scatter more: the greater factor. Chosen so that other believable
parts, made from the shipped ones by rule, get no note."""

SERIES: tuple[tuple[str, str, str, str], ...] = (
    ("size", "", TURN, "dry_mass pressure_max cost_index"),
    (
        "cavity",
        "stages",
        "displacement",
        "friction_torque seal_land seal_width eccentricity rotor_diameter cost_index",
    ),
    (
        "cavity",
        "",
        "displacement",
        "stage_pressure stage_pressure_abrasive stage_pressure_thin opening_pressure breakaway_factor",
    ),
    ("cavity", "", "displacement", "rated_elastomer.speed rated_rigid.speed"),
    ("body", "", "", "pressure_max mass_share cost_index"),
    ("rotor", "", "", "cost_index"),
    ("stator", "kind", "", "pressure_factor friction_factor"),
    ("seal", "", "", "pressure_max speed_max"),
    ("drive", "", "torque_continuous", "torque_peak mass speed_max cost_index"),
    ("mixing", "kind material", "bore", "mass cost_index elements"),
    ("mixing", "kind material joint", "bore", "pressure_max"),
    ("mixing", "kind", "", "element_aspect void_share mixing_rate"),
    ("mixing", "element_aspect mixing_rate", "", "loss_factor"),
    ("outlet", "kind joint material", "bore", "outside_diameter entry_bore pressure_max"),
    ("outlet", "kind joint material", "length", "mass cost_index"),
    ("feed", "kind", "capacity", "carried_mass pressure_max line_bore line_length"),
    ("feed", "kind", "capacity", "heel cost_index regulator_drop"),
)
"""Whose, alike in what, over which figure (none: all alike), and the figures of the series."""

TITLE_FIGURE = re.compile(
    r"(\d+(?:\.\d+)?) (mm|mL|L|bar|elements|stages)\b|\bgauge (\d+)\b|\b(\d+):1\b"
)
TITLE_UNITS: dict[str | None, float] = {
    "mm": 1e-3,
    "mL": 1e-6,
    "L": 1e-3,
    "bar": 1e5,
    **dict.fromkeys(("elements", "stages", None), 1.0),
}

TITLE_TOLERANCE = 0.02
"""Titles round."""

GIANT = 50.0
"""Times the torque that the largest cavity of a size needs: a drive that is none for it."""

JOINT_RANK = {"luer lock": 0, "threaded": 1, "flanged": 2}
"""From the smallest bores to the largest."""


def _key(catalog: Catalog, part: parts.Part, field: str) -> float | None:
    if not field:
        return 1.0
    if field == TURN:
        turns = [c.displacement.nominal for c in of(catalog, parts.Cavity) if c.size == part.name]
        return max(turns, default=None)
    figure = figure_of(part, field)
    return figure.nominal if figure and figure.nominal > 0 else None


def _alike(part: parts.Part, fields: str) -> tuple[str, ...]:
    values = (getattr(part, field, None) for field in fields.split())
    return tuple(getattr(value, "text", str(value)) for value in values)


def _residuals(points: Sequence[tuple[float, float]]) -> list[float]:
    """How far each point, in logarithms, lies off the line of median slope through the others."""
    order = sorted(points)
    half = (len(order) + 1) // 2
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(order, order[half:], strict=False)]
    slopes = [rise / run for run, rise in steps if run > 0.0]
    slope = median(slopes) if slopes else 0.0
    level = median(y - slope * x for x, y in points)
    return [y - slope * x - level for x, y in points]


def _series_broken(catalog: Catalog) -> Iterator[Finding]:
    for slot, alike, key, names in SERIES:
        groups: defaultdict[tuple[str, ...], list[parts.Part]] = defaultdict(list)
        for part in catalog.parts.get(slot, ()):
            groups[_alike(part, alike)].append(part)
        for group in groups.values():
            for field in names.split():
                yield from _breaks(catalog, group, key, field)


def _breaks(
    catalog: Catalog, group: Sequence[parts.Part], key: str, field: str
) -> Iterator[Finding]:
    stated = []
    for part in group:
        x, figure = _key(catalog, part, key), figure_of(part, field)
        if x and figure is not None and figure.nominal > 0:
            stated.append((part, figure, (math.log(x), math.log(figure.nominal))))
    if len(stated) < LEAST_PARTS:
        return
    off = _residuals([point for *_, point in stated])
    spread = median(abs(each) for each in off)
    scaled = key and field != "cost_index"
    limit = max(math.log(LEAST_FACTOR if scaled else UNSCALED_FACTOR), SPREADS * spread)
    for (part, figure, _), each in zip(stated, off, strict=True):
        if abs(each) > limit:
            factor = math.exp(abs(each))
            side = "above" if each > 0 else "below"
            text = f"{figure.text} is {factor:.2g} times {side} its {len(stated)} like parts"
            yield where_of(part), field, f"{text}: a unit, a digit, a row?"


def _sizes(catalog: Catalog) -> list[parts.Size]:
    """Head sizes by what they deliver, which many rows say together."""
    return sorted(of(catalog, parts.Size), key=lambda size: _key(catalog, size, TURN) or 0.0)


def _size_gaps(catalog: Catalog) -> Iterator[Finding]:
    """A part that fits a small and a large size fits those between them."""
    order = _sizes(catalog)
    rank = {size.name: place for place, size in enumerate(order)}
    fitted = [kind for kind in parts.PART_TYPES if issubclass(kind, parts.FittedPart)]
    for part in (part for kind in fitted for part in of(catalog, kind)):
        places = sorted(rank[size] for size in part.sizes if size in rank)
        for low, high in pairwise(places):
            if high - low > 1:
                between = ", ".join(size.name for size in order[low + 1 : high])
                text = f"fits {order[low].name} and {order[high].name}, but not {between}"
                yield where_of(part), "sizes", text


def _joints_out_of_order(catalog: Catalog) -> Iterator[Finding]:
    sizes = _sizes(catalog)
    for small, large in pairwise(sizes):
        for best in (min, max):
            ranks = [best(JOINT_RANK[joint] for joint in each.joints) for each in (small, large)]
            if ranks[0] > ranks[1]:
                text = f"{', '.join(large.joints)} after {', '.join(small.joints)} of {small.name}"
                yield where_of(large), "joints", text
                break
    devices = [each for each in of(catalog, parts.Mixing) if each.kind == "static" and each.bore]
    for field in ("joint", "tip_joint"):
        for one in devices:
            rank = JOINT_RANK.get(getattr(one, field) or "", -1)
            wider = [
                other
                for other in devices
                if other.bore.nominal > 1.01 * one.bore.nominal  # type: ignore[union-attr]
                and 0 <= JOINT_RANK.get(getattr(other, field) or "", -1) < rank
            ]
            if len(wider) > 1:
                text = f"{getattr(one, field)}, while {len(wider)} wider ones have a smaller joint"
                yield where_of(one), field, text


def _drives_misplaced(catalog: Catalog) -> Iterator[Finding]:
    """A drive for a size turns at least its lightest cavity without pressure, and is no giant for it."""
    for drive in of(catalog, parts.Drive):
        for size in drive.sizes:
            friction = [
                c.friction_torque.nominal for c in of(catalog, parts.Cavity) if c.size == size
            ]
            if not friction:
                continue
            torque = drive.torque_continuous.nominal
            if torque < min(friction):
                text = f"{drive.torque_continuous.text} does not turn any cavity of {size}"
                yield where_of(drive), "torque_continuous", text
            heaviest = max(_needs(c) for c in of(catalog, parts.Cavity) if c.size == size)
            if torque > GIANT * heaviest:
                text = (
                    f"{drive.torque_continuous.text} is {torque / heaviest:.2g} times what {size}"
                )
                yield where_of(drive), "sizes", f"{text} needs at full pressure"


def _needs(cavity: parts.Cavity) -> float:
    pressure = cavity.stage_pressure.nominal * cavity.stages.nominal
    pumping = cavity.displacement.nominal * pressure / (2 * math.pi)
    return pumping + cavity.friction_torque.nominal


def _titles_differ(catalog: Catalog) -> Iterator[Finding]:
    """Lengths, volumes and counts of a title are figures of the part; so are its materials."""
    wetted = catalog.substances.wetted
    names = {each.title.casefold().partition(" grade ")[0]: code for code, each in wetted.items()}
    codes = {code.casefold(): code for code in wetted}
    longest = sorted(codes, key=len, reverse=True)
    word = re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, longest))})(?![\w-])", re.IGNORECASE)
    for slot in parts.SLOTS:
        for part in catalog.parts.get(slot, ()):
            for number, unit, gauge, ratio in TITLE_FIGURE.findall(part.title):
                value = float(number or gauge or ratio) * TITLE_UNITS[unit or None]
                figures = [figure.nominal for _, figure in quantities(part)]
                if isinstance(part, parts.Feed) and part.second_capacity is not None:
                    first, second = part.capacity.nominal, part.second_capacity.nominal
                    figures = [first / second if ratio else first + second]
                elif (count := figure_of(part, unit or "")) is not None:
                    figures = [count.nominal]
                if not any(abs(each - value) <= TITLE_TOLERANCE * value for each in figures):
                    said = (
                        f"{number} {unit}" if unit else f"{ratio}:1" if ratio else f"gauge {gauge}"
                    )
                    yield where_of(part), "title", f"says {said}, and no figure of the part does"
            own = {code for _, code in parts.wetted_codes(part)}
            title = part.title.casefold()
            for name in sorted(names, key=len, reverse=True):
                title = re.sub(rf"\b{re.escape(name)}\b", names[name], title)
            said_codes = {codes[found.casefold()] for found in word.findall(title)}
            said_codes |= {codes[step] for step in part.name.split("-") if step in codes}
            if own and said_codes and own.isdisjoint(said_codes):
                yield where_of(part), "title", f"says {', '.join(said_codes)}, not {', '.join(own)}"


def _said_otherwise(catalog: Catalog) -> Iterator[Finding]:
    sizes = {size.name for size in of(catalog, parts.Size)}
    for cavity in of(catalog, parts.Cavity):
        for other in sizes.intersection(cavity.name.split("-")) - {cavity.size}:
            yield where_of(cavity), "size", f"{cavity.size}, and the name says {other}"
    for slot in ("mixing", "outlet", "feed"):
        for part in catalog.parts.get(slot, ()):
            passes = getattr(part, "passes_light", None)
            word = {True: "opaque", False: "clear"}.get(passes) if passes is not None else None
            if word in re.findall(r"[a-z]+", part.title.casefold()):
                text = f"{str(passes).lower()}, and the title says {word}"
                yield where_of(part), "passes_light", text


UNLIKE = {"name", "title", "note", "cost_index", "order_text", "price", "delivery", "stock"}


def _copies(catalog: Catalog) -> Iterator[Finding]:
    """Parts that differ in name, title and cost alone: a row that was copied and left so."""
    for slot in parts.SLOTS:
        shapes: Counter[tuple[object, ...]] = Counter()
        for part in catalog.parts.get(slot, ()):
            fields = (f for f in type(part).model_fields if f not in UNLIKE)
            values = (getattr(part, field) for field in fields)
            shape = tuple(getattr(value, "interval", value) for value in values)
            shapes[shape] += 1
            if shapes[shape] > 1:
                yield (
                    where_of(part),
                    "",
                    "states what another part of its slot states: a copied row?",
                )


def _prices_apart(catalog: Catalog) -> Iterator[Finding]:
    """Prices that nothing can add up: without a number, or in another currency than most."""
    priced = [part for slot in parts.SLOTS for part in catalog.parts.get(slot, ()) if part.price]
    told = [(part, money_of(part.price)) for part in priced]
    (usual, _), *others = Counter(money[0] for _, money in told if money).most_common() or [("", 0)]
    for part, money in told:
        if money is None:
            yield where_of(part), "price", f"'{part.price}' is no amount with a currency"
        elif others and money[0] != usual:
            yield where_of(part), "price", f"in {money[0]}, most are in {usual}: none adds up"


CHECKS: tuple[Check, ...] = (
    Check("figures follow their series", "warning", _series_broken),
    Check("parts fit sizes without a gap", "warning", _size_gaps),
    Check("joints grow with what they carry", "warning", _joints_out_of_order),
    Check("drives are of their size", "warning", _drives_misplaced),
    Check("titles say what the figures say", "warning", _titles_differ, alone=True),
    Check("names and titles say the same", "warning", _said_otherwise, alone=True),
    Check("no row is a copy", "warning", _copies),
    Check("prices add up", "warning", _prices_apart),
)
"""Checks of parts among others, in the order in which their notes appear."""
