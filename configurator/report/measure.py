"""What to measure next, on a terminal and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from configurator.explain.counts import Counts
from configurator.explain.gap_cost import End, Measurement
from configurator.explain.measure import Measurements
from configurator.report.builds import question_data
from configurator.report.heading import asked_in_words
from configurator.report.lines import labelled, plural, spaced, wrapped
from configurator.report.machine import json_text, number
from configurator.units.display import figures
from configurator.workshop.answer import Answer

SCHEMA = 1
"""Version of the JSON: grows when a key changes its meaning or goes away."""

HOURS_NOTE = "Hours are common practice, without a source: they put tests in order, no more."


def measure_text(answer: Answer, found: Measurements, width: int) -> str:
    """Return the tests in order as prose."""
    builds = ("Builds", _counts(found.now))
    lines = labelled([*asked_in_words(answer.subject.question), builds], width)
    lines.append("")
    if found.useful:
        lines += wrapped(
            f"What a test would settle, most builds an hour first. {HOURS_NOTE}", width
        )
        for place, each in enumerate(found.useful, start=1):
            lines.append("")
            lines += _measurement(place, each, width)
    else:
        lines += wrapped("No build hangs on anything that is missing or wide.", width)
    if found.idle:
        lines += ["", "No build hangs on these here:"]
        for each in found.idle:
            note = f" ({each.note})" if each.note else ""
            lines += wrapped(f"{each.field}: {each.says}{note}", width, first="  - ", rest="    ")
    return "\n".join(lines) + "\n"


def _counts(counts: Counts) -> str:
    if not counts.total:
        return "none; `headwright why` says why"
    return (
        f"{spaced(counts.fits)} fits, {spaced(counts.marginal)} marginal, "
        f"{spaced(counts.unproven)} unproven"
    )


def _measurement(place: int, each: Measurement, width: int) -> Iterator[str]:
    yield from wrapped(f"{place}. {each.field}: {each.says}.", width, rest="   ")
    for text in _sentences(each):
        yield from wrapped(text, width, first="   ", rest="   ")


def _sentences(each: Measurement) -> Iterator[str]:
    effort = each.effort
    if each.settled:
        yield (
            f"Settles {plural(each.settled, 'unproven build')} whichever way it turns out, "
            f"{spaced(round(each.settled_per_hour))} for each hour at the bench."
        )
    elif each.at_stake:
        yield "Settles no build whichever way it turns out, but much may hang on it."
    yield f"{_ends(each.ends)}."
    if each.decision is not None:
        decision = each.decision
        yield (
            f"It decides on the first build at {decision.text}: below that {decision.below}, "
            f"from there on {decision.above}."
        )
    yield (
        f"Test: {each.test} ({effort.method}: {figures(effort.hours)} h at the bench, "
        f"{figures(effort.wait)} h until the result)."
    )


def _ends(ends: tuple[End, ...]) -> str:
    texts = [f"{end.text}: {_counts_short(end.counts)}" for end in ends]
    if len({end.counts for end in ends}) == 1:
        return f"At either end: {_counts_short(ends[0].counts)}"
    return "If " + "; if ".join(texts)


def _counts_short(counts: Counts) -> str:
    if not counts.total:
        return "no build"
    return (
        f"{plural(counts.total, 'build')} ({spaced(counts.fits)} fits, "
        f"{spaced(counts.marginal)} marginal, {spaced(counts.unproven)} unproven)"
    )


def measure_json(answer: Answer, found: Measurements) -> str:
    """Return the same as JSON."""
    return json_text(
        {
            "schema": SCHEMA,
            **question_data(answer),
            "now": _counts_data(found.now),
            "measurements": [_data(each) for each in found.useful],
            "no_build_hangs_on": [_data(each) for each in found.idle],
        }
    )


def _counts_data(counts: Counts) -> dict[str, int]:
    return {"fits": counts.fits, "marginal": counts.marginal, "unproven": counts.unproven}


def _data(each: Measurement) -> dict[str, Any]:
    decision = each.decision
    return {
        "field": each.field,
        "says": each.says,
        "test": each.test,
        "method": each.effort.method,
        "hours": each.effort.hours,
        "hours_until_result": each.effort.wait,
        "hours_basis": "common practice",
        "ends": [{"value": end.text, "counts": _counts_data(end.counts)} for end in each.ends],
        "settled": each.settled,
        "settled_per_hour": number(each.settled_per_hour),
        "at_stake": each.at_stake,
        "decides_at": None
        if decision is None
        else {
            "value": number(decision.value),
            "unit": decision.unit,
            "text": decision.text,
            "below": decision.below,
            "from": decision.above,
        },
        "note": each.note,
    }
