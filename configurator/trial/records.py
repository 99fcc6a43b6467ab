"""What a trial leaves in the shop's record."""

from __future__ import annotations

import math
from typing import Literal, cast

from configurator.trial.blocks import PRESSURE
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
    speeds = [run.speed for run in plan.of(PRESSURE, side=result.side.name)]
    return HeadRecord(
        trial=plan.trial,
        date=evaluation.date,
        material=plan.material,
        side=cast(Literal["", "a", "b"], result.side.name),
        cavity=result.side.cavity,
        stator=result.side.stator,
        rigid=result.side.rigid,
        verdict=cast(Literal["accept", "extend", "reject"], evaluation.verdict.word),
        displacement_ml=_six(found.displacement.value * 1e6),
        displacement_half_ml=_six(found.displacement.half * 1e6),
        slip_ml_min=_six(lost * 6e7),
        slip_shows=found.slip_is_sure,
        pressure_bar=_six(pressure / 1e5),
        opening_bar=None if found.opening is None else _six(found.opening / 1e5),
        speed_rpm=_six(max(speeds) * 60.0),
        temperature_c=_six(plan.temperature.nominal - 273.15),
        delivered_ml=None if math.isnan(result.delivered) else _six(result.delivered * 1e6),
        tolerance_pct=_six(plan.tolerance * 100.0),
        drift_pct_h=_six(evaluation.drift[0] * 100.0) if evaluation.drift else None,
        drift_half_pct_h=_six(evaluation.drift[1] * 100.0) if evaluation.drift else None,
    )


def _six(value: float) -> float:
    return float(f"{value:.6g}")
