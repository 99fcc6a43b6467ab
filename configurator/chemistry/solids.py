"""Solids among the constituents: what a material is filled with, where no filler is stated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Constituent
from configurator.chemistry.share import MassFraction, counts
from configurator.errors import Fault
from configurator.request.constituents import Share
from configurator.request.estimates import (
    FROM_CONSTITUENTS,
    chemistries_of,
    density_for,
    mineral_of,
)
from configurator.request.material import (
    DENSEST_PACKING,
    Component,
    Filler,
    Material,
    component_key,
)
from configurator.units import kinds
from configurator.units.dimension import Kind
from configurator.units.display import figures, show_interval, text_for
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import Quantity

ANY_LIQUID = Interval.of(800.0, 1300.0)
"""Density of an organic liquid of unknown class (from memory). [kg/m^3]"""


AGREES_WITHIN = 1.25
"""Factor either way by which a filler share and what follows from masses may differ, since grades
of a mineral and the liquid's density do (common practice, no source)."""

WEIGHS_WITHIN = 1.05
"""The same for the weight of the filler alone against that of the whole, which needs no liquid."""


@dataclass(frozen=True, slots=True)
class _Solid:
    share: Share
    constituent: Constituent

    @property
    def mohs(self) -> Quantity:
        assert self.constituent.mohs is not None  # what has none is no solid
        return self.constituent.mohs


def with_fillers(material: Material, substances: Substances) -> Material:
    """Return a material in which each component without a filler has that of its constituents.

    A solid below the share from which it counts is none. Its share becomes one by volume, the
    hardest of several decides, and its size stays unknown.
    """
    update = {}
    for prefix, component in material.components:
        if component.filler is None and component.constituents:
            solids = _solids(component, substances)
            if solids:
                key = component_key(prefix)
                update[key] = _filled(component, solids, _liquid(component, material))
    return material.model_copy(update=update) if update else material


def filler_at_odds(material: Material, substances: Substances) -> Iterator[Fault]:
    """Yield where a stated filler share by volume cannot be, by constituents and densities.

    The solids that the tables know are held against it: it is no less than they take up, and no
    more if the list of constituents is complete or the filler is one of them by name. Nor does
    the filler, with the least of the liquids beside it, weigh more than the whole.
    """
    for prefix, component in material.components:
        filler = component.filler
        if filler is None or filler.volume_fraction is None:
            continue
        stated, key = filler.volume_fraction, component_key(prefix)
        solids, liquid = _solids(component, substances), _liquid(component, material)
        content = _content(component, solids, liquid) if solids else None
        accepted = ""
        if content is not None:
            named = substances.find(filler.name)
            capped = component.complete or any(solid.constituent is named for solid in solids)
            high = content.high if capped else DENSEST_PACKING
            ends = Interval.of(content.low, max(content.low, high))
            if (
                stated.high * AGREES_WITHIN < ends.low
                or stated.low > max(ends.low, high) * AGREES_WITHIN
            ):
                accepted = (
                    f"{show_interval(ends, kinds.FRACTION)} by volume, as follows from "
                    f"{_weighed(component, solids, liquid)}, a quarter either way"
                )
        mineral = mineral_of(filler)
        if not accepted and component.density is not None and mineral and mineral.density:
            liquids = _liquids(component, substances)
            most = max(1.0 - liquids, 0.0) * component.density.high / mineral.density.low
            if stated.low > most * (AGREES_WITHIN if liquids else WEIGHS_WITHIN):
                beside = f"beside at least {figures(100 * liquids)} % of liquids by mass"
                accepted = (
                    f"at most {figures(100 * most)} %, as {mineral.name} of "
                    f"{show_interval(mineral.density, kinds.DENSITY)} "
                    f"{beside if liquids else 'alone'} would weigh more than "
                    f"the material of {component.density.text}"
                )
        if accepted:
            where = f"material {material.name}"
            yield Fault(where, f"{key}.filler.volume_fraction", stated.text, accepted)


def _liquids(component: Component, substances: Substances) -> float:
    """Least stated share by mass of what the tables know as no solid; other names may be the filler.

    0 where it is so little that the weight of the filler alone, held closer, tells more.
    """
    least = 0.0
    for share in component.constituents:
        known, mass = substances.find(share.name, share.numbers), share.mass_fraction
        stated = mass is not None and mass.basis is not Basis.ESTIMATED
        if known is not None and known.mohs is None and mass is not None and stated:
            least += mass.low
    return least if (1.0 - least) * AGREES_WITHIN < WEIGHS_WITHIN else 0.0


