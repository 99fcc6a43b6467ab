"""What a trial has to know of one build: its sides at work, at nominal material."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from configurator.catalog.parts import Cavity, Part, Stator
from configurator.rules.case import Case
from configurator.rules.frame import Floats, Frame
from configurator.rules.pressure import stage_pressure
from configurator.rules.rotation import NOMINAL
from configurator.rules.side import Side
from configurator.rules.subject import Subject
from configurator.trial.plan import SideFacts
from configurator.units.display import show_value
from configurator.units.interval import Interval
from configurator.units.kinds import PRESSURE

SECONDS_WITHOUT_SHOT = 10.0
"""How long a catch runs where the process has no shot of its own (common practice). [s]"""

UNKNOWN_DENSITY = 1000.0
"""Where no density is stated: light is the hard case for a balance. [kg/m^3]"""

LONGEST_CATCH = 20.0
"""Turns above which a catch is cut off: a longer shot spreads no more, and material is dear
(common practice, no source). [-]"""

RATED_SLOTS = {"size": "housing", "body": "body", "seal": "shaft seal"}
"""Slots of a side that are rated for a pressure, beside the stages, in a word or two."""


def case_of(subject: Subject, parts: Mapping[str, Part]) -> Case:
    """The case of one build: a grid of one part a slot."""
    return Case(subject, Frame({slot: (part,) for slot, part in parts.items()}))


def one(values: object) -> float:
    """The single number of an array over a frame of one build."""
    return float(np.asarray(values, dtype=np.float64).reshape(-1)[0])


@dataclass(frozen=True)
class HeadSide(SideFacts):
    """One metering side at work."""

    speeds: Interval
    """At the lowest, nominal and highest flow, with the slip of nominal material. [rev/s]"""
    slowest: float
    fastest: float
    """Speeds of the drive. [rev/s]"""
    pressure_allowed: float
    """What the stages and parts of this side are rated for. [Pa]"""
    weakest: str
    """Which of them sets that."""

    @property
    def lightest(self) -> float:
        """Density for a balance: that of water where none is known. [kg/m^3]"""
        return UNKNOWN_DENSITY if self.density is None else self.density.low


@dataclass(frozen=True)
class Head:
    """One build as a trial sees it."""

    subject: Subject
    parts: Mapping[str, Part]
    case: Case
    """Over this build alone."""
    sides: tuple[HeadSide, ...]
    """One, or two."""
    shot: float
    """What one catch of the repeatability block holds. [m^3]"""
    shot_words: str
    """Where that volume comes from."""

    _behind: dict[float, Floats] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def pressure_at(self, flow: float) -> float:
        """Pressure behind the outlet at a flow of nominal material. [Pa]"""
        return one(self._pressures_at(flow)[1])

    def thick_pressure_at(self, flow: float) -> float:
        """Pressure behind the outlet at a flow of the thickest batch. [Pa]"""
        return one(self._pressures_at(flow)[2])

    def _pressures_at(self, flow: float) -> Floats:
        # A plan that is fitted into some hours asks thousands of times for the same few flows.
        if flow not in self._behind:
            self._behind[flow] = self.case.outlet.behind(flow)
        return self._behind[flow]

    @property
    def pressure_allowed(self) -> float:
        """Smallest rating on both sides and at the tip. [Pa]"""
        return min(
            one(self.case.column("outlet", "pressure_max")),
            *(side.pressure_allowed for side in self.sides),
        )

    @property
    def rated(self) -> float:
        """Smallest rating against the pressure behind the outlet, a mixer's included. [Pa]"""
        if not self.case.material.two_part:
            return self.pressure_allowed
        mixer = one(self.case.column("mixing", "pressure_max", "low"))
        return float(np.fmin(self.pressure_allowed, mixer))

    @property
    def over_rating(self) -> str | None:
        """What to know first of a build that passes a rating at work; None if it does not."""
        expected = one(self.case.outlet.highest.hard)
        if not expected > self.rated:
            return None
        return (
            f"up to {show_value(expected, PRESSURE)} is expected, and the weakest part is rated "
            f"{show_value(self.rated, PRESSURE)}: do not run this plan over the whole range; no trip "
            "is set above the rating, and a wider tip, a stronger head or a warmer material comes first"
        )


def head_of(subject: Subject, parts: Mapping[str, Part]) -> Head:
    """Work out one build, one part a slot, at nominal material."""
    case = case_of(subject, parts)
    shot = subject.duty.shot
    sides = tuple(_side(case, side, parts) for side in case.sides)
    if shot is None:
        volume, words = subject.duty.flow.nominal * SECONDS_WITHOUT_SHOT, "ten seconds of flow"
    else:
        volume, words = shot.nominal, "one shot of the process"
    most = LONGEST_CATCH * min(side.displacement / side.share for side in sides)
    if volume > most:
        volume, words = (
            most,
            f"{LONGEST_CATCH:.0f} turns in place of {words}, which spreads no more",
        )
    return Head(subject, parts, case, sides, volume, words)


def _side(case: Case, side: Side, parts: Mapping[str, Part]) -> HeadSide:
    cavity, stator = parts[side.slot("cavity")], parts[side.slot("stator")]
    assert isinstance(cavity, Cavity)
    assert isinstance(stator, Stator)
    ratings = {
        "stages": one(stage_pressure(case, side).limit.hard) * cavity.stages.nominal,
        **{name: one(side.column(slot, "pressure_max")) for slot, name in RATED_SLOTS.items()},
    }
    known = {name: rating for name, rating in ratings.items() if not np.isnan(rating)}
    weakest = min(known, key=lambda name: known[name])
    density = side.component.density
    duty = case.duty
    return HeadSide(
        name=side.prefix.rstrip("."),
        cavity=cavity.name,
        stator=stator.name,
        rigid=stator.kind == "rigid",
        displacement=cavity.displacement.nominal,
        stages=int(cavity.stages.nominal),
        opening_pressure=cavity.opening_pressure.nominal,
        share=side.share.nominal,
        speeds=Interval(
            speed_at(side, duty.flow.low),
            speed_at(side, duty.flow.nominal),
            speed_at(side, duty.flow.high),
        ),
        slowest=one(side.column("drive", "speed_min")),
        fastest=one(side.column("drive", "speed_max")),
        pressure_allowed=known[weakest],
        weakest=weakest,
        density=None if density is None else density.interval,
    )


def speed_at(side: Side, flow: float) -> float:
    """Rotor speed that delivers a flow of the whole deposit, at nominal material. [rev/s]

    Slip that nobody can work out, for want of a density say, counts as none: the scale tells.
    """
    own = flow * side.share.nominal
    slip = side.rotation.slip_at(flow)
    middle = (one(slip.low[NOMINAL]) + one(slip.high[NOMINAL])) / 2.0
    lost = middle if math.isfinite(middle) else 0.0
    return (own + lost) / one(side.column("cavity", "displacement"))
