"""What an evaluated trial leaves behind: a record of each side of the head."""

from __future__ import annotations

from typing import Literal

from configurator.trial.evaluate import SideResult, TrialEvaluation
from configurator.trial.slip_map import SlipMap
from configurator.workshop.head_record import HeadRecord


def records_of(evaluation: TrialEvaluation) -> tuple[HeadRecord, ...]:
    """Return what a trial leaves behind, one record a side that could be mapped."""
    return tuple(
        _record(evaluation, result, result.map)
        for result in evaluation.sides
        if result.map is not None
    )


def _record(evaluation: TrialEvaluation, result: SideResult, found: SlipMap) -> HeadRecord:
    pressure, slip = found.slip[-1]
    plan = evaluation.plan
    lost = slip.value if found.slip_is_sure else max(slip.high, 0.0)
    speeds = [
        run.speed
        for run in plan.runs
        if run.block == "pressure map" and run.side == result.side.name
    ]
    return HeadRecord(
        trial=plan.trial,
        date=evaluation.date,
        material=plan.material,
        side=_side_name(result.side.name),
        cavity=result.side.cavity,
        stator=result.side.stator,
        rigid=result.side.rigid,
        verdict=_word(evaluation.verdict.word),
        displacement_ml=_six(found.displacement.value * 1e6),
        displacement_half_ml=_six(found.displacement.half * 1e6),
        slip_ml_min=_six(lost * 6e7),
        slip_shows=found.slip_is_sure,
        pressure_bar=_six(pressure / 1e5),
        opening_bar=None if found.opening is None else _six(found.opening / 1e5),
        speed_rpm=_six(max(speeds) * 60.0),
        temperature_c=_six(plan.temperature.nominal - 273.15),
    )


def _side_name(name: str) -> Literal["", "a", "b"]:
    return "a" if name == "a" else "b" if name == "b" else ""


def _word(word: str) -> Literal["accept", "extend", "reject"]:
    return "accept" if word == "accept" else "extend" if word == "extend" else "reject"


def _six(value: float) -> float:
    return float(f"{value:.6g}")
