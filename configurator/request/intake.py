"""Filling what a data sheet leaves out with bounded estimates, or leaving it unknown.

Nothing that was stated is ever changed, and everything put in has the basis `estimated`. Each
gap says what was used in its place and which test would settle it. The standards named are
from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from configurator.request import estimates
from configurator.request.flow_bounds import FlowBounds, FlowParameters, flow_bounds
from configurator.request.material import Component, Filler, Flow, Material, Mix, component_key
from configurator.request.material_sense import falling
from configurator.request.process import Dots, Process, time_of_shot
from configurator.units import kinds
from configurator.units.dimension import Kind
from configurator.units.display import show_interval, text_for
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import Quantity

__all__ = ["Filled", "FlowBounds", "FlowParameters", "Gap", "fill_gaps", "flow_bounds"]


@dataclass(frozen=True, slots=True)
class Gap:
    """Something that a data sheet leaves out."""

    field: str
    """Path in the material file, such as `component.density`, or below `process`."""
    says: str
    """What is missing, such as "density not stated"."""
    used: str
    """The estimate in words, or "unknown"."""
    basis: Basis | None
    """`estimated`, or None where nothing is put in."""
    settle_with: str
    """The test or question that would close the gap."""


@dataclass(frozen=True, slots=True)
class Filled:
    """A material with bounded estimates in its gaps."""

    material: Material
    """As stated, with estimated quantities where nothing was."""
    notes: tuple[Gap, ...]
    """Every gap, filled or not, in the order of the file."""


def fill_gaps(material: Material) -> Filled:
    """Fill a material's gaps with bounded estimates.

    Fields stay None where no bounded estimate exists; each is a gap all the same.
    """
    notes: list[Gap] = []
    update: dict[str, Any] = {}
    for prefix, component in material.components:
        key = component_key(prefix)
        update[key] = _filled_component(component, material, key, notes)
    if material.mix is not None:
        notes.extend(_mix_gaps(material.mix))
    return Filled(material.model_copy(update=update), tuple(notes))


def process_gaps(process: Process, *, two_part: bool) -> Iterator[Gap]:
    """Yield what a process leaves out of its deposit and production and what something hangs on."""
    if isinstance(process.deposit, Dots) and process.deposit.shape_is_guessed:
        yield Gap(
            "process.deposit.contact_angle",
            "contact angle of the dot not stated, so nobody knows how wide its volume spreads",
            f"{show_interval(estimates.DOT_ANGLE, kinds.ANGLE)}: usual for a dot on a clean part",
            Basis.ESTIMATED,
            "lay dots of that volume on the part and look at them from the side",
        )
    in_shots, production = time_of_shot(process.deposit) is not None, process.production
    if production.waste_max is not None and in_shots and production.parts is None:
        yield _unknown(
            "process.production.parts_per_shift",
            "parts a shift not stated, so nobody knows the share that is wasted",
            "ask for the parts of a shift, or for its length and the cycle time",
        )
    if in_shots and process.production.cycle_time is None:
        asked = "old the mix gets between two deposits" if two_part else "long a container lasts"
        yield _unknown(
            "process.production.cycle_time",
            f"cycle time not stated, so nobody knows how {asked}",
            "time the line from the start of a deposit to the start of the next",
        )


def _filled_component(
    component: Component, material: Material, key: str, notes: list[Gap]
) -> Component:
    classes = estimates.chemistries_of(component, material.trigger)
    update: dict[str, Any] = {}
    update["flow"] = _filled_flow(component, classes, f"{key}.flow", notes)
    if component.density is None:
        density = estimates.density_for(classes, component.filler)
        update["density"] = _put(
            notes,
            f"{key}.density",
            "density not stated",
            kinds.DENSITY,
            density,
            why=f"usual for {_class_words(classes)}"
            + (", with its filler" * bool(component.filler)),
            settle_with="measure density, ISO 2811-1",
        )
    if component.filler is not None:
        update["filler"] = _filled_filler(component.filler, f"{key}.filler", notes)
    if component.bulk_modulus is None:
        update["bulk_modulus"] = _put(
            notes,
            f"{key}.bulk_modulus",
            "bulk modulus not stated",
            kinds.MODULUS,
            estimates.LIQUID_MODULUS,
            why="usual for a liquid without air in it",
            settle_with="weigh the first shots after a stop against the later ones",
        )
    if component.surface_tension is None:
        update["surface_tension"] = _put(
            notes,
            f"{key}.surface_tension",
            "surface tension not stated",
            kinds.SURFACE_TENSION,
            estimates.tension_for(component, classes),
            why=f"usual for {_class_words(classes)}",
            settle_with="weigh drops that fall from a tip, or measure it, ISO 304",
        )
    notes.extend(_constituent_gaps(component, key))
    return component.model_copy(update=update)


def _filled_flow(
    component: Component, classes: tuple[estimates.Chemistry, ...], field: str, notes: list[Gap]
) -> Flow:
    flow = component.flow
    update: dict[str, Any] = {}
    if flow.model is None and flow.points is None:
        if flow.shear_rate is None:
            update["shear_rate"] = _put(
                notes,
                f"{field}.shear_rate",
                "shear rate of the viscosity not stated",
                kinds.SHEAR_RATE,
                estimates.READING_RATE,
                why="usual for a slow single-cylinder reading",
                settle_with="measure a flow curve, ISO 3219",
            )
        if flow.index is None:
            update["index"] = _put(
                notes,
                f"{field}.index",
                "one viscosity only, so how it thins with shear rate is not stated",
                kinds.FLOW_INDEX,
                estimates.index_for(thixotropic=flow.thixotropic, filler=component.filler),
                why="flow index that one viscosity may hide",
                settle_with="measure a flow curve to the tip's shear rates, ISO 3219 or ISO 11443",
            )
    if flow.activation_energy is None and flow.warm is None:
        update["activation_energy"] = _put(
            notes,
            f"{field}.activation_energy",
            "change of viscosity with temperature not stated",
            kinds.ENERGY_PER_MOLE,
            estimates.energy_for(classes),
            why=f"usual for {_class_words(classes)}",
            settle_with="measure viscosity at two temperatures, ISO 3219",
        )
    if flow.points is not None and (falls := falling(flow.points)):
        notes.append(
            Gap(
                f"{field}.points",
                f"the stress falls at point {falls} of the flow curve: wall slip, fracture or noise",
                "a curve through the points, as far off as they are",
                Basis.ESTIMATED,
                "measure it again with rough plates, ISO 3219",
            )
        )
    if flow.batch_spread is None:
        notes.append(
            Gap(
                f"{field}.batch_spread",
                "spread from batch to batch not stated",
                "none: batches taken as alike",
                None,
                "measure viscosity of three batches, ISO 3219",
            )
        )
    return flow.model_copy(update=update)


def _filled_filler(filler: Filler, field: str, notes: list[Gap]) -> Filler:
    update: dict[str, Any] = {}
    for known in (filler.volume_fraction, filler.mohs):
        if known is not None and known.note == estimates.FROM_CONSTITUENTS:
            used = f"{show_interval(known.interval, known.kind)}: {estimates.FROM_CONSTITUENTS}"
            notes.append(Gap(field, estimates.NO_FILLER, used, Basis.ESTIMATED, "ask the maker"))
    if filler.volume_fraction is None:
        notes.append(
            _unknown(
                f"{field}.volume_fraction",
                "filler content not stated",
                "burn off the organic share, ISO 3451-1, and divide by the densities",
            )
        )
    if filler.d99 is None:
        median = filler.d50
        update["d99"] = _put(
            notes,
            f"{field}.d99",
            "largest particle not stated",
            kinds.LENGTH,
            None if median is None else _times(median.interval, estimates.D99_OVER_D50),
            why="two to three times the median particle",
            settle_with="measure particle size, ISO 13320, or sieve it",
        )
    if filler.mohs is None:
        mineral = estimates.mineral_of(filler)
        update["mohs"] = _put(
            notes,
            f"{field}.mohs",
            "hardness of the filler not stated",
            kinds.HARDNESS_MOHS,
            None if mineral is None else mineral.mohs,
            why="" if mineral is None else f"usual for {mineral.name}",
            settle_with="ask the maker which mineral it is",
        )
    if filler.shape is None:
        shape = estimates.shape_for(filler)
        update["shape"] = shape
        reason = "the worse of the common two" if shape == "irregular" else "by its name"
        notes.append(
            Gap(
                f"{field}.shape",
                "particle shape not stated",
                f"{shape}: {reason}",
                Basis.ESTIMATED,
                "look at the particles through a microscope, ISO 13322-1",
            )
        )
    if filler.hollow and filler.crush_pressure is None:
        notes.append(
            _unknown(
                f"{field}.crush_pressure",
                "crush pressure of the hollow spheres not stated",
                "ask the maker of the spheres; compare density before and after the head",
            )
        )
    return filler.model_copy(update=update)


def _constituent_gaps(component: Component, key: str) -> Iterator[Gap]:
    if not component.constituents:
        yield _unknown(
            f"{key}.constituents",
            "no constituents stated",
            "read section 3 of the safety data sheet; immerse stator and seal, ISO 1817",
        )
    elif not component.complete:
        yield _unknown(
            f"{key}.complete",
            "the list of constituents may not be complete",
            "ask the maker; immerse stator and seal for 168 h, ISO 1817",
        )
    for place, share in enumerate(component.constituents, start=1):
        if share.mass_fraction is None and share.volume_fraction is None:
            yield _unknown(
                f"{key}.constituents[{place}].mass_fraction",
                f"amount of {share.name} not stated",
                "read section 3 of the safety data sheet",
            )
    if component.flash_point is None:
        yield _unknown(
            f"{key}.flash_point",
            "flash point not stated",
            "read section 9 of the safety data sheet",
        )


def _mix_gaps(mix: Mix) -> Iterator[Gap]:
    if mix.pot_life.definition == "not stated":
        yield _unknown(
            "mix.pot_life.definition",
            "what ends the pot life is not stated",
            "ask the maker, or measure it, ISO 9514",
        )
    if mix.mixed_viscosity is None:
        yield Gap(
            "mix.mixed_viscosity",
            "viscosity of the fresh mix not stated",
            "logarithmic mean of both components by volume",
            Basis.ESTIMATED,
            "measure it within a tenth of the pot life, ISO 3219",
        )


def _put(
    notes: list[Gap],
    field: str,
    says: str,
    kind: Kind,
    interval: Interval | None,
    *,
    why: str,
    settle_with: str,
) -> Quantity | None:
    """Record a gap and return the estimate that fills it, if there is one."""
    if interval is None:
        notes.append(_unknown(field, says, settle_with))
        return None
    used = f"{show_interval(interval, kind)}: {why}"
    notes.append(Gap(field, says, used, Basis.ESTIMATED, settle_with))
    return Quantity(text_for(interval, kind), kind, interval, Basis.ESTIMATED, why)


def _unknown(field: str, says: str, settle_with: str) -> Gap:
    return Gap(field, says, "unknown", None, settle_with)


def _times(one: Interval, by: Interval) -> Interval:
    return Interval(one.low * by.low, one.nominal * by.nominal, one.high * by.high)


def _class_words(classes: tuple[estimates.Chemistry, ...]) -> str:
    if not classes:
        return "a liquid of unknown class"
    return " or ".join(each.name for each in classes)
