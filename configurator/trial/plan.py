"""The plan of a trial, fixed before data are seen, with its stop rule; and what was weighed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass

from configurator.units.interval import Interval

PLAN_VERSION = 2

Densities = dict[tuple[int, str], tuple[Interval, bool]]
"""By batch and side: the density, and whether it was measured. [kg/m^3]"""


@dataclass(frozen=True, slots=True)
class Run:
    """One weighing."""

    number: int
    """From 1, in the order in which it is done."""
    block: str
    """What it is for."""
    side: str
    """`a` or `b` where one component is caught by itself, else empty."""
    batch: int
    """From 1. [-]"""
    speed: float
    """Of the rotor; with both sides running, that of side a. 0 for a blank. [rev/s]"""
    turns: float
    """Of that rotor in one shot; 0 for a blank. [-]"""
    shots: int
    """Caught in this weighing. [-]"""
    pressure: float
    """Behind the outlet, expected or to be set. [Pa]"""
    temperature: float
    """Of material and room. [K]"""
    dwell: float
    """Stop before this shot. [s]"""
    minute: float | None
    """When, since the start of its block, where that matters. [min]"""
    level: str
    """`low`, `middle` or `high` flow in the repeatability block, else empty."""

    @property
    def cells(self) -> list[str | int]:
        """As the form shows it, in units of the trade."""
        return [
            self.number,
            self.block,
            self.side,
            self.batch,
            f"{self.speed * 60.0:.6g}",
            f"{self.turns:.6g}",
            self.shots,
            f"{self.pressure / 1e5:.6g}",
            f"{self.temperature - 273.15:.6g}",
            f"{self.dwell / 60.0:.6g}",
            "" if self.minute is None else f"{self.minute:.6g}",
            self.level,
        ]


@dataclass(frozen=True)
class SideFacts:
    """What the evaluation needs of one metering side; figures as the catalog had them."""

    name: str
    """Empty for a one-part material, else `a` or `b`."""
    cavity: str
    stator: str
    """Part names."""
    rigid: bool
    """True if the stator seals with a clearance."""
    displacement: float
    """[m^3/rev]"""
    stages: int
    """Of the cavity. [-]"""
    opening_pressure: float
    """A stage. [Pa]"""
    share: float
    """Of the whole flow. [-]"""
    density: Interval | None
    """As the request has it. [kg/m^3]"""

    @property
    def whose(self) -> str:
        """How a sentence about this side begins; empty for a one-part material."""
        return f"side {self.name}: " if self.name else ""


@dataclass(frozen=True)
class TrialPlan:
    """A trial, fixed before anything is weighed."""

    material: str
    process: str
    catalog: str
    """Names, and the catalog's digest."""
    parts: Mapping[str, str]
    sides: tuple[SideFacts, ...]
    """One, or two."""
    tolerance: float
    """Wanted volume error either way. [-]"""
    confidence: float
    """Over all looks. [-]"""
    reliability: float
    """Share of shots that the tolerance shall hold. [-]"""
    looks: int
    """How often the data may be looked at to decide. [-]"""
    look: int
    """Which of them this plan feeds, from 1. [-]"""
    seed: int
    """Of the order."""
    expected_spread: float
    """Relative standard deviation that sized the trial. [-]"""
    most_shots: int
    """A set point, over all looks; beyond them the trial is over. [-]"""
    temperature: Interval
    """Of the process. [K]"""
    balance_step: float
    """Coarsest step that tells. [kg]"""
    ratio_tolerance: float | None
    """Of a two-part material. [-]"""
    runs: tuple[Run, ...]
    """In their order."""
    tasks: tuple[tuple[str, str], ...] = ()
    """What else has to be done, each with its topic."""
    unproven: tuple[str, ...] = ()
    """What the plan leaves out."""

    @property
    def two_part(self) -> bool:
        """True if two components are metered."""
        return len(self.sides) > 1

    @property
    def look_confidence(self) -> float:
        """Confidence of each look: the risk is split evenly, so that looking twice is no luck."""
        return 1.0 - (1.0 - self.confidence) / self.looks

    @property
    def ideal_per_turn(self) -> float:
        """Volume of both sides together a turn of the first one, by the catalog. [m^3/rev]"""
        first = self.sides[0]
        return first.displacement / first.share

    @property
    def material_mass(self) -> float | None:
        """Mass of material that all runs take; None where a density is not known. [kg]"""
        mass = 0.0
        for run in self.runs:
            sides = [side for side in self.sides if run.side in ("", side.name)]
            for side in sides:
                if side.density is None:
                    return None
                per_turn = side.displacement if run.side else self.ideal_per_turn * side.share
                mass += run.turns * run.shots * per_turn * side.density.nominal
        return mass

    @property
    def trial(self) -> str:
        """Name of the trial: the same for every look at the same head, from its facts alone."""
        facts = {
            "material": self.material,
            "process": self.process,
            "catalog": self.catalog,
            "parts": dict(self.parts),
            "tolerance": self.tolerance,
            "confidence": self.confidence,
            "reliability": self.reliability,
            "looks": self.looks,
        }
        return _digest(facts)[:12]

    @property
    def fingerprint(self) -> str:
        """Digest of the runs as planned: says later whether the plan was changed."""
        rows = [run.cells for run in self.runs]
        return _digest([self.trial, self.look, self.seed, rows])[:12]

    def of(self, block: str, *, side: str | None = None) -> tuple[Run, ...]:
        """Runs of a block, of one side if that is given."""
        return tuple(run for run in self.runs if run.block == block and side in (None, run.side))

    @property
    def stop_rule(self) -> tuple[str, ...]:
        """The rule that ends the trial, in sentences, fixed with the plan."""
        percent = f"{self.tolerance * 100:.3g} %"
        good, sure = f"{self.reliability * 100:.3g} %", f"{self.confidence * 100:.3g} %"
        split = (
            f" Up to {self.looks} looks are planned, so each is held at "
            f"{self.look_confidence * 100:.4g} %."
            if self.looks > 1
            else ""
        )
        return (
            (
                f"Accept: at every flow, the two-sided tolerance interval for {good} of all shots, "
                f"widened by drift, temperature and batch where they show, lies within +/- {percent} "
                f"at {sure} confidence; so does every other condition by itself (whole shots by the "
                "same interval, catches and single sides by a t interval of their mean), all at once "
                "at that confidence (Bonferroni); every planned run is there; no weighing stands out "
                f"(extreme studentized deviate) by more than the tolerance; no leak shows.{split}"
            ),
            (
                "Extend: not accepted, and a number of further weighings exists that would do with "
                f"mean and spread as seen, within {self.most_shots} shots a flow and {self.looks} "
                "looks. The number is stated, and no look is taken before they are weighed."
            ),
            "Reject: not accepted, and no such number exists.",
            (
                "Stop at once, whatever the numbers: a leak at the shaft, pressure above the rating, "
                "smoke, swelling that stalls the rotor."
            ),
        )


