"""What an answer tells of its parts, its builds, or of having none, as paragraphs: no search."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from configurator.engine import Picks
from configurator.engine.conflict import Blame
from configurator.explain.paragraphs import Offer, Paragraph, Sentence, listed
from configurator.explain.why_none import none_sentences, shut_out, why_none
from configurator.request.intake import Gap
from configurator.request.question import Question
from configurator.rules.finding import LISTED, Finding, State
from configurator.rules.losses import Loss, findings_of
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.spaces import conflict_in
from configurator.units.display import figures, plural
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

CAUSES_SHOWN = 4
"""Rules that empty slots, of which the findings are told."""

OUT = State.RULED_OUT.words
_SOURCES = {rule.name: rule.source for rule in RULEBOOK}


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
    if any(loss.dropped.judgement.rule.asks for loss in losses):
        yield from _ruled_out(answer, losses)
        return
    alive = np.flatnonzero(answer.live[slot] == place)
    further: Picks = {slot: int(alive[0]) if len(alive) else frozenset()}
    up_to = {level: answer.spaces[level].count({**answer.picks, **further}) for level in LISTED}
    emptied = [other for other, places in answer.live.items() if not len(places)]
    if up_to[State.UNPROVEN]:
        yield _counts(up_to)
    elif emptied:
        yield [Sentence(f"No part is left for: {', '.join(emptied)}.", tone=OUT)]
    elif (found := shut_out(answer, {slot: name})) is not None:
        yield [Sentence(text, tone=OUT) for text in found.sentences()]
    elif losses:
        yield from _ruled_out(answer, losses)
    else:
        space = answer.spaces[State.UNPROVEN]
        blames = [b for b in conflict_in(space, {**answer.picks, **further}) if b.name != slot]
        yield [
            Sentence("Its partners leave no build. Together these shut it out:", tone=OUT),
            *(_blame(each, answer.subject.question) for each in blames),
        ]
        picked = (each.name for each in blames if each.kind == "pick")
        yield from _to_free(answer.subject.question, picked)


def _ruled_out(answer: Answer, losses: Sequence[Loss]) -> Iterator[Paragraph]:
    many = plural(len(losses), "rule")
    yield [Sentence(f"Ruled out by {many}, whatever its partners:", tone=OUT)]
    yield from map(_rule, findings_of(answer.left, losses))


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
    yield [
        Sentence(
            f"{f'Build {build.rank}' if build.rank else 'This build'}, {state}: {names}", tone=state
        )
    ]
    open_ones = [finding for finding in build.findings if finding.state is not State.FITS]
    yield from map(_rule, sorted(open_ones, key=lambda finding: -finding.state))
    if gaps and open_ones:
        yield listed(
            "Left out of the data sheet, and what would settle it:",
            (f"{gap.field}: {gap.used}; {gap.settle_with}" for gap in gaps),
        )
    yield [Sentence(f"Volume error {'; '.join(build.error_words)}.")]
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
