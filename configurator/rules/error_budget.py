"""What moves a dispensed volume, part by part: before the head is weighed, and once it is set.

Parts that keep their sign over a run are added, those that fall anew with each shot count in
quadrature, as in JCGM 100. What the parts leave out may be as large as a figure of the shop
practice, and nothing is told finer than that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from configurator.catalog.parts import Cavity, Part, Stator
from configurator.physics.drive import backlash_volume, encoder_step_volume, rotor_angle_error
from configurator.physics.stored_volume import (
    liquid_compliance,
    stored_volume,
    trapped_air_volume,
    wall_compliance,
)
from configurator.rules.applied import basis_of, basis_of_parts
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Floats
from configurator.rules.fluid import AMBIENT_PRESSURE
from configurator.rules.rule import Build
from configurator.rules.side import Side
from configurator.rules.speed import FLOW_ASKS, SPEED_PARTS
from configurator.units.interval import Basis, weakest
from configurator.units.kinds import FRACTION

MIXER_WALL = 1.5
"""Outside over inside radius of a plastic mixer's tube (common practice, no source). [-]"""

MIXER_POISSON = 0.4
"""Poisson ratio of its plastic (from memory). [-]"""


@dataclass(frozen=True)
class ErrorPart:
    """One part of the error, as shares of the volume."""

    before: Floats
    """Of a head that nobody has weighed, at its hard end. [-]"""
    weighed: Bound
    """Once it is set on the scale. [-]"""
    random: bool = False
    """True if it falls anew with each shot."""


class Reads(NamedTuple):
    """What a part of the error hangs on."""

    parts: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    practice: tuple[str, ...] = ()


READS: Mapping[str, Reads] = {
    "displacement": Reads(practice=("displacement_error",)),
    "weighing": Reads(practice=("weighing_error",)),
    "slip": Reads(SPEED_PARTS, FLOW_ASKS, ("slip_factor_own", "slip_factor_other")),
    "turndown": Reads(SPEED_PARTS, FLOW_ASKS, ("slip_factor_own", "slip_factor_other")),
    "temperature": Reads(
        ("stator.kind",), ("process.temperature",), ("material_expansion", "stator_drift")
    ),
    "stored volume": Reads(
        ("outlet.entry_bore", "outlet.length", "mixing.bore", "mixing.volume", "mixing.void_share"),
        (*FLOW_ASKS, "component.bulk_modulus"),
        ("trapped_air", "mixer_wall_modulus"),
    ),
    "rotor angle": Reads(("cavity.displacement",), ("process.deposit",), ("rotor_ripple",)),
    "encoder": Reads(("drive.counts_per_turn", "cavity.displacement"), ("process.deposit",)),
    "backlash": Reads(("drive.backlash", "cavity.displacement"), ("process.deposit",)),
}
"""By name, what each part of the error hangs on."""


def error_parts(case: Case, side: Side) -> dict[str, ErrorPart]:
    """Parts of the volume error by name; some only where there is a shot."""
    off, left = displacement_error(case, side), case.practice.weighing_error.nominal
    return {
        "displacement": ErrorPart(off, Bound.exact(0.0)),
        "weighing": ErrorPart(np.asarray(0.0), Bound.exact(np.minimum(off, left))),
        "temperature": _over_range(_drift(case, side), "farthest from the nominal temperature"),
        **_of_shot(case, side),
        **_of_slip(case, side),  # the widest array comes last, so that it is added once
    }


def displacement_error(case: Case, side: Side) -> Floats:
    """How far the displacement of a head may be off that nobody has weighed, either way. [-]

    Half the range of one that was measured, or that the catalog states with a tolerance; what
    shop practice says of any other.
    """
    usual = case.practice.displacement_error.nominal

    def read(part: Part) -> float:
        assert isinstance(part, Cavity)
        stated = part.displacement
        if _is_measured(part) or not stated.interval.is_exact:
            return stated.interval.width / 2.0 / stated.nominal
        return usual

    return side.frame.numbers(side.slot("cavity"), read)


def _is_measured(part: Part) -> bool:
    return isinstance(part, Cavity) and part.displacement.basis is Basis.MEASURED