def _weighed(component: Component, solids: Sequence[_Solid], liquid: Interval) -> str:
    """What the share by volume follows from: shares and densities."""
    parts = []
    for solid in solids:
        share, density = solid.share.mass_fraction, solid.constituent.density
        if share is not None and density is not None:
            of = show_interval(density.interval, kinds.DENSITY)
            parts.append(f"{share.text} {solid.constituent.title} of {of} by mass")
        elif solid.share.volume_fraction is not None:
            parts.append(f"{solid.share.volume_fraction.text} {solid.constituent.title}")
    if component.density is not None:
        return f"{' and '.join(parts)} in a material of {component.density.text}"
    return f"{' and '.join(parts)} in a liquid of {show_interval(liquid, kinds.DENSITY)}"


def _solids(component: Component, substances: Substances) -> list[_Solid]:
    found = []
    for share in component.constituents:
        constituent = substances.find(share.name, share.numbers)
        if constituent is None or constituent.mohs is None:
            continue
        stated = share.mass_fraction or share.volume_fraction
        high = None if stated is None else stated.high
        low = None if stated is None else stated.low
        if counts(MassFraction(share.name, low, high), constituent):
            found.append(_Solid(share, constituent))
    return found


def _liquid(component: Component, material: Material) -> Interval:
    return density_for(chemistries_of(component, material.trigger), None) or ANY_LIQUID


def _filled(component: Component, solids: Sequence[_Solid], liquid: Interval) -> Component:
    hardest = max(solids, key=lambda solid: (solid.mohs.high, solid.constituent.title))
    content = _content(component, solids, liquid)
    filler = Filler(
        name=hardest.constituent.title,
        volume_fraction=None if content is None else _estimate(content, kinds.FRACTION),
        mohs=_estimate(hardest.mohs.interval, kinds.HARDNESS_MOHS),
        hollow="hollow sphere" in hardest.constituent.tags,
    )
    by_volume = {id(solid.share): solid for solid in solids if solid.share.volume_fraction}
    shares = tuple(
        _by_mass(share, by_volume[id(share)], liquid) if id(share) in by_volume else share
        for share in component.constituents
    )
    return component.model_copy(update={"filler": filler, "constituents": shares})


def _content(component: Component, solids: Sequence[_Solid], liquid: Interval) -> Interval | None:
    """Volume share of all solids; None where a share or a density is not known."""
    low_mass = high_mass = low_volume = high_volume = stated_low = stated_high = 0.0
    for solid in solids:
        share, density = solid.share, solid.constituent.density
        if share.volume_fraction is not None:
            stated_low += share.volume_fraction.low
            stated_high += share.volume_fraction.high
        elif share.mass_fraction is None or density is None:
            return None
        else:
            low_mass += share.mass_fraction.low
            high_mass += share.mass_fraction.high
            low_volume += share.mass_fraction.low / density.high
            high_volume += share.mass_fraction.high / density.low
    if component.density is not None:
        low, high = low_volume * component.density.low, high_volume * component.density.high
    else:
        low = _part(low_volume, (1.0 - min(low_mass, 1.0)) / liquid.low)
        high = _part(high_volume, (1.0 - min(high_mass, 1.0)) / liquid.high)
    low, high = low + stated_low, min(high + stated_high, DENSEST_PACKING)
    return Interval.of(min(low, high), high)


def _part(volume: float, rest: float) -> float:
    return volume / (volume + rest) if volume > 0.0 else 0.0


def _by_mass(share: Share, solid: _Solid, liquid: Interval) -> Share:
    """The share by mass of a solid that is stated by volume, where its density is known."""
    density, volume = solid.constituent.density, share.volume_fraction
    if density is None or volume is None:
        return share
    low = _part(volume.low * density.low, (1.0 - volume.low) * liquid.high)
    high = _part(volume.high * density.high, (1.0 - volume.high) * liquid.low)
    mass = _estimate(Interval.of(low, high), kinds.FRACTION)
    return share.model_copy(update={"mass_fraction": mass, "volume_fraction": None})


def _estimate(interval: Interval, kind: Kind) -> Quantity:
    return Quantity(text_for(interval, kind), kind, interval, Basis.ESTIMATED, FROM_CONSTITUENTS)
