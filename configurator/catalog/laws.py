"""Laws between the figures of one part, and what its materials, joints and kind can bear.

Bounds are wide: a part outside of them exists rarely, a slip of a unit, digit or column lies there
often. All of them are recollections, no source, unless a line says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from configurator.catalog import parts
from configurator.catalog.catalog import Catalog
from configurator.catalog.checking import Check, Finding, between, figure_of, of, where_of
from configurator.catalog.substances import WettedMaterial

BAR = 1e5

LIGHTEST = {"metal": 2600.0, "coating": 2600.0, "ceramic": 2200.0}
"""Density of the lightest of a family, where polyolefins are not [kg/m^3]."""

PRESSURE_CAPS = {"plastic": 60 * BAR, "elastomer": 60 * BAR}
PLASTIC_TIP, PLASTIC_BODY, LUER = 25 * BAR, 40 * BAR, 20 * BAR

HARDNESS = {
    "elastomer": (0.1, 30),
    "plastic": (5, 80),
    "metal": (30, 850),
    "coating": (200, 2500),
    "ceramic": (500, 3500),
}
"""Vickers hardness of the running surface by its family [HV]."""

FEED_KINDS: dict[str, tuple[float, float, float, float, float]] = {
    "syringe": (5e-7, 6e-4, 10 * BAR, 1.0, 1e4),
    "cartridge": (1e-5, 3e-3, 25 * BAR, 3.0, 3e4),
    "dual cartridge": (2e-6, 2e-3, 25 * BAR, 1.0, 1e4),
    "pressure pot": (5e-5, 1.0, 16 * BAR, 0.05, 500.0),
    "pail follower": (1e-3, 0.06, 600 * BAR, 10.0, 1e6),
    "drum follower": (0.03, 1.5, 600 * BAR, 10.0, 1e6),
}
"""Capacity from and to, pressure at most, and viscosity limit from and to, by kind."""

GAUGES = {
    gauge: (bore * 1e-3, outside * 1e-3)
    for gauge, bore, outside in (
        *((14, 1.6, 2.108), (15, 1.372, 1.829), (16, 1.194, 1.651), (17, 1.067, 1.473)),
        *((18, 0.838, 1.27), (19, 0.686, 1.067), (20, 0.603, 0.9081), (21, 0.514, 0.8192)),
        *((22, 0.413, 0.7176), (23, 0.337, 0.6414), (24, 0.311, 0.5652), (25, 0.26, 0.5144)),
        *((26, 0.26, 0.4636), (27, 0.21, 0.4128), (28, 0.184, 0.362), (29, 0.184, 0.3366)),
        *((30, 0.159, 0.3112), (31, 0.133, 0.2604), (32, 0.108, 0.235)),
    )
}
"""Bore of a regular wall and outside diameter by gauge, of the chart that the needles of the shipped
catalog name; gauge 32 from memory. Thin walls have up to 1.6 of the bore, tips a wall of their own."""

THIN_WALL = 1.65
FLUIDS = {"water": (2e-4, 2e-3, 950.0, 1010.0), "oil": (1e-3, 100.0, 700.0, 1050.0)}
"""Viscosity from and to, density from and to, of what a rated point may be measured on."""


def _torques_off(catalog: Catalog) -> Iterator[Finding]:
    """Friction against V dp / 2 pi: small heads rub more than they pump, large ones about as much."""
    for cavity in of(catalog, parts.Cavity):
        pressure = cavity.stage_pressure.nominal * cavity.stages.nominal
        pumping = cavity.displacement.nominal * pressure / (2 * math.pi)
        share = cavity.friction_torque.nominal / pumping if pumping > 0 else 1.0
        if not 0.1 <= share <= 60.0:
            text = f"{cavity.friction_torque.text} is {share:.3g} of the torque that pressure takes"
            yield where_of(cavity), "friction_torque", f"{text}, {pumping:.3g} N*m"


def _rated_points_off(catalog: Catalog) -> Iterator[Finding]:
    for cavity in of(catalog, parts.Cavity):
        holds = cavity.stage_pressure.nominal * cavity.stages.nominal
        for field in ("rated_elastomer", "rated_rigid"):
            point = getattr(cavity, field)
            if point is None:
                continue
            thin, thick, light, heavy = FLUIDS.get(point.fluid, (0.0, math.inf, 0.0, math.inf))
            if not thin <= point.viscosity.nominal <= thick:
                yield (
                    where_of(cavity),
                    f"{field}.viscosity",
                    f"{point.viscosity.text} is no {point.fluid}",
                )
            if not light <= point.density.nominal <= heavy:
                yield (
                    where_of(cavity),
                    f"{field}.density",
                    f"{point.density.text} is no {point.fluid}",
                )
            if not 0.05 * holds <= point.pressure.nominal <= 1.5 * holds:
                text = f"{point.pressure.text} against {holds / BAR:.3g} bar that the stages hold"
                yield where_of(cavity), f"{field}.pressure", text


def _gauges_off(catalog: Catalog) -> Iterator[Finding]:
    for tip in of(catalog, parts.Outlet):
        chart = GAUGES.get(round(tip.gauge.nominal)) if tip.gauge else None
        if chart is None:
            continue
        assert tip.gauge is not None
        bore, outside = chart
        where, gauge = where_of(tip), f"gauge {tip.gauge.text}"
        if not 0.93 * bore <= tip.bore.nominal <= THIN_WALL * bore:
            text = f"{tip.bore.text} against {bore * 1e3:g} mm of {gauge} by the needle chart"
            yield where, "bore", text
        if tip.kind == "needle" and abs(tip.outside_diameter.nominal / outside - 1) > 0.05:
            text = (
                f"{tip.outside_diameter.text} against {outside * 1e3:g} mm of {gauge} by the chart"
            )
            yield where, "outside_diameter", text


def _materials(catalog: Catalog, part: parts.Part) -> list[WettedMaterial]:
    known = catalog.substances.wetted
    return [known[code] for _, code in parts.wetted_codes(part) if code in known]


def _beyond_materials(catalog: Catalog) -> Iterator[Finding]:
    fitted: list[parts.Stator | parts.Seal] = [*of(catalog, parts.Stator), *of(catalog, parts.Seal)]
    for part in fitted:
        for material in _materials(catalog, part):
            low, high = material.temperature_low, material.temperature_high
            if part.temperature_low.nominal < low.nominal:
                text = f"{part.temperature_low.text} is colder than {material.code}, {low.text}"
                yield where_of(part), "temperature_low", text
            if part.temperature_high.nominal > high.nominal:
                text = f"{part.temperature_high.text} is warmer than {material.code}, {high.text}"
                yield where_of(part), "temperature_high", text


def _surfaces_off(catalog: Catalog) -> Iterator[Finding]:
    for one, other in combinations(of(catalog, parts.Rotor), 2):
        hard, soft = sorted((one, other), key=lambda each: -each.hardness.nominal)
        if hard.surface == soft.surface and hard.hardness.nominal > 2 * soft.hardness.nominal:
            text = f"{soft.hardness.text} on {soft.surface}, {hard.hardness.text} on {hard.name}"
            yield where_of(soft), "hardness", text
    for rotor in of(catalog, parts.Rotor):
        surface = catalog.substances.wetted.get(rotor.surface)
        core = catalog.substances.wetted.get(rotor.material)
        if surface is not None:
            low_hv, high_hv = HARDNESS[surface.family]
            if not low_hv <= rotor.hardness.nominal <= high_hv:
                yield where_of(rotor), "hardness", f"{rotor.hardness.text} on {rotor.surface}"
        coats = surface and core and surface.family == "coating" and core.family == "metal"
        if surface and core and surface.code != core.code and not coats:
            text = f"{surface.code} on {core.code}: only a coating on metal differs from its core"
            yield where_of(rotor), "surface", text
    for stator in of(catalog, parts.Stator):
        families = {material.family for material in _materials(catalog, stator)}
        if families and (stator.kind == "elastomer") != ("elastomer" in families):
            yield where_of(stator), "kind", f"{stator.kind}, but {stator.material} is none"


def _beyond_joints(catalog: Catalog) -> Iterator[Finding]:
    """Pressures that a plastic or a luer joint does not hold, whatever the table says."""
    for kind in (parts.Body, parts.Seal, parts.Mixing, parts.Outlet):
        for part in of(catalog, kind):
            given = figure_of(part, "pressure_max")
            if given is None:
                continue
            found = _materials(catalog, part)
            if isinstance(part, parts.Body):
                # The seal of a sensor is backed, and is no wall.
                found = [material for material in found if material.code == part.material]
            caps = [(PRESSURE_CAPS.get(m.family, math.inf), m.code) for m in found]
            if kind in (parts.Body, parts.Outlet):
                tight = PLASTIC_TIP if kind is parts.Outlet else PLASTIC_BODY
                caps = [(min(cap, tight) if cap < math.inf else cap, code) for cap, code in caps]
            if getattr(part, "joint", None) == "luer lock":
                caps.append((LUER, "a luer lock"))
            for cap, holder in caps:
                if given.nominal > cap:
                    text = (
                        f"{given.text} is more than {holder} is believed to hold, {cap / BAR:g} bar"
                    )
                    yield where_of(part), "pressure_max", text


def _bores_beyond_joints(catalog: Catalog) -> Iterator[Finding]:
    for tip in of(catalog, parts.Outlet):
        if tip.joint == "luer lock" and tip.bore.nominal > 4e-3:
            yield where_of(tip), "joint", f"a bore of {tip.bore.text} behind a luer lock"
        if tip.joint == "flanged" and tip.bore.nominal < 1e-3:
            yield where_of(tip), "joint", f"a flange for a bore of {tip.bore.text}"


def _sensors_cut_off(catalog: Catalog) -> Iterator[Finding]:
    """A body with a sensor leaves each of its sizes a joint."""
    joints = {size.name: size.joints for size in of(catalog, parts.Size)}
    for body in of(catalog, parts.Body):
        for size in body.sizes if body.sensor else ():
            assert body.sensor is not None
            kept, own = body.sensor.joints, joints.get(size, body.sensor.joints)
            if set(kept).isdisjoint(own):
                text = f"{', '.join(kept)}, and size {size} has {' and '.join(own)} only"
                yield where_of(body), "sensor.joints", text


def _light_through_metal(catalog: Catalog) -> Iterator[Finding]:
    for slot in ("mixing", "outlet", "feed"):
        for part in catalog.parts.get(slot, ()):
            found = _materials(catalog, part)
            dark = found and not any("passes light" in material.tags for material in found)
            if dark and getattr(part, "passes_light", False):
                codes = ", ".join(material.code for material in found)
                yield where_of(part), "passes_light", f"no light passes {codes}"


def _feeds_off(catalog: Catalog) -> Iterator[Finding]:
    for feed in of(catalog, parts.Feed):
        least, most, pressure, thin, thick = FEED_KINDS[feed.kind]
        for field, figure, low, high in (
            ("capacity", feed.capacity, least, most),
            ("pressure_max", feed.pressure_max, 1 * BAR, pressure),
            ("viscosity_max", feed.viscosity_max, thin, thick),
        ):
            if not low <= figure.nominal <= high:
                bounds = between(low, high, figure.kind)
                yield where_of(feed), field, f"{figure.text} for a {feed.kind}, believable {bounds}"
        if feed.viscosity_min is not None and feed.kind == "pressure pot":
            text = f"{feed.viscosity_min.text}, and a pot has no plate that a liquid runs past"
            yield where_of(feed), "viscosity_min", text
        line = math.pi / 4 * feed.line_bore.nominal**2 * feed.line_length.nominal
        on_head = feed.capacity if "cartridge" in feed.kind or feed.kind == "syringe" else None
        second = 0.0 if feed.second_capacity is None else feed.second_capacity.nominal
        holds = 500.0 * (on_head.nominal + second if on_head else 0.2 * line)
        if not holds <= feed.carried_mass.nominal <= (40 * holds if on_head else 100 * holds + 0.5):
            what = f"{feed.capacity.text} on the head" if on_head else "the line"
            yield where_of(feed), "carried_mass", f"{feed.carried_mass.text} for {what}"


def _mixers_off(catalog: Catalog) -> Iterator[Finding]:
    for device in of(catalog, parts.Mixing):
        if device.volume and device.chamber_diameter:
            ratio = device.volume.nominal / device.chamber_diameter.nominal**3
            if not 0.1 <= ratio <= 6.0:
                text = f"{device.volume.text} in a bore of {device.chamber_diameter.text}"
                yield where_of(device), "volume", f"{text}: {ratio:.3g} diameters cubed"
        if device.speed_max and device.chamber_diameter:
            tip = math.pi * device.speed_max.nominal * device.chamber_diameter.nominal
            if tip > 8.0:
                yield (
                    where_of(device),
                    "speed_max",
                    f"{device.speed_max.text} is {tip:.3g} m/s at the rim",
                )


def _tips_too_light(catalog: Catalog) -> Iterator[Finding]:
    """The bare tube of a tip weighs no more than the tip; a taper keeps the wall of its mouth."""
    for tip in of(catalog, parts.Outlet):
        made_of = next(iter(_materials(catalog, tip)), None)
        bore, wall = tip.bore.nominal, (tip.outside_diameter.nominal - tip.bore.nominal) / 2
        middle = (bore + tip.entry_bore.nominal) / 2 if tip.kind == "taper" else bore
        light = LIGHTEST.get(made_of.family, 900.0) if made_of else 900.0
        bare = 7500.0 if made_of and "iron" in made_of.tags else light
        bare *= math.pi * wall * (middle + wall) * tip.length.nominal
        if tip.mass.nominal < 0.7 * bare:
            text = f"{tip.mass.text} is less than its tube alone weighs, {bare * 1e3:.3g} g"
            yield where_of(tip), "mass", text


def _drives_too_fast(catalog: Catalog) -> Iterator[Finding]:
    caps = [cap.speed.nominal for cap in catalog.practice.speed_caps]
    for drive in of(catalog, parts.Drive):
        if drive.speed_min.nominal > max(caps) or drive.speed_max.nominal < min(caps):
            text = f"{drive.speed_min.text} to {drive.speed_max.text} meets none of the speed_caps"
            yield where_of(drive), "speed_max", text
        if drive.speed_max.nominal > 3 * max(caps):
            text = f"{drive.speed_max.text} is {drive.speed_max.nominal / max(caps):.3g} times the"
            yield where_of(drive), "speed_max", f"{text} fastest of the speed_caps"


CHECKS: tuple[Check, ...] = (
    Check("friction fits the pumping torque", "warning", _torques_off, alone=True),
    Check("rated points are of their fluid", "warning", _rated_points_off, alone=True),
    Check("bores follow their gauge", "warning", _gauges_off, alone=True),
    Check("ratings are within the material", "warning", _beyond_materials, alone=True),
    Check("running surfaces are possible", "warning", _surfaces_off, alone=True),
    Check("pressures are within material and joint", "warning", _beyond_joints, alone=True),
    Check("bores fit their joint", "warning", _bores_beyond_joints, alone=True),
    Check("outlet sensors leave a joint", "error", _sensors_cut_off),
    Check("light passes only what lets it", "warning", _light_through_metal, alone=True),
    Check("feeds are of their kind", "warning", _feeds_off, alone=True),
    Check("stirred chambers are in proportion", "warning", _mixers_off, alone=True),
    Check("tips weigh what they hold", "warning", _tips_too_light, alone=True),
    Check("drives run at the speeds of practice", "warning", _drives_too_fast, alone=True),
)
"""Checks of one part by itself, in the order in which their notes appear."""