def _alike(share: Floats, *, random: bool = False) -> ErrorPart:
    """A part that no weighing takes away."""
    return ErrorPart(share, Bound.exact(share), random=random)


def _over_range(share: Floats, corner: str) -> ErrorPart:
    """A part that no weighing takes away, and that is not there at nominal."""
    nothing = np.zeros_like(share)
    return ErrorPart(share, Bound(nothing, nothing, share, corner))


def _of_slip(case: Case, side: Side) -> dict[str, ErrorPart]:
    """Slip over the range; of single builds it is told what the flow alone makes of it."""
    slip, unset = side.rotation.slip_error, side.rotation.slip_unset
    if case.frame.is_grid:
        return {"slip": ErrorPart(unset, slip)}
    turndown = np.asarray(slip.hard - side.rotation.slip_at_one_flow)
    return {
        "slip": ErrorPart(
            np.asarray(unset - turndown), replace(slip, hard=np.asarray(slip.hard - turndown))
        ),
        "turndown": _over_range(turndown, "lowest to highest flow"),
    }


def _drift(case: Case, side: Side) -> Floats:
    """What the farther end of the temperature makes of material and stator. [-]"""
    asked, practice = case.duty.temperature, case.practice
    away = np.maximum(asked.high - asked.nominal, asked.nominal - asked.low)
    lining = practice.stator_drift.nominal

    def read(part: Part) -> float:
        assert isinstance(part, Stator)
        return lining if part.kind == "elastomer" else 0.0

    drift = side.frame.numbers(side.slot("stator"), read)
    return np.asarray(away * (practice.material_expansion.nominal + drift))


def _of_shot(case: Case, side: Side) -> dict[str, ErrorPart]:
    """What counts against the volume of a shot; nothing in a line without an end."""
    shot = case.duty.shot
    if shot is None:
        return {}
    volume = shot.low * side.share.low
    displacement = side.column("cavity", "displacement", "high")
    step = encoder_step_volume(
        displacement=displacement,
        counts_per_motor_turn=side.column("drive", "counts_per_turn"),
        gear_ratio=1.0,  # catalogs state counts at the rotor
    )
    play = backlash_volume(
        displacement=displacement, backlash=side.column("drive", "backlash", "high")
    )
    angle = rotor_angle_error(
        ripple=case.practice.rotor_ripple.nominal, turns=np.asarray(volume / displacement)
    )
    highest, lowest = case.outlet.fast.max(axis=0), case.outlet.slip_slow.min(axis=0)
    most, least = stored_at(case, highest), stored_at(case, lowest)
    return {
        # A shot of two parts comes out of one mixer, and each side has its share of what is in it.
        "stored volume": ErrorPart(
            np.asarray(most / shot.low), Bound.exact((most - least) / shot.low, "thin to thick")
        ),
        "rotor angle": _alike(np.asarray(angle), random=True),
        "encoder": _alike(np.asarray(step) / volume, random=True),
        "backlash": _alike(np.asarray(play) / volume, random=True),
    }


def stored_at(case: Case, pressure: Floats) -> Floats:
    """Volume that lies between rotor and tip under a pressure, and comes out when it goes. [m^3]"""
    practice = case.practice
    bore, length = (case.column("outlet", name, "high") for name in ("entry_bore", "length"))
    volume, wall = np.pi / 4.0 * bore**2 * length, np.asarray(0.0)
    tube = wall
    if case.material.two_part:
        volume, tube = volume + case.mixer.volume, np.where(case.mixer.static, case.mixer.volume, 0)
        wall = np.asarray(
            wall_compliance(
                inner_radius=1.0,
                outer_radius=MIXER_WALL,
                elastic_modulus=practice.mixer_wall_modulus.nominal,
                poisson_ratio=MIXER_POISSON,
            )
        )
    air = trapped_air_volume(
        volume=volume,
        air_share=practice.trapped_air.nominal,
        pressure_low=AMBIENT_PRESSURE,
        pressure_high=AMBIENT_PRESSURE + pressure,
    )
    stored = stored_volume(
        liquid=_liquid(case, volume), wall=wall, line_volume=tube, pressure=pressure, air=air
    )
    return np.asarray(stored)


