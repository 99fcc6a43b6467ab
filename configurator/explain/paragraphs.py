"""An explanation as paragraphs, made once: what a face adds is how they are laid out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from configurator.engine.conflict import Blame
from configurator.explain.break_points import BreakPoints
from configurator.explain.conflict import Conflicts
from configurator.explain.measure import Measurements
from configurator.explain.prose import (
    HOURS_NOTE,
    break_points_sentences,
    conflict_sentences,
    how_many,
    margin_sentence,
    measurement_sentences,
    remedy_sentence,
    rests_on,
    step_sentence,
)
from configurator.explain.remedy import Remedies, Remedy
from configurator.explain.why import Swap, Why
from configurator.explain.why_none import none_sentences, why_none
from configurator.request.intake import Gap
from configurator.request.question import Question
from configurator.rules.finding import LISTED, Finding, State
from configurator.rules.losses import findings_of
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.space import conflict_in
from configurator.units.display import figures, plural
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

SWAPS_SHOWN = 6
CAUSES_SHOWN = 4

_SOURCES = {rule.name: rule.source for rule in RULEBOOK}


Form = Literal["heading", "plain", "item", "step", "under", "entry", "below"]
"""How a sentence stands to the others: above them; by itself; in a list; a numbered step and what
is under it; an entry that goes on below."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Another request, and in which words it differs."""

    words: str
    question: Question


@dataclass(frozen=True, slots=True)
class Sentence:
    """One thing that is said.

    Attributes
    ----------
    text : str
        In words.
    form : str
        How it stands to the others.
    tone : str
        A state in words, `pick`, or empty.
    offer : Offer or None
        What somebody could take up.
    """

    text: str
    form: Form = "plain"
    tone: str = ""
    offer: Offer | None = None


Paragraph = Sequence[Sentence]
OUT = State.RULED_OUT.words


def listed(heading: str, texts: Iterable[str]) -> Paragraph:
    """A heading and what it is about."""
    return [Sentence(heading, "heading"), *(Sentence(text, "item") for text in texts)]


def why_paragraphs(found: Why) -> Iterator[Paragraph]:
    """Yield all that an explanation says."""
    if found.count:
        yield from _standing(found)
        return
    yield [Sentence(_verdict(found))]
    if found.broken:
        many = len(found.broken)
        yield listed(
            "One rule is against it:"
            if many == 1
            else f"{many} rules are against it, in the order in which they are heard:",
            (f"'{each.rule}': {each.reason} (basis {each.basis.value})" for each in found.broken),
        )
    elif found.alone:
        each = "" if len(found.alone) == 1 else "each "
        heading = f"{plural(len(found.alone), 'reason')}, {each}enough by itself:"
        yield listed(heading, (step_sentence(one.steps[0]) for one in found.alone))
    if found.conflicts is not None and not found.broken:
        yield from conflict_paragraphs(found.conflicts, also=bool(found.alone))
    if found.swaps and found.asked:
        by_slot: dict[str, list[Swap]] = {}
        for swap in found.swaps:
            by_slot.setdefault(swap.slot, []).append(swap)
        yield listed(
            "Would stand with another part in one slot:",
            (_swaps(slot, swaps) for slot, swaps in by_slot.items()),
        )
    elif found.asked and found.build is not None:
        yield [Sentence("No other part in one slot alone would let it stand.")]
    if found.remedies is not None:
        yield remedy_paragraph(found.remedies, found.asked)


def _verdict(found: Why) -> str:
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
    return text


def conflict_paragraphs(conflicts: Conflicts, *, also: bool = False) -> Iterator[Paragraph]:
    """Yield how many conflicts there are, then each step by step."""
    if conflicts.found:
        yield [Sentence(how_many(conflicts, also=also), "heading")]
    for conflict in conflicts.found:
        moved = (f"Can be moved by {text}" for text in rests_on(conflict))
        yield [
            *(Sentence(text, "step") for text in conflict_sentences(conflict)),
            *(Sentence(text, "under") for text in moved),
        ]


def _swaps(slot: str, swaps: list[Swap]) -> str:
    told = ", ".join(
        swap.part + (f" ({swap.state})" if swap.state else "") for swap in swaps[:SWAPS_SHOWN]
    )
    rest = len(swaps) - SWAPS_SHOWN
    return f"{slot}: {told}" + (f" and {rest} more" if rest > 0 else "")


