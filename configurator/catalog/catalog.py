"""A loaded catalog: parts by slot, shop practice, and the chemistry that parts refer to."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Annotated

from pydantic import Field

from configurator.catalog.parts import Name, Part
from configurator.catalog.substances import (
    Constituent,
    Names,
    SwellGroup,
    VerdictGroup,
    WettedMaterial,
)
from configurator.errors import CatalogError, Fault
from configurator.units import fields


class ByFiller(fields.Frozen):
    """Rubbing speed limits by how hard the filler is."""

    clean: fields.Speed
    mild: fields.Speed
    hard: fields.Speed
    very_hard: fields.Speed
    hollow: fields.Speed


class SpeedCap(fields.Frozen):
    """The top rotor speed for materials up to a viscosity (apparent, at 10 1/s)."""

    viscosity_up_to: fields.Viscosity
    speed: fields.Rotation


class BoreRatio(fields.Frozen):
    """Tip bore over largest particle, least value by shape and loading."""

    floor: fields.Number
    smooth_low_load: fields.Number
    irregular_or_loaded: fields.Number
    flake_fibre_or_hollow: fields.Number
    loaded_from: fields.Fraction


TWO_PART_PRACTICE = frozenset(
    {
        "chamber_shots",
        "chamber_turns",
        "dual_left_over",
        "mixer_tail",
        "mixer_wall_modulus",
        "mixer_wall_rate_filled",
        "mixing_reserve_above_10",
        "mixing_reserve_above_100",
        "pot_life_run_share",
        "viscosity_ratio_static",
    }
)
"""Shop practice that only rules on mixed material read: no head of a one-part one hangs on it."""


class Practice(fields.Frozen):
    """Every rule of thumb that a check reads."""

    rubbing_speed: ByFiller
    speed_caps: Annotated[tuple[SpeedCap, ...], Field(min_length=1)]
    speed_cap_very_hard: fields.Rotation
    bore_ratio: BoreRatio
    particle_to_eccentricity_soft: fields.Number
    particle_to_eccentricity_hard: fields.Number
    shot_turns_tight: fields.Number
    shot_turns: fields.Number
    tight_tolerance: fields.Fraction
    dot_to_bore_low: fields.Number
    dot_to_bore_high: fields.Number
    bead_to_bore_low: fields.Number
    bead_to_bore_high: fields.Number
    mouth_speed_low: fields.Speed
    mouth_speed_high: fields.Speed
    hollow_pressure_share: fields.Number
    rest_pressure_share: fields.Number
    feed_least: fields.Pressure
    regulator_lock_up: fields.Fraction
    weep_share: fields.Fraction
    anaerobic_stop: fields.Time
    suck_back_share: fields.Fraction
    thin_below: fields.Viscosity
    slip_factor_own: fields.Number
    slip_factor_other: fields.Number
    slip_factor_untested: fields.Number
    filler_to_surface_hardness: fields.Number
    temperature_rise_refit: fields.TemperatureDifference
    swell_refit: fields.Fraction
    swell_reject: fields.Fraction
    carried_margin: fields.Fraction
    trapped_air: fields.Fraction
    displacement_error: fields.Fraction
    weighing_error: fields.Fraction
    rotor_ripple: fields.Fraction
    material_expansion: fields.Expansion
    stator_drift: fields.Expansion
    mixer_wall_modulus: fields.Modulus
    error_left_out: fields.Fraction
    caution_margin: fields.Fraction
    pot_life_stop_share: fields.Fraction
    pot_life_run_share: fields.Fraction
    mixing_reserve_above_10: fields.Fraction
    mixing_reserve_above_100: fields.Fraction
    viscosity_ratio_static: fields.Number
    pot_life_factor: fields.Number
    doublings_to_gel: fields.Number
    structure_rebuilt: fields.Number
    mixer_tail: fields.Number
    chamber_shots: fields.Number
    chamber_turns: fields.Number
    mixer_wall_rate_filled: fields.ShearRate
    purge_volumes: fields.Number
    alarm_over_working: fields.Number
    signal_over_error: fields.Number
    sensor_shots: fields.Number
    feed_heel: fields.Fraction
    dual_left_over: fields.Fraction
    shot_of_feed: fields.Fraction
    feed_lasts: fields.Time
    feed_off_temperature: fields.TemperatureDifference
    flushing_media: tuple[Name, ...] = ()
    """Constituents that a head may be flushed with, in the order in which they are thought of."""


@dataclass(frozen=True)
class Substances:
    """Constituents, wetted materials and verdicts, by name."""

    constituents: Mapping[str, Constituent]
    wetted: Mapping[str, WettedMaterial]
    verdicts: tuple[VerdictGroup, ...]
    swell: tuple[SwellGroup, ...] = ()

    @cached_property
    def by_spelling(self) -> dict[str, str]:
        """Names, synonyms and CAS numbers in lower case, each to a constituent's name."""
        spellings: dict[str, str] = {}
        for name, constituent in self.constituents.items():
            for spelling in (name, constituent.title, *constituent.synonyms, constituent.cas or ""):
                if spelling:
                    spellings.setdefault(spelling.casefold(), name)
        return spellings

    @cached_property
    def names(self) -> Names:
        """Names and registry numbers, as safety data sheets write them."""
        return Names(self.constituents)

    def find(self, text: str, numbers: str = "") -> Constituent | None:
        """The constituent that a person means by a name and its registry numbers, or None."""
        return self.names.find(text, numbers)


