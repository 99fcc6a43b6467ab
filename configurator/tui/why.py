"""Why a part or a build stands as it does, in words with numbers, source and basis.

Worked out beside the screen: reasons apply rules anew, and a conflict asks the solver.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from configurator.engine.conflict import Blame
from configurator.report.lines import plural
from configurator.request.intake import Gap
from configurator.rules.finding import Finding, State
from configurator.rules.losses import findings_of
from configurator.rules.rulebook import RULEBOOK
from configurator.tui.said import Remedy, Said
from configurator.tui.spans import STATE_STYLES
from configurator.tui.wish import Wish
from configurator.units.display import figures
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

_RULES = {rule.name: rule for rule in RULEBOOK}


def rule_in_words(finding: Finding) -> Iterator[Said]:
    """A rule that spoke: its sentence, what it rests on, and where it comes from."""
    style = STATE_STYLES[finding.state]
    yield Said(f"{finding.state.words}: {finding.rule}", style)
    yield Said(f"  {finding.reason}.")
    details = []
    if finding.margin is not None:
        left = finding.margin * 100.0
        details.append(f"{figures(abs(left))} % {'left' if left >= 0 else 'over'}")
    if finding.corner:
        details.append(f"decided at: {finding.corner}")
    details.append(f"weakest input: {finding.basis.value}")
    yield Said(f"  {'; '.join(details)}")
    rule = _RULES.get(finding.rule.partition(": ")[2] or finding.rule) or _RULES.get(finding.rule)
    if rule is not None:
        yield Said(f"  source: {rule.source}")


def why_part(answer: Answer, wish: Wish, slot: str, name: str) -> tuple[Said, ...]:
    """Why a part is as it is: the rules against it, or the partners that are missing."""
    parts = answer.frame.parts[slot]
    place = next(at for at, part in enumerate(parts) if part.name == name)
    said = [Said(f"{slot} {name}: {parts[place].title}", "strong")]
    if parts[place].note:
        said.append(Said(parts[place].note))
    losses = answer.losses.get((slot, place), ())
    if losses:
        said.append(
            Said(f"Ruled out by {plural(len(losses), 'rule')}, whatever its partners:", "out")
        )
        for finding in findings_of(answer.left, losses):
            said.extend(rule_in_words(finding))
        return tuple(said)
    found = np.flatnonzero(answer.live[slot] == place)
    picks = {**answer.picks, slot: int(found[0])}
    space = answer.spaces[State.UNPROVEN]
    left = space.count(picks)
    if left:
        said.append(Said(f"{plural(left, 'build')} with it."))
        for level in (State.FITS, State.MARGINAL):
            so_far = answer.spaces[level].count(picks)
            said.append(Said(f"{plural(so_far, 'build')} of them {_up_to(level)}."))
        if not answer.spaces[State.MARGINAL].count(picks):
            said.append(
                Said("Every build with it lacks data: `?` until it is measured.", "unproven")
            )
        return tuple(said)
    emptied = [other for other, places in answer.live.items() if not len(places)]
    if emptied:
        said.append(Said(f"No part is left for: {', '.join(emptied)}.", "out"))
        return tuple(said)
    said.append(Said("Its partners leave no build. Together these shut it out:", "out"))
    blames = sorted(space.conflict(picks) or ())
    said.extend(_blamed(blames, wish, but=slot))
    return tuple(said)


def _up_to(level: State) -> str:
    return "fit" if level is State.FITS else "fit or are marginal"


def _blamed(blames: Sequence[Blame], wish: Wish, *, but: str = "") -> Iterator[Said]:
    """Each member of a conflict, and freeing it where it is a pick."""
    freed = [blame.name for blame in blames if blame.kind == "pick" and blame.name != but]
    for blame in blames:
        if blame.kind != "pick":
            yield Said(f"  rule: {blame.name}")
            rule = _RULES.get(blame.name.partition(": ")[2] or blame.name)
            if rule is not None:
                yield Said(f"    source: {rule.source}")
        elif blame.name != but and blame.name in wish.picks:
            yield Said(f"  your pick: {blame.name} {wish.picks[blame.name]}", "pick")
        elif blame.name != but:
            yield Said(f"  what you excluded of: {blame.name}", "pick")
    if freed:
        yield Said("What brings it back (Enter does it, z undoes it):", "strong")
    for slot in freed:
        picks = {at: part for at, part in wish.picks.items() if at != slot}
        without = {at: parts for at, parts in wish.without.items() if at != slot}
        words = f"free {slot}"
        yield Said(
            f"  {words}", "accent", Remedy(words, replace(wish, picks=picks, without=without))
        )


def why_nothing(answer: Answer, wish: Wish) -> tuple[Said, ...]:
    """Why there is no build at all, and what frees it where picks are to blame."""
    said = [Said("No build is left.", "out")]
    space = answer.spaces[State.UNPROVEN]
    without_picks = space.count()
    emptied = [slot for slot, places in answer.live.items() if not len(places)]
    if without_picks:
        said.append(Said(f"Without picks there would be {plural(without_picks, 'build')}."))
    elif emptied:
        said.append(Said(f"No part is left for: {', '.join(emptied)}."))
    else:
        said.append(Said("Every slot has parts, but no combination of them passes."))
    if not emptied:
        said.append(Said("No build passes all of these at once:", "out"))
        said.extend(_blamed(sorted(space.conflict(answer.picks) or ()), wish))
    cuts = [cut for cut in answer.cuts if not emptied or set(cut.slots) & set(emptied)]
    for cut in cuts[:4]:
        said.append(Said(f"'{cut.rule}' alone rules out {plural(cut.parts, 'part')}, such as:"))
        said.extend(rule_in_words(cut.example))
    return tuple(said)


def why_build(build: RankedBuild, gaps: Sequence[Gap] = ()) -> tuple[Said, ...]:
    """What a build rests on: what is near, what is unproven, and how near the rest is."""
    names = ", ".join(part.name for part in build.parts.values())
    said = [
        Said(f"Build {build.rank}, {build.state.words}: {names}", STATE_STYLES[build.state]),
    ]
    open_ones = [finding for finding in build.findings if finding.state is not State.FITS]
    for finding in sorted(open_ones, key=lambda finding: -finding.state):
        said.extend(rule_in_words(finding))
    if gaps and build.state is not State.FITS:
        said.append(Said("Left out of the data sheet, and what would settle it:", "unproven"))
        said.extend(Said(f"  {gap.field}: {gap.used}; {gap.settle_with}") for gap in gaps)
    if build.dominant_error is not None:
        share = build.error_budget[build.dominant_error] or 0.0
        said.append(
            Said(f"Volume error: most of it is {build.dominant_error}, {figures(share * 100.0)} %.")
        )
    fitting = [finding for finding in build.findings if finding.state is State.FITS]
    said.append(Said(f"{plural(len(fitting), 'rule')} hold over the whole range:", "fits"))
    for finding in sorted(fitting, key=lambda finding: finding.margin or 9.0):
        left = "" if finding.margin is None else f", {figures(finding.margin * 100.0)} % left"
        said.append(Said(f"  {finding.rule}{left}"))
    return tuple(said)
