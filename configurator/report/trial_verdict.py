"""What a trial shows, as text and JSON."""

from __future__ import annotations

import math
from typing import Any

from configurator.report.lines import WIDTH, columns, labelled, listed, wrapped
from configurator.report.machine import answer_json, data_of, number
from configurator.trial.blocks import SHOTS
from configurator.trial.conditions import Condition
from configurator.trial.evaluate import ACCEPT, SideResult, TrialEvaluation
from configurator.trial.slip_map import Estimate
from configurator.units.display import figures, plural, show_value
from configurator.units.kinds import MASS, PRESSURE

SMALL_FLOW = 0.1
"""Slip below which all of it is told in uL/min. [mL/min]"""

_HEADS = ("flow", "n", "mean %", "spread %", "k", "95 % of shots, %", "Cpk", "at least", "inside")


def evaluation_table(found: TrialEvaluation, *, width: int = WIDTH) -> str:
    """Return an evaluation as text for people: the verdict first, then what it rests on."""
    tell = (_verdict, _untested, _named, _head, _levels, _conditions, _remarks)
    blocks = [block(found, width) for block in tell]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _verdict(found: TrialEvaluation, width: int) -> list[str]:
    verdict = found.verdict
    by = f" by {plural(verdict.further, 'weighing')} of each" if verdict.further else ""
    blocks = "".join(
        f" --again '{block}'" if " " in block else f" --again {block}" for block in verdict.blocks
    )
    again = (
        f"next: headwright trial plan {found.plan.material} {found.plan.process} --look "
        f"{found.looks + 1} --shots {verdict.further}{blocks} --out more.csv, with the options of "
        "the first plan"
    )
    texts = [*verdict.reasons, again] if verdict.further else verdict.reasons
    open_ones = ", for what was tested" if verdict.word == ACCEPT and found.untested else ""
    head = f"Verdict: {verdict.word}{by}{open_ones}"
    return listed(head, texts, width) or [head]


def _untested(found: TrialEvaluation, width: int) -> list[str]:
    said = set(found.verdict.reasons)
    texts = [text for text in found.untested if f"not tested: {text}" not in said]
    return listed("Not tested:", texts, width)


def _head(found: TrialEvaluation, width: int) -> list[str]:
    plan = found.plan
    pairs = [
        ("Trial", f"{plan.trial}, {plural(found.looks, 'form')}, {found.date or 'no date'}"),
        ("Material", plan.material),
        (
            "Setting",
            f"{_setting(found)} on the scale; the intervals below are after that",
        ),
    ]
    for result in found.sides:
        pairs += _side(result)
    return labelled(pairs, width)


def _setting(found: TrialEvaluation) -> str:
    """Each side by itself where it was caught: only so the ratio is right as well."""
    told = [each for each in found.sides if each.side.name and not math.isnan(each.delivered)]
    if len(told) < 2:  # noqa: PLR2004 - one part, or nothing of a side
        return f"turns times {found.setting:.4f} set the nominal flow right"
    by_side = " and ".join(f"times {each.setting:.4f} of side {each.side.name}" for each in told)
    return f"turns {by_side} set the nominal flow and the ratio right"


def _side(result: SideResult) -> list[tuple[str, str]]:
    side, found = result.side, result.map
    name = f" {side.name}" if side.name else ""
    if found is None:
        return [(f"Head{name}", f"{side.cavity}: the catches cannot tell displacement from slip")]
    off = found.displacement.value / side.displacement - 1.0
    density = "" if result.density_measured else "; with the data sheet's density"
    shape = "" if found.opening is None else f", from {show_value(found.opening, PRESSURE)} on"
    largest = max(abs(found.leak.value), *(slip.value for _, slip in found.slip))
    flow, scale = ("mL/min", 6e7) if largest * 6e7 >= SMALL_FLOW else ("uL/min", 6e10)
    slips = ", ".join(
        f"{_in(slip, scale)} at {show_value(pressure, PRESSURE)}" for pressure, slip in found.slip
    )
    straight = (
        "fewer than three speeds: not told"
        if math.isnan(found.nonlinearity)
        else f"within {figures(found.nonlinearity * 100)} % of the highest flow"
    )
    return [
        (
            f"Head{name}",
            (
                f"{side.cavity} with {side.stator}: {f'{found.displacement.value * 1e6:.5g} +/- {figures(found.displacement.half * 1e6)} mL'} a turn, "
                f"{off * 100:+.2g} % off the catalog's{density}"
            ),
        ),
        (
            f"Slip{name}",
            (
                f"{slips} {flow}{shape}; {'shown' if found.slip_is_sure else 'not shown'}; at any "
                f"speed and pressure {_in(found.leak, scale)} {flow}"
            ),
        ),
        (
            f"Start{name}",
            (
                "all catches are of one length, so what a start takes is not told apart"
                if found.start is None
                else f"each takes {_in(found.start, 1e9)} uL, which the displacement leaves out"
            ),
        ),
        (
            f"Line{name}",
            (f"{straight}; catches spread by {figures(found.spread * 100)} %"),
        ),
    ]