def _digest(data: object) -> str:
    text = json.dumps(data, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def shuffled(keys: list[str], seed: int) -> list[int]:
    """Places of keys in a random order that a seed fixes for ever, whatever the machine.

    Each key is put at the place of its digest together with the seed.

    Examples
    --------
    >>> sorted(shuffled(["a", "b", "c"], 7))
    [0, 1, 2]
    """
    marks = [hashlib.sha256(f"{seed}:{key}".encode()).hexdigest() for key in keys]
    return sorted(range(len(keys)), key=lambda place: marks[place])


@dataclass(frozen=True, slots=True)
class Reading:
    """One filled row."""

    run: Run
    mass: float
    """Of the whole catch. [kg]"""
    pressure: float
    """As read, else as planned. [Pa]"""
    temperature: float
    """As read, else as planned. [K]"""
    clock: float | None
    """Since the start of the trial or block. [min]"""
    left_out: str
    """Why it does not count; empty if it does."""


@dataclass(frozen=True)
class Weighings:
    """A filled form."""

    plan: TrialPlan
    readings: tuple[Reading, ...]
    """Rows that have a mass, in the order of the plan."""
    missing: tuple[int, ...]
    """Runs without one."""
    densities: Densities
    """By batch and side, each with whether it was measured. [kg/m^3]"""
    date: str
    """As written; may be empty."""
    read_as: str = ""
    """How the form was read, in words."""


def expected_mass(
    run: Run,
    plan: TrialPlan,
    densities: Densities,
) -> float | None:
    """Mass of a catch by the catalog's displacement; None where a density is missing. [kg]"""
    mass = 0.0
    for side in plan.sides:
        if run.side in ("", side.name):
            density = densities.get((run.batch, side.name))
            if density is None:
                return None
            per_turn = side.displacement if run.side else plan.ideal_per_turn * side.share
            mass += run.turns * run.shots * per_turn * density[0].nominal
    return mass
