"""Why a build that stands is not the first of its list: what in the key puts it behind."""

from __future__ import annotations

from configurator.rules.finding import State
from configurator.rules.prices import COMFORT, SHORTFALL
from configurator.units.display import figures, plural
from configurator.workshop.answer import Answer
from configurator.workshop.figures import figure_named
from configurator.workshop.told import RankedBuild

MOST = 4
"""Rules that are named."""


def why_behind(answer: Answer, build: RankedBuild) -> str:
    """What puts a build behind the first one, in a sentence; empty for the first itself."""
    first = answer.first
    if first is None or all(first.parts[slot] is part for slot, part in build.parts.items()):
        return ""
    if build.state is not first.state:
        words = "fits" if first.state is State.FITS else f"is {first.state.words}"
        return f"The first build of the list stands before it, as that one {words}."
    two_part = answer.question.material.two_part
    for name in dict.fromkeys([answer.order.name, SHORTFALL, COMFORT, "cost_index"]):
        here, there = build.figures[name], first.figures[name]
        if here == there or here is None or there is None:
            continue
        title = figure_named(name).titled(two_part=two_part)
        more = f": {_more(build, first, name)}" if name in (SHORTFALL, COMFORT) else ""
        return (
            "The first build of the list stands before it by "
            f"{title}, {figures(there)} against {figures(here)}{more}."
        )
    return "The first build of the list stands before it by names alone."


def _more(build: RankedBuild, first: RankedBuild, name: str) -> str:
    """Rules in which a build has more steps than the first one, the most first."""
    read = figure_named(name).of_finding
    assert read is not None
    before = {each.rule: read(each) for each in first.findings}
    steps = {each.rule: read(each) - before.get(each.rule, 0) for each in build.findings}
    rules = sorted((rule for rule in steps if steps[rule] > 0), key=lambda rule: -steps[rule])
    told = [f"'{rule}' {plural(steps[rule], 'step')} more" for rule in rules[:MOST]]
    rest = [f"and {plural(len(rules) - MOST, 'more rule')}"] if len(rules) > MOST else []
    return ", ".join([*told, *rest])
