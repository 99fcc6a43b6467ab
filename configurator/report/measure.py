"""What to measure next, on a terminal and as JSON."""

from __future__ import annotations

from typing import Any

from configurator.explain.counts import Counts
from configurator.explain.gap_cost import Measurement
from configurator.explain.measure import Measurements
from configurator.explain.paragraphs import measurement_paragraphs
from configurator.report.builds import question_data
from configurator.report.heading import asked_in_words
from configurator.report.lines import labelled, laid_out
from configurator.report.machine import answer_json, data_of
from configurator.units.display import spaced
from configurator.workshop.answer import Answer

NONE = "none; `headwright why` says why"


def measure_text(answer: Answer, found: Measurements, width: int) -> str:
    """Return the tests in order as prose."""
    builds = ("Builds", counts_in_words(found.now) if found.now.total else NONE)
    lines = labelled([*asked_in_words(answer.subject.question), builds], width)
    return "\n".join([*lines, "", *laid_out(measurement_paragraphs(found), width)]) + "\n"


def counts_in_words(counts: Counts) -> str:
    """Return how many builds there are in each state."""
    return (
        f"{spaced(counts.fits)} fits, {spaced(counts.marginal)} marginal, "
        f"{spaced(counts.unproven)} unproven"
    )


def measure_json(answer: Answer, found: Measurements) -> str:
    """Return the same as JSON."""
    return answer_json(
        **question_data(answer),
        now=counts_data(found.now),
        measurements=[_data(each) for each in found.useful],
        no_build_hangs_on=[_data(each) for each in found.idle],
    )


def counts_data(counts: Counts) -> dict[str, int]:
    """Return the same as data."""
    return data_of(counts, "fits", "marginal", "unproven")


def _data(each: Measurement) -> dict[str, Any]:
    decision = each.decision
    return {
        **data_of(each, "field", "says", "test"),
        "method": each.effort.method,
        "hours": each.effort.hours,
        "hours_until_result": each.effort.wait,
        "hours_basis": "common practice",
        "ends": [{"value": end.text, "counts": counts_data(end.counts)} for end in each.ends],
        **data_of(each, "settled", "settled_per_hour", "at_stake"),
        "decides_at": None
        if decision is None
        else {
            **data_of(decision, "value", "unit", "text", "below"),
            "from": decision.above,
        },
        "note": each.note,
    }