def _liquid(case: Case, volume: Floats) -> Floats:
    """Volume per pressure that the material itself gives, at its softest. [m^3/Pa]"""
    each = [
        share.high * np.asarray(liquid_compliance(volume=volume, bulk_modulus=modulus.low))
        for (_, component), share in zip(case.material.components, case.subject.shares, strict=True)
        if (modulus := component.bulk_modulus) is not None
    ]
    return np.asarray(sum(each, np.asarray(0.0)))


def settling(case: Case) -> Floats:
    """Time in which the flow at the tip follows the rotor, at whichever end it is longest. [s]

    What is stored over the flow: compliance times the resistance of tip and mixer.
    """
    flow = case.duty.flow
    fast, slow = (each.max(axis=0) for each in (case.outlet.fast, case.outlet.slip_slow))
    return np.maximum(stored_at(case, fast) / flow.high, stored_at(case, slow) / flow.low)


@dataclass(frozen=True)
class ErrorSum:
    """The parts together: what is added, and what counts in quadrature."""

    added: Bound
    random: Floats
    """Root of the sum of squares. [-]"""

    @classmethod
    def of(cls, parts: Mapping[str, ErrorPart], *, weighed: bool) -> ErrorSum:
        """The sum before a head is weighed, or once it is.

        The kind end is a bound where some part is unknown: none is below zero.
        """
        added = [part for part in parts.values() if not part.random]
        bounds = [part.weighed if weighed else Bound.exact(part.before) for part in added]
        exact = [bound.hard for bound in bounds if bound.kind is bound.hard]
        ranged = [bound for bound in bounds if bound.kind is not bound.hard]
        same = _total(exact)
        nominal, hard = (
            same + _total(each) if each else same
            for each in ([bound.nominal for bound in ranged], [bound.hard for bound in ranged])
        )
        kind = nominal
        if not all(bound.all_known for bound in bounds):
            kind = _total([np.nan_to_num(bound.kind) for bound in bounds])
        slip = parts["slip"].weighed
        random = np.sqrt(_total([part.before**2 for part in parts.values() if part.random]))
        return cls(Bound(kind, nominal, hard, slip.corner, slip.estimated), np.asarray(random))

    def against(self, tolerance: float, case: Case) -> Comparison:
        """The whole, in steps of what is left out, against a tolerance."""
        root = replace(self.added, kind=self.random, nominal=self.random, hard=self.random)
        limit, step = Bound.exact(tolerance), case.practice.error_left_out.nominal
        return Comparison(self.added, limit, FRACTION, rest=root, step=step)


def _total(shares: Sequence[Floats]) -> Floats:
    return np.asarray(sum(shares, np.asarray(0.0)))


def rounded(share: Floats, case: Case) -> Floats:
    """A part of it in the nearest step. [-]"""
    step = case.practice.error_left_out.nominal
    return np.rint(share / step) * step if step else share


def volume_error(case: Case, side: Side, *, weighed: bool) -> Floats:
    """The whole at the hard end, in steps of what is left out. [-]"""
    whole = ErrorSum.of(error_parts(case, side), weighed=weighed)
    return whole.against(case.duty.tolerance, case).whole.demand.hard


def error_slots(name: str) -> tuple[str, ...]:
    """Slots whose parts say what a part of the error rests on."""
    paths = ("cavity", *READS[name].parts)
    return tuple(dict.fromkeys(path.partition(".")[0] for path in paths))


def part_basis(name: str, case: Case, side: Side, build: Build) -> Basis:
    """What a part of the error rests on in a build."""
    if name == "displacement" and _is_measured(build[side.slot("cavity")]):
        return Basis.MEASURED
    reads = READS[name]
    asked = basis_of(
        reads.asks,
        component=side.component,
        material=case.material,
        process=case.process,
        practice=case.practice,
        practice_fields=reads.practice,
    )
    of_parts = basis_of_parts(reads.parts, build, side.prefix)
    return asked if of_parts is None or not reads.parts else weakest(asked, of_parts)