def remedy_paragraph(found: Remedies, given: Mapping[str, str]) -> Paragraph:
    """What would open a build, each remedy with its request, or that nothing that was tried does.

    Parameters
    ----------
    found : Remedies
        What was found.
    given : Mapping[str, str]
        Parts that stay, by slot.
    """
    single, pairs = (
        [Sentence(remedy_sentence(each, given), "item", "", _offer(each)) for each in remedies]
        for remedies in (found.single, found.pairs)
    )
    said = [Sentence("Would open it:", "heading"), *single]
    if not single and found.complete:
        said.append(Sentence("No single change of what was tried opens a build.", "item"))
    said += pairs
    if not single and not pairs and found.complete:
        said.append(Sentence("Nor do two of them together.", "item"))
    if not found.complete:
        text = "The time was up before everything was tried; there may be more."
        said.append(Sentence(text, "item"))
    return said


def _offer(remedy: Remedy) -> Offer:
    moves = (f"{move.adjustment.title} {move.becomes}" for move in remedy.moves)
    return Offer(" and ".join(moves), remedy.question)


def _standing(found: Why) -> Iterator[Paragraph]:
    build = found.build
    assert build is not None  # where there are builds one of them is told
    parts = ", ".join(f"{slot}={part.name}" for slot, part in build.parts.items())
    which = "The build" if not build.rank else "The first of them"
    left = f"{plural(found.count, 'build')} {'is' if found.count == 1 else 'are'} left. "
    state = "fits" if build.state is State.FITS else f"is {build.state.words}"
    yield [Sentence(f"{left if build.rank else ''}{which} {state}: {parts}.")]
    yield listed("Tightest margins:", map(margin_sentence, found.tightest))
    if found.breaks is not None:
        yield break_point_paragraph(found.breaks)


def break_point_paragraph(found: BreakPoints) -> Paragraph:
    """How far a build is from breaking."""
    heading = "How far each quantity may move by itself:"
    return listed(heading, break_points_sentences(found))


def measurement_paragraphs(found: Measurements) -> Iterator[Paragraph]:
    """Yield what a test would settle, the most telling first, and what no build hangs on."""
    if found.useful:
        yield [Sentence(f"What a test would settle, most builds an hour first. {HOURS_NOTE}")]
    else:
        yield [Sentence("No build hangs on anything that is missing or wide.")]
    for place, each in enumerate(found.useful, start=1):
        first = Sentence(f"{place}. {each.field}: {each.says}.", "entry")
        yield [first, *(Sentence(text, "below") for text in measurement_sentences(each))]
    if found.idle:
        texts = (
            f"{each.field}: {each.says}" + (f" ({each.note})" if each.note else "")
            for each in found.idle
        )
        yield listed("No build hangs on these here:", texts)


def none_paragraphs(answer: Answer) -> Iterator[Paragraph]:
    """Yield why there is no build at all, picks to free, and what the rules say."""
    why = why_none(answer)
    yield [Sentence(text, tone=OUT) for text in none_sentences(why)]
    yield from _to_free(answer.subject.question, why.to_free)
    for cause in why.causes[:CAUSES_SHOWN]:
        yield _rule(cause.nearest)


def _to_free(question: Question, slots: Iterable[str]) -> Iterator[Paragraph]:
    """Each pick that could be freed, with the request without it."""
    freed = [
        Offer(f"free {slot}", question.having({f"pick {slot}": None}))
        for slot in slots
        if slot in question.picks
    ]
    if freed:
        heading = Sentence("What brings it back:", "heading")
        yield [heading, *(Sentence(each.words, "item", "", each) for each in freed)]


