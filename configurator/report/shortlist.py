"""A shortlist of heads as text and as JSON: what each is best for, is, and gives up."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from configurator.report.builds import Page, head_data, question_data
from configurator.report.heading import heading
from configurator.report.heads import (
    bar_of,
    exchanged,
    figure_text,
    rpm_of,
    span,
    titles,
    told_once,
)
from configurator.report.lines import WIDTH, cells, columns, listed, wrapped
from configurator.report.machine import answer_json, number
from configurator.report.table import builds_table, head_of_slot
from configurator.request.orders import unit_of
from configurator.rules.finding import State
from configurator.units.display import figures, plural, round3, spaced
from configurator.workshop.answer import Answer
from configurator.workshop.heads import is_exchanged
from configurator.workshop.margins import LEAST_MARGIN
from configurator.workshop.shortlist import (
    PURPOSES,
    Purpose,
    ShortHead,
    Shortlist,
    given_up,
)
from configurator.workshop.told import RankedBuild

UNSERVED = {
    "longest life": "wear is unknown without the filler's hardness and share",
    "most accurate": "the volume error is unknown",
    "most robust": "no build has a known margin in every rule in which some have one",
    "least waste": "waste is unknown without [production] in the process",
}
"""Why nothing is known for a purpose."""

GAP = 2

ENDS = ("low", "high")


def shortlist_text(answer: Answer, found: Shortlist | None, width: int = WIDTH) -> str:
    """Return a shortlist as text for people; why there is no build where there is none."""
    if found is None:
        return builds_table(Page(answer, (), 0), width=width)
    listed_heads = tuple(each.head for each in found.heads)
    page = Page(answer, tuple(head.best for head in listed_heads), 0, heads=listed_heads)
    blocks = [
        heading(page, width),
        [line for head in found.heads for line in _best_for(head, width)]
        + [line for each in found.unserved for line in wrapped(_unserved(each), width, rest="  ")],
        *_tables(found, width),
        listed("What one gives up against the next:", _traded(found), width),
        titles(page, _chosen(found), width),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _chosen(found: Shortlist) -> str:
    return (
        "Each purpose takes the best of the builds in the best state that any reaches, "
        f"{found.state.words}, that keep every rule as well as the first in the order above, or a "
        "step less well: no limit that it keeps is passed; of values shown alike, that of the head listed "
        "before. Figures are those of the build for a "
        "head's first purpose; builds: with the tips and feeds told, of its state or better. Least "
        "margin is in whole per cent; life is the wear band, whose constants are invented."
    )


def _best_for(head: ShortHead, width: int) -> list[str]:
    told = ", ".join(_purpose(each, head) for each in head.purposes)
    text = told or "next in the order of builds"
    return wrapped(text, width, first=f"{head.head.rank}  ", rest="   ")


def _purpose(purpose: Purpose, head: ShortHead) -> str:
    assert purpose.build is not None  # it is of a head
    other = [
        f"{head_of_slot(slot)} {part.name}"
        for slot, part in purpose.build.parts.items()
        if part.name != head.head.best.parts[slot].name
    ]
    beside = f" with {' and '.join(other)}" if other else ""
    return f"{purpose.name} ({_with_unit(purpose.figure, purpose.value)}{beside})"


def _unserved(purpose: Purpose) -> str:
    why = UNSERVED.get(purpose.name, "its figure is unknown")
    return f"-  {purpose.name}: no data, as {why}"


def _with_unit(figure: str, value: float | None) -> str:
    unit = unit_of(figure)
    text = "unknown" if value is None else figures(value)
    return f"{text} {unit}" if unit else f"{figure.replace('_', ' ')} {text}"


def _told(head: ShortHead) -> dict[str, str]:
    """By row, all that is told of a head."""
    best = head.head.best
    life = "shots" if best.figures["wear_band_low_shots"] is not None else "hours"
    margin = best.figures[LEAST_MARGIN]
    open_ = sum(finding.state > State.FITS for finding in best.findings)
    return {
        **{slot: part.name for slot, part in best.parts.items() if not is_exchanged(slot)},
        **{head_of_slot(slot): exchanged(head.head, slot) for slot in head.head.folded},
        "state": best.state.words,
        "not shown to fit": plural(open_, "rule"),
        "rpm": rpm_of(best),
        "turns a shot": figure_text(best, "shot_revolutions"),
        "bar": bar_of(best),
        "volume error, %": figure_text(best, "volume_error_pct"),
        "least margin, %": "?" if margin is None else figures(margin),
        "refills a shift": figure_text(best, "refills_per_shift"),
        "waste, %": figure_text(best, "waste_pct"),
        f"life, {life}": span(*(_whole(best.figures[f"wear_band_{e}_{life}"]) for e in ENDS)),
        "mass, kg": figure_text(best, "head_mass_kg"),
        "cost index": figure_text(best, "cost_index"),
        "builds": spaced(head.head.builds),
    }


def _whole(value: float | None) -> str:
    return "?" if value is None else spaced(round(round3(value)))


def _tables(found: Shortlist, width: int) -> list[list[str]]:
    """What is the same of all heads in a sentence, then a column for each head."""
    told = [_told(head) for head in found.heads]
    blocks, names = told_once(told, width)
    first = max(map(cells, names), default=0)
    while told and names:
        fit, used = 0, first
        while fit < len(told):
            used += GAP + max(cells(told[fit][name]) for name in names)
            if used > width and fit:
                break
            fit += 1
        here, told = told[:fit], told[fit:]
        begin = len(found.heads) - len(told) - fit
        heads = ["", *(str(begin + at) for at in range(1, fit + 1))]
        rows = [[name, *(each[name] for each in here)] for name in names]
        blocks.append([line for row in columns(heads, rows, width) for line in row])
    return blocks


def _pairs(found: Shortlist) -> Iterator[tuple[ShortHead, ShortHead]]:
    """Yield each head with the next, and the last with the first."""
    heads = found.heads
    if len(heads) > 1:
        yield from zip(heads, (*heads[1:], heads[0]), strict=True)


def _traded(found: Shortlist) -> Iterator[str]:
    words = {figure: name for name, figure in NAMED.items()}
    for here, there in _pairs(found):
        lost = [
            f"{words[name]} {_with_unit(name if unit_of(name) else '', one).strip()} against "
            f"{'unknown' if other is None else figures(other)}"
            for name, (one, other) in given_up(here.head.best, there.head.best).items()
        ]
        yield f"{here.head.rank} against {there.head.rank}: {', '.join(lost) or 'nothing'}"


NAMED = {
    "cost index": "cost_index",
    "wear from": "wear_band_low_hours",
    "volume error": "volume_error_pct",
    "least margin": LEAST_MARGIN,
    "waste": "waste_pct",
    "mass": "head_mass_kg",
    "refills a shift": "refills_per_shift",
}
"""Figures that are given up, in few words."""


def shortlist_json(answer: Answer, found: Shortlist | None) -> str:
    """Return the same as JSON; no heads where there is no build."""
    heads = found.heads if found else ()
    ranks = {each.name: head.head.rank for head in heads for each in head.purposes}
    builds = {each.name: each for head in heads for each in head.purposes}
    next_of = {here.head.rank: there for here, there in _pairs(found)} if found else {}
    return answer_json(
        **question_data(answer),
        state=found.state.words if found else None,
        first_build=_parts(found.first if found else None),
        purposes=[
            {
                "purpose": name,
                "figure": figure,
                "value": number(builds[name].value) if name in builds else None,
                "head": ranks.get(name),
                "parts": _parts(builds[name].build) if name in builds else None,
                "no_data": UNSERVED.get(name, "") if found and name not in builds else None,
            }
            for name, figure in PURPOSES.items()
        ],
        heads=[_head(head, next_of.get(head.head.rank)) for head in heads],
    )


def _parts(build: RankedBuild | None) -> dict[str, str] | None:
    return None if build is None else {slot: part.name for slot, part in build.parts.items()}


def _head(head: ShortHead, following: ShortHead | None) -> dict[str, Any]:
    best = head.head.best
    return {
        **head_data(head.head),
        "best_for": [each.name for each in head.purposes],
        "build": _parts(best),
        "figures": {n: number(value) for n, value in best.figures.items()},
        "open": [
            {"rule": finding.rule, "state": finding.state.words}
            for finding in best.findings
            if finding.state > State.FITS
        ],
        "gives_up": None
        if following is None
        else {
            "against": following.head.rank,
            "figures": {
                name: {"here": number(one), "there": number(other)}
                for name, (one, other) in given_up(head.head.best, following.head.best).items()
            },
        },
    }
