"""An explanation on a terminal and as JSON: both from the same data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from configurator.explain.blame import Group
from configurator.explain.break_points import BreakPoint, BreakPoints
from configurator.explain.conflict import Conflict, Step
from configurator.explain.nearest import Miss
from configurator.explain.prose import (
    break_points_sentences,
    conflict_sentences,
    how_many,
    margin_sentence,
    remedies_sentences,
    rests_on,
    step_sentence,
)
from configurator.explain.remedy import Move, Remedies, Remedy
from configurator.explain.why import Swap, Why
from configurator.report.builds import build_data, finding_data, question_data
from configurator.report.heading import asked_in_words, duty_in_words, picks_in_words
from configurator.report.lines import labelled, plural, wrapped
from configurator.report.machine import json_text, number
from configurator.rules.finding import State

SCHEMA = 1
"""Version of the JSON: grows when a key changes its meaning or goes away."""

SWAPS_SHOWN = 6


def why_text(found: Why, width: int) -> str:
    """Return an explanation as prose."""
    return "\n".join([*_heading(found, width), "", *_body(found, width)]) + "\n"


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


def _body(found: Why, width: int) -> Iterator[str]:
    if found.count:
        yield from _standing(found, width)
        return
    yield from _verdict(found, width)
    yield from _against_build(found, width)
    yield from _conflicts(found, width)
    yield from _rescue(found, width)
    if found.remedies is not None:
        yield ""
        yield "Would open it:"
        yield from _items(remedies_sentences(found.remedies, found.asked), width)


def _verdict(found: Why, width: int) -> Iterator[str]:
    conflicts = found.conflicts
    assert conflicts is not None  # nothing is out without a reason
    subject = "No build" if not found.asked else "No build with it"
    text = f"{subject} is left of {plural(found.answer.considered, 'combination')}."
    if found.build is not None:
        text = "That build is ruled out."
    if not conflicts.catalog_alone:
        text += " The catalog alone has none, whatever is wished: its parts do not go together."
    elif not found.asked:
        text += " The catalog alone has builds, so it is the wishes that leave none."
    yield from wrapped(text, width)


def _against_build(found: Why, width: int) -> Iterator[str]:
    """The first rule against a build, then all the others."""
    if found.broken:
        yield ""
        many = len(found.broken)
        yield (
            "One rule is against it:"
            if many == 1
            else f"{many} rules are against it, in the order in which they are heard:"
        )
        texts = (
            f"'{each.rule}': {each.reason} (basis {each.basis.value})" for each in found.broken
        )
        yield from _items(texts, width)
    elif found.alone:
        yield ""
        many = len(found.alone)
        yield f"{plural(many, 'reason')}, {'' if many == 1 else 'each '}enough by itself:"
        yield from _items((step_sentence(each.steps[0]) for each in found.alone), width)


def _conflicts(found: Why, width: int) -> Iterator[str]:
    conflicts = found.conflicts
    if conflicts is None or not conflicts.found or found.broken:
        return
    yield ""
    yield from wrapped(how_many(conflicts, also=bool(found.alone)), width)
    for conflict in conflicts.found:
        yield ""
        *steps, conclusion = conflict_sentences(conflict)
        for text in steps:
            yield from wrapped(text, width, first="  ", rest="     ")
        yield from wrapped(conclusion, width, first="  ", rest="     ")
        for text in rests_on(conflict):
            yield from wrapped(f"Can be moved by {text}", width, first="     ", rest="       ")


def _rescue(found: Why, width: int) -> Iterator[str]:
    if not found.asked:
        return
    if not found.swaps:
        if found.build is not None:
            yield ""
            yield "No other part in one slot alone would let it stand."
        return
    yield ""
    yield "Would stand with another part in one slot:"
    by_slot: dict[str, list[Swap]] = {}
    for swap in found.swaps:
        by_slot.setdefault(swap.slot, []).append(swap)
    yield from _items((_swap_words(slot, swaps) for slot, swaps in by_slot.items()), width)


def _swap_words(slot: str, swaps: list[Swap]) -> str:
    told = ", ".join(
        swap.part + (f" ({swap.state})" if swap.state else "") for swap in swaps[:SWAPS_SHOWN]
    )
    rest = len(swaps) - SWAPS_SHOWN
    return f"{slot}: {told}" + (f" and {rest} more" if rest > 0 else "")


def _standing(found: Why, width: int) -> Iterator[str]:
    build = found.build
    assert build is not None  # where there are builds one of them is told
    parts = ", ".join(f"{slot}={part.name}" for slot, part in build.parts.items())
    which = "The build" if not build.rank else "The first of them"
    left = f"{plural(found.count, 'build')} {'is' if found.count == 1 else 'are'} left. "
    state = "fits" if build.state is State.FITS else f"is {build.state.words}"
    text = f"{left if build.rank else ''}{which} {state}: {parts}."
    yield from wrapped(text, width)
    yield ""
    yield "Tightest margins:"
    yield from _items(map(margin_sentence, found.tightest), width)
    if found.breaks is not None:
        yield ""
        yield "How far each quantity may move by itself:"
        yield from _items(break_points_sentences(found.breaks), width)


def _items(texts: Iterable[str], width: int) -> Iterator[str]:
    for text in texts:
        yield from wrapped(text, width, first="  - ", rest="    ")


def why_json(found: Why) -> str:
    """Return the same as JSON."""
    conflicts = found.conflicts
    return json_text(
        {
            "schema": SCHEMA,
            **question_data(found.answer),
            "asked": dict(found.asked),
            "considered": found.answer.considered,
            "count": found.count,
            "catalog_alone": None if conflicts is None else conflicts.catalog_alone,
            "conflicts": [] if conflicts is None else [_conflict(c) for c in conflicts.found],
            "conflicts_complete": None if conflicts is None else conflicts.complete,
            "alone": [_conflict(each) for each in found.alone],
            "build": None if found.build is None else build_data(found.build),
            "broken": [finding_data(each) for each in found.broken],
            "tightest": [finding_data(each) for each in found.tightest],
            "swaps": [
                {"slot": swap.slot, "part": swap.part, "state": swap.state or None}
                for swap in found.swaps
            ],
            "remedies": None if found.remedies is None else _remedies(found.remedies),
            "flips": None if found.breaks is None else _break_points(found.breaks),
        }
    )


def _conflict(conflict: Conflict) -> dict[str, Any]:
    return {
        "steps": [_step(step) for step in conflict.steps],
        "emptied": list(conflict.emptied),
        "left": dict(conflict.left),
        "text": conflict_sentences(conflict),
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "kind": step.kind,
        "name": step.name,
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
        "below": number(group.below),
        "above": number(group.above),
        "unit": group.unit,
        "text": group.text,
    }


def _miss(miss: Miss) -> dict[str, Any]:
    return {
        "finding": finding_data(miss.finding),
        "demand": number(miss.demand),
        "limit": number(miss.limit),
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
        "builds": remedy.builds,
        "state": remedy.state,
        "example": dict(remedy.example),
    }


def _move(move: Move) -> dict[str, Any]:
    adjustment = move.adjustment
    return {
        "field": adjustment.field,
        "title": adjustment.title,
        "now": adjustment.now,
        "becomes": move.becomes,
        "not_enough": move.not_enough or None,
        "raise": adjustment.more if adjustment.continuous else None,
        "grants": adjustment.grants,
    }


def _break_points(found: BreakPoints) -> dict[str, Any]:
    return {
        "points": [_break_point(point) for point in found.points],
        "holds": [
            {"title": each.adjustment.title, "now": each.adjustment.now, "up_to": each.up_to}
            for each in found.headrooms
        ],
        "complete": found.complete,
    }


def _break_point(point: BreakPoint) -> dict[str, Any]:
    adjustment = point.adjustment
    return {
        "field": adjustment.field,
        "title": adjustment.title,
        "now": adjustment.now,
        "at": point.at,
        "factor": number(point.factor),
        "finding": finding_data(point.finding),
        "solved": point.solved,
        "takes_over": None if point.takes_over is None else dict(point.takes_over),
        "differs": list(point.differs),
    }
