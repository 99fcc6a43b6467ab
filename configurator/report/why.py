"""An explanation on a terminal and as JSON: both from the same data."""

from __future__ import annotations

from typing import Any

from configurator.explain.break_points import BreakPoint, BreakPoints
from configurator.explain.conflict import Conflict, Group, Miss, Step
from configurator.explain.paragraphs import why_paragraphs
from configurator.explain.prose import conflict_sentences
from configurator.explain.remedy import Move, Remedies, Remedy
from configurator.explain.why import Why
from configurator.report.builds import build_data, finding_data, question_data
from configurator.report.heading import asked_in_words, duty_in_words, picks_in_words
from configurator.report.lines import labelled, laid_out
from configurator.report.machine import answer_json, data_of, number


def why_text(found: Why, width: int) -> str:
    """Return an explanation as prose."""
    return "\n".join([*_heading(found, width), "", *laid_out(why_paragraphs(found), width)]) + "\n"


def _heading(found: Why, width: int) -> list[str]:
    subject = found.answer.subject
    question = subject.question
    return labelled(
        [
            *asked_in_words(question),
            ("Duty", duty_in_words(subject.duty)),
            ("Catalog", f"{subject.catalog.title} ({subject.catalog.name})"),
            ("Picks", picks_in_words(question)),
            ("Question", _question(found)),
        ],
        width,
    )


def _question(found: Why) -> str:
    if found.build is not None and found.asked:
        return "why that build" + (" stands" if found.count else " is out")
    if found.asked:
        parts = ", ".join(f"{slot}={name}" for slot, name in found.asked.items())
        return f"why {parts}" + (" stands" if found.count else " is out")
    return "what holds up the first build" if found.count else "why nothing fits"


def why_json(found: Why) -> str:
    """Return the same as JSON."""
    conflicts = found.conflicts
    return answer_json(
        **question_data(found.answer),
        asked=dict(found.asked),
        considered=found.answer.considered,
        count=found.count,
        catalog_alone=None if conflicts is None else conflicts.catalog_alone,
        conflicts=[] if conflicts is None else [_conflict(c) for c in conflicts.found],
        conflicts_complete=None if conflicts is None else conflicts.complete,
        alone=[_conflict(each) for each in found.alone],
        build=None if found.build is None else build_data(found.build),
        broken=[finding_data(each) for each in found.broken],
        doubts=[finding_data(each) for each in found.doubts],
        tightest=[finding_data(each) for each in found.tightest],
        swaps=[
            {**data_of(swap, "slot", "part"), "state": swap.state or None} for swap in found.swaps
        ],
        remedies=None if found.remedies is None else _remedies(found.remedies),
        flips=None if found.breaks is None else _break_points(found.breaks),
    )


def _conflict(conflict: Conflict) -> dict[str, Any]:
    return {
        "steps": [_step(step) for step in conflict.steps],
        **data_of(conflict, "emptied", "left"),
        "text": conflict_sentences(conflict),
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        **data_of(step, "kind", "name"),
        "takes_out": [_group(group) for group in step.groups],
        "nearest": None if step.nearest is None else _miss(step.nearest),
        "source": step.source,
        "asked": [
            {"field": d.field, "value": d.text, "basis": d.basis or None, "grants": d.grants}
            for d in step.asked
        ],
    }


def _group(group: Group) -> dict[str, Any]:
    return {
        "slot": group.slot,
        "parts": list(group.names),
        "standing": group.standing,
        "by": group.by or None,
        **data_of(group, "below", "above", "unit", "text"),
    }


def _miss(miss: Miss) -> dict[str, Any]:
    return {
        "finding": finding_data(miss.finding),
        **data_of(miss, "demand", "limit"),
        "at_least": miss.finding.at_least,
        "excess": number(miss.excess),
    }


def _remedies(remedies: Remedies) -> dict[str, Any]:
    return {
        "single": [_remedy(remedy) for remedy in remedies.single],
        "pairs": [_remedy(remedy) for remedy in remedies.pairs],
        "no_help": list(remedies.hopeless),
        "complete": remedies.complete,
    }


def _remedy(remedy: Remedy) -> dict[str, Any]:
    return {
        "changes": [_move(move) for move in remedy.moves],
        **data_of(remedy, "builds", "state", "example"),
    }


def _move(move: Move) -> dict[str, Any]:
    adjustment = move.adjustment
    return {
        **data_of(adjustment, "field", "title", "now"),
        "becomes": move.becomes,
        "not_enough": move.not_enough or None,
        "raise": adjustment.more if adjustment.continuous else None,
        "grants": adjustment.grants,
    }


def _break_points(found: BreakPoints) -> dict[str, Any]:
    return {
        "points": [_break_point(point) for point in found.points],
        "holds": [
            {**data_of(each.adjustment, "title", "now"), "up_to": each.up_to}
            for each in found.headrooms
        ],
        "complete": found.complete,
    }


def _break_point(point: BreakPoint) -> dict[str, Any]:
    adjustment = point.adjustment
    return {
        **data_of(adjustment, "field", "title", "now"),
        **data_of(point, "at", "factor"),
        "finding": finding_data(point.finding),
        "solved": point.solved,
        **data_of(point, "takes_over", "differs"),
    }