def part_paragraphs(answer: Answer, slot: str, name: str) -> Iterator[Paragraph]:
    """Yield why a part is as it is: the rules against it, or the partners that are missing."""
    parts = answer.frame.parts[slot]
    place = next(at for at, part in enumerate(parts) if part.name == name)
    title = Sentence(f"{slot} {name}: {parts[place].title}", "heading")
    note = parts[place].note
    yield [title, Sentence(note)] if note else [title]
    losses = answer.losses.get((slot, place), ())
    if losses:
        many = plural(len(losses), "rule")
        yield [Sentence(f"Ruled out by {many}, whatever its partners:", tone=OUT)]
        yield from map(_rule, findings_of(answer.left, losses))
        return
    further = {slot: int(np.flatnonzero(answer.live[slot] == place)[0])}
    up_to = {level: answer.spaces[level].count({**answer.picks, **further}) for level in LISTED}
    emptied = [other for other, places in answer.live.items() if not len(places)]
    if up_to[State.UNPROVEN]:
        yield _counts(up_to)
    elif emptied:
        yield [Sentence(f"No part is left for: {', '.join(emptied)}.", tone=OUT)]
    else:
        space = answer.spaces[State.UNPROVEN]
        blames = [b for b in conflict_in(space, {**answer.picks, **further}) if b.name != slot]
        yield [
            Sentence("Its partners leave no build. Together these shut it out:", tone=OUT),
            *(_blame(each, answer.subject.question) for each in blames),
        ]
        picked = (each.name for each in blames if each.kind == "pick")
        yield from _to_free(answer.subject.question, picked)


def _counts(up_to: Mapping[State, int]) -> Paragraph:
    said = [
        f"{plural(up_to[State.UNPROVEN], 'build')} with it.",
        f"{plural(up_to[State.FITS], 'build')} of them fit.",
        f"{plural(up_to[State.MARGINAL], 'build')} of them fit or are marginal.",
    ]
    text = "Every build with it lacks data: `?` until it is measured."
    lacks = Sentence(text, tone=State.UNPROVEN.words)
    return [*map(Sentence, said), *([] if up_to[State.MARGINAL] else [lacks])]


def _blame(blame: Blame, question: Question) -> Sentence:
    if blame.kind != "pick":
        source = _source(blame.name)
        return Sentence(f"rule: {blame.name}" + (f" (source: {source})" if source else ""), "item")
    if blame.name in question.picks:
        return Sentence(f"your pick: {blame.name} {question.picks[blame.name]}", "item", "pick")
    return Sentence(f"what you excluded of: {blame.name}", "item", "pick")


def _source(title: str) -> str:
    """Source of a rule by its title, with or without the side before it."""
    return _SOURCES.get(title) or _SOURCES.get(title.partition(": ")[2], "")


def _rule(finding: Finding) -> Paragraph:
    """A rule that spoke: its sentence, what it rests on, and where it comes from."""
    details = []
    if finding.margin is not None:
        left = finding.margin * 100.0
        details.append(f"{figures(abs(left))} % {'left' if left >= 0 else 'over'}")
    if finding.corner:
        details.append(f"decided at: {finding.corner}")
    details.append(f"weakest input: {finding.basis.value}")
    texts = [f"{finding.reason}.", "; ".join(details), f"source: {_source(finding.rule)}"]
    state = finding.state.words
    head = Sentence(f"{state}: {finding.rule}", tone=state)
    return [head, *(Sentence(text, "step") for text in texts)]


def build_paragraphs(build: RankedBuild, gaps: Sequence[Gap] = ()) -> Iterator[Paragraph]:
    """Yield what a build rests on: what is near, what is unproven, and how near the rest is."""
    names = ", ".join(part.name for part in build.parts.values())
    state = build.state.words
    yield [Sentence(f"Build {build.rank}, {state}: {names}", tone=state)]
    open_ones = [finding for finding in build.findings if finding.state is not State.FITS]
    yield from map(_rule, sorted(open_ones, key=lambda finding: -finding.state))
    if gaps and open_ones:
        yield listed(
            "Left out of the data sheet, and what would settle it:",
            (f"{gap.field}: {gap.used}; {gap.settle_with}" for gap in gaps),
        )
    if build.dominant_error is not None:
        share = (build.error_budget[build.dominant_error] or 0.0) * 100.0
        text = f"Volume error: most of it is {build.dominant_error}, {figures(share)} %."
        yield [Sentence(text)]
    fitting = [finding for finding in build.findings if finding.state is State.FITS]
    fitting.sort(key=lambda finding: finding.margin or 9.0)
    yield listed(
        f"{plural(len(fitting), 'rule')} hold over the whole range:",
        (
            finding.rule
            + ("" if finding.margin is None else f", {figures(finding.margin * 100.0)} % left")
            for finding in fitting
        ),
    )
