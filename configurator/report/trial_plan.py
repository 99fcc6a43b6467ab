"""A trial plan as text, JSON and a page to print."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from configurator.chemistry.cautions import DEFER, Caution
from configurator.report.heading import cautioned, deferred
from configurator.report.lines import WIDTH, labelled, listed
from configurator.report.machine import answer_json, data_of, number
from configurator.report.sheet_words import render
from configurator.trial.blocks import PURPOSE, SHOTS
from configurator.trial.head import Head
from configurator.trial.plan import Run, TrialPlan
from configurator.trial.planning import Sizing
from configurator.trial.schedule import TIME_WORDS, RunStretch, duration, stretches
from configurator.units.display import figures, plural, show_value
from configurator.units.kinds import MASS, PRESSURE, TEMPERATURE, TIME

VARIED: Mapping[str, tuple[str, Callable[[float], str]]] = {
    "pressure map": ("pressure", lambda value: show_value(value, PRESSURE)),
    "dwell": ("dwell", lambda value: show_value(value, TIME)),
    "temperature": ("temperature", lambda value: show_value(value, TEMPERATURE)),
    "shot size": ("turns", lambda value: f"{figures(value)} turns"),
}
"""What a block varies, and how it is told; all others vary the speed."""


def plan_table(
    plan: TrialPlan,
    sizing: Sizing,
    head: Head,
    cautions: Sequence[Caution] = (),
    *,
    width: int = WIDTH,
) -> str:
    """Return a plan as text for people: size, blocks, tasks, stop rule and cautions."""
    blocks = [
        labelled(summary(plan, sizing, head), width),
        listed("Blocks:", map(": ".join, _blocks(plan)), width),
        listed("Order, with what is set first:", map("  ".join, order_of(plan)), width),
        listed("Also:", map(": ".join, plan.tasks), width),
        listed("Not proven by it:", plan.unproven, width),
        listed("Stop rule, fixed before data are seen:", plan.stop_rule, width),
        cautioned(cautions, width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def summary(plan: TrialPlan, sizing: Sizing, head: Head) -> list[tuple[str, str]]:
    """Return what the plan is and how it came to its size, as labels with texts.

    What stands in its way comes first: a plan is worked through from the top.
    """
    mass = plan.material_mass
    asked = (
        f"+/- {figures(plan.tolerance * 100)} % for {figures(plan.reliability * 100)} % of all shots "
        f"at {figures(plan.confidence * 100)} % confidence, in up to {plural(plan.looks, 'look')} "
        f"of {plan.look_confidence * 100:.4g} % each"
    )
    grouped = (
        f", {sizing.weighing.shots} shots in each weighing" if sizing.weighing.shots > 1 else ""
    )
    enough = "" if sizing.weighing.enough else "; still too light for the balance at hand"
    return [
        *([("Before it", head.over_rating)] if head.over_rating else []),
        ("Trial", f"{plan.trial}, look {plan.look} of {plan.looks}, order from seed {plan.seed}"),
        ("Material", plan.material),
        ("Process", plan.process),
        ("Build", ", ".join(f"{slot} {part}" for slot, part in plan.parts.items())),
        ("Asked", asked),
        (
            "Shots",
            (
                f"{sizing.shots} a flow{grouped}: the tolerance interval asks for "
                f"{sizing.by_interval} with an expected spread of {figures(sizing.spread * 100)} % "
                f"(factor {figures(sizing.factor)} at {sizing.shots}), a proof by counting for "
                f"{sizing.by_count} in all"
            ),
        ),
        ("A shot", head.shot_words),
        (
            "Runs",
            f"{plural(len(plan.runs), 'weighing')}, {figures(duration(plan.runs) / 3600.0)} h"
            + ("" if mass is None else f", {show_value(mass, MASS)} of material")
            + _full_words(sizing),
        ),
        ("Time", TIME_WORDS),
        (
            "Balance",
            (
                f"step of at most {show_value(plan.balance_step, MASS)}, a tenth of the tolerance of "
                f"one weighing (common practice, no source){enough}{_of_single(sizing)}"
            ),
        ),
    ]


def _of_single(sizing: Sizing) -> str:
    """What shots after a stop ask for: they are weighed one by one where others are grouped."""
    times = sizing.weighing.shots
    return f"; single shots after a stop want one {times} times finer" if times > 1 else ""


def _full_words(sizing: Sizing) -> str:
    if sizing.whole is None:
        return ""
    runs, seconds = sizing.whole
    return (
        f"; the full plan has {runs} weighings, takes {figures(seconds / 3600.0)} h and adds what is "
        "not proven by this one"
    )


def _blocks(plan: TrialPlan) -> list[tuple[str, str]]:
    return [
        (name, f"{plural(count, 'run')}, {purpose}" + (f": {where}" if where else ""))
        for name, count, purpose, where in blocks_of(plan)
    ]


def blocks_of(plan: TrialPlan) -> list[tuple[str, int, str, str]]:
    """Return each block of a plan: name, runs, purpose and set points."""
    found = []
    for name, purpose in PURPOSE.items():
        runs = plan.of(name)
        if runs:
            found.append((name, len(runs), purpose, _set_points(name, runs)))
    return found


def order_of(plan: TrialPlan) -> list[tuple[str, str]]:
    """Return when each stretch of weighings starts, and what it is."""
    usual = plan.of(SHOTS) or plan.runs
    return [(_clock(each.start), _stretch(each, usual[0])) for each in stretches(plan.runs)]


def _clock(seconds: float) -> str:
    return f"{int(seconds // 3600)}:{int(seconds % 3600 // 60):02d}"


def _stretch(stretch: RunStretch, usual: Run) -> str:
    """Blocks and weighings of a stretch, and what is not as usual in it."""
    run = stretch.runs[0]
    apart = bool(run.side) or run.block == "pressure map"
    set_first = [
        f"side {run.side} alone" if run.side else "",
        f"restriction at {show_value(run.pressure, PRESSURE)}" if apart else "",
        show_value(run.temperature, TEMPERATURE)
        if abs(run.temperature - usual.temperature) > 0.5  # noqa: PLR2004 - [K]
        else "",
        f"batch {run.batch}" if run.batch != usual.batch else "",
        f"{show_value(run.dwell, TIME)} stop before each" if run.dwell else "",
    ]
    named = ", ".join(filter(None, set_first))
    names = " and ".join(filter(None, (", ".join(stretch.blocks[:-1]), stretch.blocks[-1])))
    return f"{plural(len(stretch.runs), 'weighing')}, {names}" + (f": {named}" if named else "")


def _set_points(name: str, runs: tuple[Run, ...]) -> str:
    """What a block varies, side by side where that differs."""
    found = {
        side: _varied(name, [run for run in runs if run.side == side])
        for side in sorted({run.side for run in runs})
    }
    if len(set(found.values())) == 1:
        return next(iter(found.values()))
    return "; ".join(f"{side or 'both sides'}: {text}" for side, text in found.items())


def _varied(name: str, runs: Sequence[Run]) -> str:
    """What a block varies, in its own unit."""
    if name in VARIED:
        field, words = VARIED[name]
        values = sorted({getattr(run, field) for run in runs})
        return ", ".join(dict.fromkeys(map(words, values)))
    speeds = sorted({round(run.speed * 60.0, 3) for run in runs if run.speed})
    return ", ".join(dict.fromkeys(map(figures, speeds))) + " rpm" if speeds else ""


def planned_json(
    plan: TrialPlan, sizing: Sizing, head: Head, cautions: Sequence[Caution] = ()
) -> str:
    """Return a plan as JSON; speeds in rpm, pressures in bar, as the form has them."""
    return answer_json(
        **data_of(plan, "trial", "fingerprint", "material", "process"),
        catalog={"sha256": plan.catalog},
        parts=dict(plan.parts),
        over_rating=head.over_rating,
        tolerance_pct=number(plan.tolerance * 100.0),
        confidence_pct=number(plan.confidence * 100.0),
        look_confidence_pct=number(plan.look_confidence * 100.0),
        reliability_pct=number(plan.reliability * 100.0),
        **data_of(plan, "look", "looks", "seed"),
        shots_a_flow=sizing.shots,
        shots_by_interval=sizing.by_interval,
        shots_by_count=sizing.by_count,
        shots_at_most=plan.most_shots,
        tolerance_factor=number(sizing.factor),
        expected_spread_pct=number(sizing.spread * 100.0),
        shots_in_a_weighing=sizing.weighing.shots,
        balance_step_mg=number(plan.balance_step * 1e6),
        material_g=number(None if plan.material_mass is None else plan.material_mass * 1e3),
        duration_h=number(duration(plan.runs) / 3600.0),
        runs=[_run(run) for run in plan.runs],
        not_proven=list(plan.unproven),
        tasks=[{"topic": topic, "text": text} for topic, text in plan.tasks],
        stop_rule=list(plan.stop_rule),
        cautions=[data_of(caution, "topic", "text") for caution in cautions],
    )


def _run(run: Run) -> dict[str, Any]:
    return {
        "run": run.number,
        "block": run.block,
        "side": run.side,
        "batch": run.batch,
        "speed_rpm": number(run.speed * 60.0),
        "turns": number(run.turns),
        "shots": run.shots,
        "back_pressure_bar": number(run.pressure / 1e5),
        "temperature_c": number(run.temperature - 273.15),
        "dwell_min": number(run.dwell / 60.0),
        "at_min": number(run.minute),
        "level": run.level,
    }


def plan_page(plan: TrialPlan, sizing: Sizing, head: Head, cautions: Sequence[Caution] = ()) -> str:
    """Return a page to print: the plan, the stop rule, cautions, and runs with room to write."""
    return render(
        "trial_plan.html",
        title=f"Trial {plan.trial}: {plan.material}",
        summary=summary(plan, sizing, head),
        blocks=blocks_of(plan),
        order=order_of(plan),
        tasks=(*plan.tasks, *(("not proven", text) for text in plan.unproven)),
        stop_rule=plan.stop_rule,
        runs=[_row(run) for run in plan.runs],
        cautions=deferred(cautions),
        defer=DEFER,
    )


def _row(run: Run) -> list[str]:
    return [
        str(run.number),
        f"{run.block}{f' {run.level}' if run.level else ''}",
        run.side,
        str(run.batch),
        figures(run.speed * 60.0) if run.speed else "",
        figures(run.turns) if run.turns else "",
        str(run.shots),
        figures(run.pressure / 1e5) if run.pressure else "",
        figures(run.temperature - 273.15),
        figures(run.dwell / 60.0) if run.dwell else "",
        "" if run.minute is None else figures(run.minute),
    ]