@dataclass(frozen=True)
class Catalog:
    """Everything a head can be built from."""

    name: str
    title: str
    """What it is, in a line."""
    sha256: str
    """Digest of the files it was read from, parts and substances."""
    where: str
    """The folder it was read from, as people would name it."""
    parts: Mapping[str, tuple[Part, ...]]
    """Parts by slot, sorted by the order of the files."""
    practice: Practice
    substances: Substances
    stock_counts: bool = False
    """True where no more may be built of a part than lie on the shelf."""
    stand_ins: tuple[str, ...] = ()
    """Rules of thumb that it does not state, for which the shipped ones stand in."""
    one_part_sha256: str = ""
    """Digest of all that the head of a one-part material can hang on; empty where nobody made it."""
    origins: Mapping[str, str] = field(default_factory=dict)
    """What layers above the lowest added, replaced and withdrew: "outlet cone-3" and the words."""

    @cached_property
    def tips_vary(self) -> bool:
        """Whether some tip states a tolerance of a figure on which its pressure loss hangs."""
        figures = (
            getattr(tip, name)
            for tip in self.slot("outlet")
            for name in ("bore", "entry_bore", "length")
        )
        return any(each.low < each.high for each in figures)

    def slot(self, slot: str) -> tuple[Part, ...]:
        """The parts of one slot; two-part slots like `a.size` read `size`."""
        return self.parts[slot.rpartition(".")[2]]

    def part(self, slot: str, name: str) -> Part | None:
        """The part called `name` in `slot`, or None."""
        return next((part for part in self.slot(slot) if part.name == name), None)

    def in_stock(self) -> Catalog:
        """The catalog without the parts of which none is stated to lie on the shelf.

        What is no part, as mixing of kind none, is always there, and of a single one no build has
        two. The digest is another one, so that nothing takes answers of the two catalogs for the same.

        Raises
        ------
        CatalogError
            If a slot is left without parts.
        """
        kept = {slot: tuple(filter(_there, parts)) for slot, parts in self.parts.items()}
        accepted = "at least one part with a stock of 1 or more, or no --in-stock"
        faults = [
            Fault(self.where, slot, "no part in stock", accepted)
            for slot, parts in kept.items()
            if not parts
        ]
        if faults:
            raise CatalogError(faults)
        return replace(
            self,
            parts=kept,
            sha256=further_digest(self.sha256, " in stock"),
            one_part_sha256=further_digest(self.one_part_sha256, " in stock"),
            where=f"{self.where}, only what is in stock",
            stock_counts=True,
        )

    def digest_for(self, *, two_part: bool) -> str:
        """Digest of what an answer can hang on: that of a one-part material on no mixer."""
        return self.sha256 if two_part else self.one_part_sha256 or self.sha256


def further_digest(digest: str, words: str) -> str:
    """Return the digest of a catalog that was changed in a way that words tell; empty stays empty."""
    return digest and hashlib.sha256(f"{digest}{words}".encode()).hexdigest()


def _there(part: Part) -> bool:
    return part.is_nothing or (part.stock is not None and part.stock.low >= 1)
