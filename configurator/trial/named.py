"""What goes wrong with heads, by name: leak, air, temperature, drift, ratio, batch, evaporation.

Whether the head holds its tolerance is judged in `conditions`; here is what the causes look like.
Something is named if it is near certain (99.9 %) and takes a quarter of the tolerance.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.trial.blocks import DRIFT, RATIO, SHOTS, TEMPERATURE
from configurator.trial.conditions import Condition
from configurator.trial.distributions import Floats, t_quantile
from configurator.trial.groups import Shot
from configurator.trial.plan import SideFacts, TrialPlan
from configurator.trial.sample import LinearFit, slope
from configurator.trial.slip_map import SURE, SlipMap

NAMED_FROM = 0.25
"""Share of the tolerance from which something is named (common practice, no source). [-]"""

LEAST_KELVIN = 1.0
"""Range of read temperatures below which nothing is said about them. [K]"""


@dataclass(frozen=True, slots=True)
class Named:
    """One thing that shows in the weighings."""

    topic: str
    """leak, stator open at any pressure, air, ooze, temperature drift, drift over time, ratio drift,
    second batch, or evaporation."""
    effect: float
    """On the volume, or the ratio, as a share. [-]"""
    says: str
    """A sentence with its numbers."""
    adds: bool = False
    """True if it widens the tolerance interval."""
    decides: bool = False
    """True if it alone keeps the head from being accepted."""


def open_from_nothing(found: SlipMap, side: SideFacts, slowest: float) -> Named | None:
    """An elastomer stator that slips as a clearance does: at rest it lets material through.

    Named however little it takes, for the next list of builds turns on it.
    """
    if side.rigid or not found.slip_is_sure or found.opening is not None:
        return None
    pressure, slip = found.slip[-1]
    return Named(
        "stator open at any pressure",
        slip.value / (side.displacement * slowest),
        says=f"{side.whose}slip follows the pressure from nothing on, {slip.value * 6e7:.3g} mL/min at "
        f"{pressure / 1e5:.3g} bar, as through a clearance: at rest the feed pressure pushes "
        "material through, and the measured figures rule a head out where the feed has to push; "
        "look at the fit and the wear of the stator",
    )


def leak(found: SlipMap, side: SideFacts, slowest: float, plan: TrialPlan) -> Named | None:
    """A flow that is lost at any speed and pressure."""
    share = found.leak.value / (side.displacement * slowest)
    if not found.leak_is_sure or share < NAMED_FROM * plan.tolerance:
        return None
    return Named(
        "leak",
        share,
        decides=True,
        says=f"{side.whose}{found.leak.value * 6e7:.3g} +/- {found.leak.half * 6e7:.2g} mL/min is lost at "
        f"any speed and pressure, {share * 100:.3g} % at the lowest speed: look at shaft seal, "
        "joints and stator",
    )


def air(start: Condition, plan: TrialPlan) -> Named | None:
    """What each start and stop of a side takes or gives, whatever the size of the shot."""
    share, half = start.mean, start.factor * start.deviation
    if abs(share) <= half or abs(share) < NAMED_FROM * plan.tolerance:
        return None
    if share < 0.0:
        says = "air or a soft line takes it up; degas"
        topic, verb = "air", "lacks"
    else:
        says = "it runs on after the stop; suck back"
        topic, verb = "ooze", "gains"
    whose = f"side {start.side}: " if start.side else ""
    return Named(
        topic,
        abs(share),
        says=f"{whose}every shot {verb} {abs(share) * 100:.3g} % whatever its size: {says}",
    )


def temperature(
    shots: Sequence[Shot], plan: TrialPlan, factor: float
) -> tuple[Named | None, float]:
    """Change of the shot with the temperature, and the slope. [1/K]"""
    blocks = (SHOTS, DRIFT, TEMPERATURE)
    at_middle = [
        shot for shot in shots if shot.run.block in blocks and shot.run.level in ("", "middle")
    ]
    kelvin = np.array([shot.reading.temperature for shot in at_middle])
    if len(kelvin) < 6 or np.ptp(kelvin) < LEAST_KELVIN:  # noqa: PLR2004 - too few for a slope
        return None, 0.0
    line = slope(kelvin, _set(np.array([shot.error for shot in at_middle]), factor))
    if line is None or not _sure(line):
        return None, 0.0
    asked = plan.temperature
    reach = max(asked.high - asked.nominal, asked.nominal - asked.low, 0.0)
    change = float(line.values[1])
    seen = max(reach, float(np.ptp(kelvin)) / 2.0)
    effect = abs(change) * seen
    if effect < NAMED_FROM * plan.tolerance:
        return None, change
    return (
        Named(
            "temperature drift",
            effect,
            adds=True,
            decides=effect >= plan.tolerance,
            says=f"shots change by {change * 100:.3g} % a kelvin, {effect * 100:.3g} % over "
            f"+/- {seen:.3g} K: hold the temperature of material and head, or set the turns by it",
        ),
        change,
    )


def drift_line(shots: Sequence[Shot], factor: float, per_kelvin: float) -> LinearFit | None:
    """Shots of the drift block over its minutes, less what temperature explains."""
    over_time = [shot for shot in shots if shot.run.block == DRIFT]
    minutes = np.array([_minute(shot) for shot in over_time])
    if len(np.unique(minutes)) < 3:  # noqa: PLR2004 - no trend in two points
        return None
    kelvin = np.array([shot.reading.temperature for shot in over_time])
    values = _set(np.array([shot.error for shot in over_time]), factor)
    return slope(minutes, values - per_kelvin * (kelvin - kelvin.mean()))


def drift(shots: Sequence[Shot], plan: TrialPlan, factor: float, per_kelvin: float) -> Named | None:
    """Change over the hours of the drift block that temperature does not explain."""
    line = drift_line(shots, factor, per_kelvin)
    if line is None or not _sure(line):
        return None
    minutes = [_minute(shot) for shot in shots if shot.run.block == DRIFT]
    effect = abs(float(line.values[1])) * float(np.ptp(minutes))
    if effect < NAMED_FROM * plan.tolerance:
        return None
    hourly = float(line.values[1]) * 60.0
    return Named(
        "drift over time",
        effect,
        adds=True,
        decides=effect >= plan.tolerance,
        says=f"shots change by {hourly * 100:.3g} % an hour, {effect * 100:.3g} % over the drift "
        "block, at one temperature: wear, swelling, settling or cure",
    )


def ratio(shots: Sequence[Shot], plan: TrialPlan) -> Iterator[Named]:
    """Ratio of the two components, and its trend."""
    if not plan.two_part or plan.ratio_tolerance is None:
        return
    first, second = plan.sides
    by_time: dict[float, dict[str, list[float]]] = {}
    for shot in shots:
        if shot.run.block == RATIO:
            # Each side turns at its own speed: its flow is volume a turn times that speed.
            run = shot.run
            flow = shot.volume / run.turns * run.speed
            at = 0.0 if run.minute is None else run.minute
            by_time.setdefault(at, {}).setdefault(run.side, []).append(flow)
    wanted = first.share / second.share
    minutes, off = [], []
    for minute, flows in sorted(by_time.items()):
        for flow_a, flow_b in zip(
            flows.get(first.name, []), flows.get(second.name, []), strict=False
        ):
            minutes.append(minute)
            off.append(flow_a / flow_b / wanted - 1.0)
    values = np.array(off)
    if len(values) < 3:  # noqa: PLR2004 - fewer say nothing
        return
    limit = plan.ratio_tolerance
    line = slope(np.array(minutes), values)
    if line is None or not _sure(line):
        return
    effect = abs(float(line.values[1])) * (max(minutes) - min(minutes))
    if effect >= NAMED_FROM * limit:
        yield Named(
            "ratio drift",
            effect,
            decides=effect >= limit,
            says=f"the ratio moves by {float(line.values[1]) * 6000:.3g} % an hour, "
            f"{effect * 100:.3g} % over the trial; +/- {limit * 100:.3g} % is allowed: one side "
            "wears, swells or starves",
        )


def second_batch(batch: Condition, plan: TrialPlan) -> Named | None:
    """The second batch against the first."""
    mean = batch.mean
    if batch.count < 3:  # noqa: PLR2004 - fewer have no spread to speak of
        return None
    half = (
        t_quantile((1.0 + SURE) / 2.0, batch.count - 1) * batch.deviation / math.sqrt(batch.count)
    )
    if abs(mean) <= half or abs(mean) < NAMED_FROM * plan.tolerance:
        return None
    return Named(
        "second batch",
        abs(mean),
        adds=True,
        says=f"the second batch gives {mean * 100:+.3g} %: set the head on the scale for each "
        "batch, or allow for it",
    )


def evaporation(correction: float, shots: Sequence[Shot], plan: TrialPlan) -> Named | None:
    """What the blanks gain or lose, against the tolerance of a shot."""
    masses = [shot.reading.mass for shot in shots if shot.run.block == SHOTS]
    if not masses:
        return None
    share = abs(correction) / float(np.median(masses))
    if share < 0.1 * plan.tolerance:
        return None
    word = "lose" if correction < 0 else "gain"
    return Named(
        "evaporation",
        share,
        decides=share >= plan.tolerance,
        says=f"blanks {word} {abs(correction) * 1e6:.3g} mg, {share * 100:.3g} % of a shot, which is "
        "taken off: cover the cups, or let the balance settle",
    )


def _set(values: Floats, factor: float) -> Floats:
    return (1.0 + values) * factor - 1.0


def _sure(line: LinearFit) -> bool:
    return abs(float(line.values[1])) > line.half_width(1, SURE)


def _minute(shot: Shot) -> float:
    if shot.reading.clock is not None:
        return shot.reading.clock
    return shot.run.minute or 0.0
