"""What no material can be: checks across the fields of a material file.

The limits are generous. They catch slips (a unit one thousand off, a d50 typed as d99, shares
that add up to more than everything), not unusual materials. All are common practice, no source,
unless a line says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from configurator.request.constituents import Share
from configurator.request.material import (
    DENSEST_PACKING,
    LARGEST_PARTICLE,
    Component,
    Filler,
    Flow,
    FlowPoint,
    Material,
    Mix,
    Note,
    Title,
)
from configurator.request.remark import (
    FieldCheck,
    Remark,
    in_words,
    not_above,
    one_line,
    outside,
    unprintable,
)
from configurator.units.cell import cas_fits, ec_fits, is_registry_number, is_secret
from configurator.units.fields import Density, Temperature
from configurator.units.quantity import Quantity

ZERO_CELSIUS = 273.15

SMALLEST_WARM_STEP = 2.0
LARGEST_SHARE_SUM = 1.0 + 1e-9
LARGEST_RATIO = 100.0
LARGEST_TOLERANCE = 0.5
THINNEST_MIX = 0.5


def _temperature(quantity: Quantity | None, field: str = "") -> Iterator[Remark]:
    low, high = ZERO_CELSIUS - 60.0, ZERO_CELSIUS + 250.0
    yield from outside(quantity, field, low, high, "a temperature from -60 degC to 250 degC")


def look_at_flow(flow: Flow) -> Iterator[Remark]:
    """Check that the parameters of a flow describe something that can flow."""
    yield from _temperature(flow.at, "at")
    if flow.index is not None:
        top = 1.0 if flow.model == "carreau" else 2.0
        yield from outside(flow.index, "index", 0.0, top, f"a flow index of at most {top:g}")
    yield from not_above(flow.relaxation_time, "relaxation_time", 0.0, "a time above zero")
    yield from outside(flow.activation_energy, "activation_energy", 0.0, 2e5, "at most 200 kJ/mol")
    yield from outside(flow.batch_spread, "batch_spread", 0.0, 0.9, "from 0 % to 90 % either way")
    if flow.shear_rate is not None and flow.viscosity is None:
        yield Remark(
            "shear_rate", flow.shear_rate.text, "a shear_rate only beside a single viscosity"
        )
    if flow.zero_viscosity is not None and flow.infinite_viscosity is not None:
        yield from _plateaus(flow.zero_viscosity, flow.infinite_viscosity)
    if flow.points is not None:
        yield from _points(flow.points)
    yield from _warm(flow)


def _plateaus(zero: Quantity, infinite: Quantity) -> Iterator[Remark]:
    if infinite.low > zero.low or infinite.nominal > zero.nominal or infinite.high > zero.high:
        yield Remark(
            "infinite_viscosity", infinite.text, f"at most zero_viscosity, {in_words(zero)}"
        )


def _points(points: tuple[FlowPoint, ...]) -> Iterator[Remark]:
    for place, point in enumerate(points, start=1):
        if point.stress is not None:
            yield from not_above(
                point.stress, f"points[{place}].stress", 0.0, "a stress above zero"
            )
    for place, (before, here) in enumerate(pairwise(points), start=2):
        if not here.rate.nominal > before.rate.nominal:
            yield Remark(
                f"points[{place}].rate", here.rate.text, f"a rate above {before.rate.text}"
            )


def falling(points: Sequence[FlowPoint]) -> int:
    """Return the first point, from 1, whose stress is not above that of the one before; else 0."""
    for place, (before, here) in enumerate(pairwise(points), start=2):
        if not stress_ends(here)[1] > stress_ends(before)[1]:
            return place
    return 0


def stress_ends(point: FlowPoint) -> tuple[float, float, float]:
    """Return low, nominal and high shear stress of a measured point at its nominal rate [Pa]."""
    if point.stress is not None:
        return point.stress.low, point.stress.nominal, point.stress.high
    assert point.viscosity is not None  # the model holds one of the two
    rate = point.rate.nominal
    return point.viscosity.low * rate, point.viscosity.nominal * rate, point.viscosity.high * rate


def _warm(flow: Flow) -> Iterator[Remark]:
    warm = flow.warm
    if warm is None:
        return
    yield from _temperature(warm.at, "warm.at")
    if flow.viscosity is None:
        yield Remark(
            "warm",
            warm.viscosity.text,
            f"a warm point only beside a single viscosity; for a {flow.model} flow give an "
            "activation_energy",
        )
        return
    step = warm.at.nominal - flow.at.nominal
    if abs(step) < SMALLEST_WARM_STEP:
        yield Remark("warm.at", warm.at.text, f"at least 2 K away from {flow.at.text}")
    elif (warm.viscosity.nominal - flow.viscosity.nominal) * step >= 0.0:
        side = "below" if step > 0 else "above"
        yield Remark(
            "warm.viscosity",
            warm.viscosity.text,
            f"a viscosity {side} {flow.viscosity.text}: liquids thin as they get warmer",
        )


def look_at_filler(filler: Filler) -> Iterator[Remark]:
    """Check that a filler can exist."""
    yield from _printable_name(filler.name, "name")
    yield from outside(
        filler.volume_fraction,
        "volume_fraction",
        0.0,
        DENSEST_PACKING,
        "at most 74 %, the densest packing of equal spheres; by volume, not by mass",
    )
    for field, size in (("d50", filler.d50), ("d99", filler.d99)):
        yield from outside(size, field, 0.0, LARGEST_PARTICLE, "a particle of at most 5 mm")
    if filler.d50 is not None and filler.d99 is not None and filler.d50.low > filler.d99.high:
        yield Remark("d50", filler.d50.text, f"at most d99, {filler.d99.text}")
    if filler.crush_pressure is not None:
        if not filler.hollow:
            yield Remark("crush_pressure", filler.crush_pressure.text, "only with hollow = true")
        yield from not_above(filler.crush_pressure, "crush_pressure", 0.0, "above zero")


def _printable_name(name: str, field: str) -> Iterator[Remark]:
    if not name.isprintable() or not name.strip():
        yield Remark(field, name, "a name in printable characters")


def look_at_shares(shares: tuple[Share, ...]) -> Iterator[Remark]:
    """Check that the constituents fit into one whole and none stands there twice."""
    seen: set[str] = set()
    for place, share in enumerate(shares, start=1):
        yield from _printable_name(share.name, f"[{place}].name")
        row = f"{share.name} {share.numbers}"
        if (folded := " ".join(row.casefold().split())) in seen and not is_secret(row):
            yield Remark(f"[{place}].name", share.name, "each constituent once")
        seen.add(folded)
        yield from _registry_numbers(share, place)
    least = sum(share.mass_fraction.low for share in shares if share.mass_fraction is not None)
    if least > LARGEST_SHARE_SUM:
        yield Remark(
            "",
            f"mass fractions of at least {100 * least:.4g} %",
            "low ends that add up to at most 100 %",
        )


def _registry_numbers(share: Share, place: int) -> Iterator[Remark]:
    """Remark on digits that cannot be; words in place of a number say that there is none."""
    for key, text, fits in (("cas", share.cas, cas_fits), ("ec", share.ec, ec_fits)):
        if any(map(str.isdigit, text)) and not fits(text.strip()):
            yield Remark(
                f"[{place}].{key}", text, f"{key.upper()} number whose check digit fits, or none"
            )
    if is_registry_number(share.name) and not (cas_fits(share.name) or ec_fits(share.name)):
        yield Remark(f"[{place}].name", share.name, "a name, or a number whose check digit fits")


def look_at_component(component: Component) -> Iterator[Remark]:
    """Check what joins several parts of a component, and how long it may stand open."""
    yield from not_above(component.open_time, "open_time", 0.0, "a time above zero")
    if not component.complete:
        return
    shares = component.constituents
    if not shares:
        yield Remark("complete", "true", "the list of constituents that is complete")
    elif component.filler is None and all(share.mass_fraction is not None for share in shares):
        most = sum(share.mass_fraction.high for share in shares if share.mass_fraction is not None)
        if most < 1.0 - 1e-9:
            yield Remark(
                "complete",
                "true",
                "false, or shares of which the high ends reach 100 %, as '99.5..100 %'; they reach "
                f"{100 * most:.4g} %",
            )


def look_at_density(density: Quantity) -> Iterator[Remark]:
    """Check for a density off by a unit."""
    yield from outside(
        density, "", 50.0, 23_000.0, "a density from 0.05 g/cm^3 (foam) to 23 g/cm^3"
    )


def look_at_mix(mix: Mix) -> Iterator[Remark]:
    """Check that two components can be put together as stated."""
    for place, part in enumerate(mix.ratio, start=1):
        yield from not_above(part, f"ratio[{place}]", 0.0, "a part above zero")
    first, second = mix.ratio
    if min(first.low, second.low) > 0.0:
        ratio = first.nominal / second.nominal
        if not 1.0 / LARGEST_RATIO <= ratio <= LARGEST_RATIO:
            yield Remark("ratio", f"{first.text} to {second.text}", "a ratio from 1:100 to 100:1")
    tolerance = mix.ratio_tolerance
    if not (tolerance.low > 0.0 and tolerance.high <= LARGEST_TOLERANCE):
        yield Remark("ratio_tolerance", tolerance.text, "above 0 % and at most 50 % either way")
    yield from not_above(mix.pot_life.value, "pot_life.value", 0.0, "a time above zero")
    yield from _temperature(mix.pot_life.at, "pot_life.at")


def look_at_mixture(material: Material) -> Iterator[Remark]:
    """Check that a fresh mix is not much thinner than the thinner of its components."""
    if material.mix is None or material.mix.mixed_viscosity is None:
        return
    stated, sides = material.mix.mixed_viscosity, [part.flow for _, part in material.components]
    plain = [flow.viscosity for flow in sides if flow.viscosity is not None]
    if len(plain) < len(sides):
        return
    thinner = min(plain, key=lambda each: each.low)
    if stated.high < THINNEST_MIX * thinner.low:
        accepted = f"at least half of the thinner component, {in_words(thinner)}"
        yield Remark("mix.mixed_viscosity", stated.text, accepted)


def _checks() -> Iterator[FieldCheck]:
    yield FieldCheck(("title",), Title, one_line)
    yield FieldCheck(("note",), Note, unprintable)
    for part in ("component", "a", "b"):
        yield FieldCheck((part, "flow"), Flow, look_at_flow)
        yield FieldCheck((part, "density"), Density, look_at_density)
        yield FieldCheck((part, "filler"), Filler, look_at_filler)
        yield FieldCheck((part, "constituents"), tuple[Share, ...], look_at_shares)
        yield FieldCheck((part, "flash_point"), Temperature, _look_at_flash_point)
        yield FieldCheck((part,), Component, look_at_component)
    yield FieldCheck(("mix",), Mix, look_at_mix)
    yield FieldCheck((), Material, look_at_mixture)


def _look_at_flash_point(flash_point: Quantity) -> Iterator[Remark]:
    low, high = ZERO_CELSIUS - 100.0, ZERO_CELSIUS + 500.0
    yield from outside(flash_point, "", low, high, "a flash point from -100 degC to 500 degC")


MATERIAL_CHECKS: tuple[FieldCheck, ...] = tuple(_checks())
"""Every place of a material file that is looked at."""