def _in(estimate: Estimate, scale: float) -> str:
    return f"{figures(estimate.value * scale)} +/- {figures(estimate.half * scale)}"


def _levels(found: TrialEvaluation, width: int) -> list[str]:
    rows = [_level(level) for level in found.judged.levels]
    heads = [head.replace("95", figures(found.plan.reliability * 100)) for head in _HEADS]
    laid_out = columns(heads, rows, width, right=frozenset(heads) - {"flow"})
    lines = [line for entry in laid_out for line in entry]
    words = (
        f"k: tolerance factor at {found.plan.look_confidence * 100:.4g} % confidence (exact, as in "
        "ISO 16269-6:2014); at least: lower bound of Cpk at 90 %"
    )
    return [*lines, *wrapped(words, width)]


def _level(level: Condition) -> list[str]:
    return [
        level.level,
        str(level.count) + (f"x{level.grouped}" if level.grouped > 1 else ""),
        f"{level.mean * 100:+.3f}".replace("-0.000", "+0.000"),
        f"{level.deviation * 100:.3f}",
        f"{level.factor:.3f}",
        f"{level.low * 100:+.3g} to {level.high * 100:+.3g}",
        figures(level.capability.cpk),
        figures(level.capability.cpk_low),
        f"{level.inside} of {level.count}",
    ]


def _conditions(found: TrialEvaluation, width: int) -> list[str]:
    """Everything but the flows, what fails first."""
    beside = [each for each in found.judged.conditions if each.block != SHOTS]
    listed_rows = sorted(beside, key=lambda each: each.holds())
    rows = [
        [
            each.words,
            str(each.count) + (f"x{each.grouped}" if each.grouped > 1 else ""),
            f"{each.mean * 100:+.2f}".replace("-0.00", "+0.00"),
            f"{each.low * 100:+.3g} to {each.high * 100:+.3g}",
            f"{figures(each.limit * 100)}",
            "within" if each.holds() else "OUTSIDE",
        ]
        for each in listed_rows
    ]
    heads = ("condition", "n", "mean %", "interval, %", "+/- %", "state")
    lines = (
        [
            line
            for entry in columns(heads, rows, width, right=frozenset(heads[1:5]))
            for line in entry
        ]
        if rows
        else []
    )
    if rows:
        words = (
            f"intervals: {figures(found.plan.reliability * 100)} % of whole shots, or the mean of "
            f"catches and single sides, each at {found.judged.each * 100:.5g} %, so that all "
            f"{len(rows)} hold at once at {found.plan.look_confidence * 100:.4g} % (Bonferroni)"
        )
        lines += wrapped(words, width)
    return lines


def _named(found: TrialEvaluation, width: int) -> list[str]:
    texts = (f"{each.topic}: {each.says}" for each in found.named)
    return listed("What stands out:", texts, width)


def _remarks(found: TrialEvaluation, width: int) -> list[str]:
    texts = []
    stand_out = [str(each.run.number) for each in found.judged.outliers if not each.fails]
    if stand_out:
        texts.append(
            f"Outliers within the tolerance, which count all the same: run {', '.join(stand_out)}. "
            "Look them up; a shot is left out only with a reason written into the form."
        )
    texts += [f"Left out: run {run}: {why}" for run, why in found.left_out]
    mean, count = found.blanks
    if count:
        word = "taken off" if mean else "not taken off: fewer than three"
        texts.append(f"Blanks: {show_value(abs(mean), MASS)} on average of {count}, {word}.")
    if found.counted is not None:
        counted = sum(level.count for level in found.judged.levels)
        texts.append(
            f"By counting alone, without a normal distribution: all {counted} shots inside "
            f"show {figures(found.counted * 100)} % at {figures(found.plan.confidence * 100)} %."
        )
    return [line for text in texts for line in wrapped(text, width, rest="  ")]


