"""The form to fill in: a CSV that carries its plan along."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from typing import Any

from configurator.trial.cells import float_or_none
from configurator.trial.plan import PLAN_VERSION, Run, SideFacts, TrialPlan
from configurator.units.display import show_interval
from configurator.units.interval import Interval
from configurator.units.kinds import DENSITY

PLANNED = (
    "run",
    "block",
    "side",
    "batch",
    "speed [rpm]",
    "turns",
    "shots",
    "back pressure [bar]",
    "temperature [degC]",
    "dwell [min]",
    "at [min]",
    "level",
)
"""Columns that the plan fills."""

BLANK_COLUMNS = (
    "clock [min]",
    "read pressure [bar]",
    "read temperature [degC]",
    "mass [g]",
    "left out because",
)
"""Columns that people fill; `mass` may be in any unit that its head names."""

DIGITS = 6


def form_csv(plan: TrialPlan) -> str:
    """Return the CSV to fill in.

    Lines above the table start with `#`, one figure a line: those with an empty value are to
    be filled in as well.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows((f"#{key}", value) for key, value in _facts(plan))
    writer.writerow([*PLANNED, *BLANK_COLUMNS])
    writer.writerows([*_cells(run), *("" for _ in BLANK_COLUMNS)] for run in plan.runs)
    return out.getvalue()


def _facts(plan: TrialPlan) -> list[tuple[str, str]]:
    """Everything above the table; JSON in one cell for what only programs read."""
    asked = [
        (f"density batch {batch}{f' {side.name}' if side.name else ''}", "")
        for batch in sorted({run.batch for run in plan.runs})
        for side in plan.sides
    ]
    return [
        ("headwright trial", str(PLAN_VERSION)),
        ("material", plan.material),
        ("process", plan.process),
        ("date", ""),
        ("balance step", ""),
        *asked,
        *(
            (f"stated density{f' {side.name}' if side.name else ''}", _density(side.density))
            for side in plan.sides
        ),
        ("plan", plan_json(plan)),
        ("fingerprint", plan.fingerprint),
    ]


def _density(density: Interval | None) -> str:
    return "not stated" if density is None else show_interval(density, DENSITY, "g/cm^3")


def plan_json(plan: TrialPlan) -> str:
    """Return the plan without its runs as one line of JSON."""
    return json.dumps(
        {
            "catalog": plan.catalog,
            "parts": dict(plan.parts),
            "sides": [
                {
                    "name": side.name,
                    "cavity": side.cavity,
                    "stator": side.stator,
                    "rigid": side.rigid,
                    "displacement": side.displacement,
                    "stages": side.stages,
                    "opening_pressure": side.opening_pressure,
                    "share": side.share,
                    "density": _ends(side.density),
                }
                for side in plan.sides
            ],
            "tolerance": plan.tolerance,
            "confidence": plan.confidence,
            "reliability": plan.reliability,
            "looks": plan.looks,
            "look": plan.look,
            "seed": plan.seed,
            "expected_spread": plan.expected_spread,
            "most_shots": plan.most_shots,
            "temperature": _ends(plan.temperature),
            "balance_step": plan.balance_step,
            "ratio_tolerance": plan.ratio_tolerance,
        },
        ensure_ascii=True,
    )


def _ends(interval: Interval | None) -> list[float] | None:
    return None if interval is None else [interval.low, interval.nominal, interval.high]


def _number(value: float) -> str:
    return f"{value:.{DIGITS}g}"


def _cells(run: Run) -> list[str]:
    return [
        str(run.number),
        run.block,
        run.side,
        str(run.batch),
        _number(run.speed * 60.0),
        _number(run.turns),
        str(run.shots),
        _number(run.pressure / 1e5),
        _number(run.temperature - 273.15),
        _number(run.dwell / 60.0),
        "" if run.minute is None else _number(run.minute),
        run.level,
    ]


def run_from(row: Mapping[str, str]) -> Run:
    """Read a planned row as it was made.

    Raises
    ------
    ValueError
        If a cell holds no number; says which.
    """

    def number(column: str) -> float:
        value = float_or_none(row[column])
        if value is None:
            raise ValueError(f"{column}: '{row[column][:40]}'")
        return value

    return Run(
        number=int(number("run")),
        block=row["block"],
        side=row["side"],
        batch=int(number("batch")),
        speed=number("speed") / 60.0,
        turns=number("turns"),
        shots=int(number("shots")),
        pressure=number("back pressure") * 1e5,
        temperature=number("temperature") + 273.15,
        dwell=number("dwell") * 60.0,
        minute=number("at") if row["at"] else None,
        level=row["level"],
    )


def plan_from(
    data: Mapping[str, Any], facts: Mapping[str, str], runs: tuple[Run, ...]
) -> TrialPlan:
    """Make a plan of the line that `plan_json` wrote and of its runs.

    Raises
    ------
    ValueError, KeyError, TypeError or AttributeError
        If the line was changed.
    """

    def interval(ends: Sequence[float] | None) -> Interval | None:
        return None if ends is None else Interval(*map(float, ends))

    sides = tuple(
        SideFacts(
            name=str(side["name"]),
            cavity=str(side["cavity"]),
            stator=str(side["stator"]),
            rigid=bool(side["rigid"]),
            displacement=float(side["displacement"]),
            stages=int(side["stages"]),
            opening_pressure=float(side["opening_pressure"]),
            share=float(side["share"]),
            density=interval(side["density"]),
        )
        for side in data["sides"]
    )
    temperature = interval(data["temperature"])
    if temperature is None or not 1 <= len(sides) <= 2:  # noqa: PLR2004 - one or two components
        raise ValueError("no plan")
    ratio = data["ratio_tolerance"]
    return TrialPlan(
        material=facts.get("material", ""),
        process=facts.get("process", ""),
        catalog=str(data["catalog"]),
        parts={str(slot): str(part) for slot, part in data["parts"].items()},
        sides=sides,
        tolerance=float(data["tolerance"]),
        confidence=float(data["confidence"]),
        reliability=float(data["reliability"]),
        looks=int(data["looks"]),
        look=int(data["look"]),
        seed=int(data["seed"]),
        expected_spread=float(data["expected_spread"]),
        most_shots=int(data["most_shots"]),
        temperature=temperature,
        balance_step=float(data["balance_step"]),
        ratio_tolerance=None if ratio is None else float(ratio),
        runs=runs,
    )
