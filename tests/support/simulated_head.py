"""Heads whose faults are known: they fill in a form as a laboratory would."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass, replace

import numpy as np

from configurator.trial.form import form_csv, plan_from, runs_from
from configurator.trial.plan import Run, TrialPlan

DENSITY = 1250.0
"""Of every batch and side, kg/m^3; invented."""


@dataclass(frozen=True)
class SimulatedHead:
    """What a head really does; all figures invented.

    Attributes
    ----------
    off : float
        Displacement over the catalog's, less 1. [-]
    slip : float
        Lost flow a pascal at the highest pressure; of a clearance at any. [m^3/(s Pa)]
    opening : float
        Share of the highest pressure from which an elastomer opens; 0 for a clearance. [-]
    highest : float
        Highest pressure of the map. [Pa]
    leak : float
        Lost flow at any speed and pressure. [m^3/s]
    noise : float
        Relative standard deviation of a shot. [-]
    air : float
        Lost at every start, as a share of a whole shot. [-]
    per_kelvin : float
        Change of a shot with temperature. [1/K]
    warming : float
        By how much the room warms over the drift block. [K]
    drift : float
        Change of a shot an hour in the drift block. [1/h]
    ratio_drift : float
        Change of side b an hour in the drift block. [1/h]
    batch : float
        What the second batch gives more. [-]
    evaporation : float
        Lost by every cup. [kg]
    """

    off: float = 0.01
    slip: float = 0.0
    opening: float = 0.0
    highest: float = 6e5
    leak: float = 0.0
    noise: float = 0.004
    air: float = 0.0
    per_kelvin: float = 0.0
    warming: float = 0.0
    drift: float = 0.0
    ratio_drift: float = 0.0
    batch: float = 0.0
    evaporation: float = 0.0

    def but(self, **changes: float) -> SimulatedHead:
        """The same head with other figures."""
        return replace(self, **changes)

    def slip_at(self, pressure: float) -> float:
        """Lost flow at a back pressure: of a clearance, or of a gap that opens, in m^3/s."""
        if not self.opening:
            return self.slip * pressure
        opened = max(pressure / self.highest - self.opening, 0.0) / (1.0 - self.opening)
        return self.slip * pressure * opened**3

    def temperature(self, run: Run) -> float:
        """What the thermometer reads in degC."""
        minutes = run.minute or 0.0
        return run.temperature - 273.15 + self.warming * minutes / 240.0

    def mass(self, run: Run, plan: TrialPlan, random: np.random.Generator) -> float:
        """What the balance shows, in kg."""
        cup = -self.evaporation
        if run.block == "blank":
            return cup + 0.02 * plan.balance_step * random.standard_normal()
        hours = (run.minute or 0.0) / 60.0
        grown = (1.0 + self.off) * (1.0 + self.drift * hours)
        grown *= 1.0 + self.per_kelvin * (
            self.temperature(run) - (plan.temperature.nominal - 273.15)
        )
        grown *= 1.0 + (self.batch if run.batch > 1 else 0.0)
        if run.side == "b":
            grown *= 1.0 + self.ratio_drift * hours
        side = next((side for side in plan.sides if side.name == run.side), plan.sides[0])
        per_turn = side.displacement if run.side else plan.ideal_per_turn
        lost = (self.leak + self.slip_at(run.pressure)) / run.speed
        volume = run.turns * (per_turn * grown - lost)
        whole = _whole_shot(plan) * (side.share if run.side else 1.0)
        starts = self.air * (1.0 + (run.dwell > 0)) * whole
        shots = np.array(
            [
                (volume - starts) * (1.0 + self.noise * random.standard_normal())
                for _ in range(run.shots)
            ]
        )
        return float(shots.sum()) * DENSITY + cup


def _whole_shot(plan: TrialPlan) -> float:
    """Of both sides together, in m^3."""
    shot = next(run for run in plan.runs if run.block == "repeatability")
    return shot.turns * plan.ideal_per_turn


def plan_of(form: str) -> TrialPlan:
    """The plan that a form carries, filled in or not."""
    facts = {row[0][1:]: row[1] for row in csv.reader(io.StringIO(form)) if row[0].startswith("#")}
    return plan_from(json.loads(facts["plan"]), facts, runs_from(facts["runs"]))


def filled(plan: TrialPlan, head: SimulatedHead, seed: int = 0, *, decimals: int = 6) -> str:
    """The form of a plan with every blank filled in."""
    random = np.random.default_rng(seed)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    rows = iter(plan.runs)
    for row in csv.reader(io.StringIO(form_csv(plan))):
        if row[0].startswith("#"):
            writer.writerow([row[0], _fact(row[0], row[1])])
        elif row[0] == "run":
            writer.writerow(row)
        else:
            run = next(rows)
            mass = head.mass(run, plan, random) * 1e3
            temperature = f"{head.temperature(run):.3f}"
            writer.writerow([*row[:12], "", "", temperature, f"{mass:.{decimals}f}", ""])
    return out.getvalue()


def _fact(key: str, value: str) -> str:
    if key.startswith("#density"):
        return "1.25 g/cm^3 +/- 0.05 %"
    return {"#balance step": "0.01 mg", "#date": "2026-03-04"}.get(key, value)