def evaluation_json(found: TrialEvaluation) -> str:
    """Return an evaluation as JSON."""
    plan = found.plan
    return answer_json(
        trial=plan.trial,
        date=found.date,
        material=plan.material,
        process=plan.process,
        looks=found.looks,
        verdict={
            "word": found.verdict.word,
            "further_weighings": found.verdict.further,
            "blocks": list(found.verdict.blocks),
            "reasons": list(found.verdict.reasons),
        },
        setting_factor=number(found.setting),
        sides=[_side_data(result) for result in found.sides],
        levels=[_level_data(level) for level in found.judged.levels],
        conditions=[
            _condition_data(each) for each in found.judged.conditions if each.block != SHOTS
        ],
        outliers=[
            {
                "run": each.run.number,
                "condition": each.words,
                "off_pct": number(each.off * 100.0),
                "fails": each.fails,
            }
            for each in found.judged.outliers
        ],
        not_tested=list(found.untested),
        named=[
            {
                "topic": each.topic,
                "effect_pct": number(each.effect * 100.0),
                "widens": each.adds,
                "decides": each.decides,
                "says": each.says,
            }
            for each in found.named
        ],
        counted_reliability_pct=number(None if found.counted is None else found.counted * 100.0),
        blanks={"mean_mg": number(found.blanks[0] * 1e6), "count": found.blanks[1]},
        left_out=[{"run": run, "why": why} for run, why in found.left_out],
        missing=list(found.missing),
    )


def _side_data(result: SideResult) -> dict[str, Any]:
    side, found = result.side, result.map
    data: dict[str, Any] = {
        "side": side.name,
        **data_of(side, "cavity", "stator"),
        "catalog_displacement_ml": number(side.displacement * 1e6),
        "density_measured": result.density_measured,
        "setting_factor": number(None if math.isnan(result.delivered) else result.setting),
    }
    if found is None:
        return data | {"displacement_ml": None}
    return data | {
        **_estimate("displacement", found.displacement, "ml", 1e6),
        **_estimate("start", found.start, "ul", 1e9),
        **_estimate("leak", found.leak, "ml_min", 6e7),
        "slip": [
            {"pressure_bar": number(pressure / 1e5), **_estimate("slip", slip, "ml_min", 6e7)}
            for pressure, slip in found.slip
        ],
        "slip_shows": found.slip_is_sure,
        "opening_bar": number(None if found.opening is None else found.opening / 1e5),
        "nonlinearity_pct": number(found.nonlinearity * 100.0),
        "catch_spread_pct": number(found.spread * 100.0),
        "catches": found.catches,
    }


def _estimate(name: str, found: Estimate | None, unit: str, scale: float) -> dict[str, Any]:
    return {
        f"{name}_{unit}": number(None if found is None else found.value * scale),
        f"{name}_half_{unit}": number(None if found is None else found.half * scale),
    }


def _condition_data(each: Condition) -> dict[str, Any]:
    return {
        **data_of(each, "block", "side", "words", "count"),
        "shots_in_a_weighing": each.grouped,
        "mean_pct": number(each.mean * 100.0),
        "low_pct": number(each.low * 100.0),
        "high_pct": number(each.high * 100.0),
        "limit_pct": number(each.limit * 100.0),
        "within": each.holds(),
    }


def _level_data(level: Condition) -> dict[str, Any]:
    return {
        "level": level.level,
        "count": level.count,
        "shots_in_a_weighing": level.grouped,
        "mean_pct": number(level.mean * 100.0),
        "deviation_pct": number(level.deviation * 100.0),
        "tolerance_factor": number(level.factor),
        "low_pct": number(level.low * 100.0),
        "high_pct": number(level.high * 100.0),
        **data_of(level.capability, "cp", "cpk", "cpk_low"),
        "inside": level.inside,
    }
