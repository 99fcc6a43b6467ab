"""An explanation as sentences in paragraphs, made once: what a face adds is how they are laid out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from configurator.explain import prose
from configurator.explain.behind import why_behind
from configurator.explain.break_points import BreakPoints
from configurator.explain.conflict import Conflicts
from configurator.explain.gap_cost import Measurement
from configurator.explain.measure import Measurements
from configurator.explain.remedy import Remedies, Remedy
from configurator.explain.why import Swap, Why
from configurator.request.movable import SOAK
from configurator.request.question import Question
from configurator.rules.finding import State
from configurator.units.display import figures, plural
from configurator.units.grouped import grouped

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
    """One thing that is said."""

    text: str
    form: Form = "plain"
    """How it stands to the others."""
    tone: str = ""
    """A state in words, `pick`, or empty."""
    offer: Offer | None = None
    """What somebody could take up."""


Paragraph = Sequence[Sentence]


def listed(heading: str, texts: Iterable[str]) -> Paragraph:
    """A heading and what it is about."""
    return [Sentence(heading, "heading"), *(Sentence(text, "item") for text in texts)]


SWAPS_SHOWN = 6
"""Other parts of one slot that are named."""

SOAKS_APART = 3
"""Unknown contacts that are told one by one; more of them are one list."""


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
        yield listed(heading, (prose.step_sentence(one.steps[0]) for one in found.alone))
    if found.conflicts is not None and not found.broken:
        yield from conflict_paragraphs(found.conflicts, also=bool(found.alone))
    if found.swaps and found.asked:
        by_slot = grouped(found.swaps, lambda swap: swap.slot)
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
        yield [Sentence(prose.how_many(conflicts, also=also), "heading")]
    for conflict in conflicts.found:
        moved = (f"Can be moved by {text}" for text in prose.rests_on(conflict))
        yield [
            *(Sentence(text, "step") for text in prose.conflict_sentences(conflict)),
            *(Sentence(text, "under") for text in moved),
        ]


def _swaps(slot: str, swaps: list[Swap]) -> str:
    told = ", ".join(
        swap.part + (f" ({swap.state})" if swap.state else "") for swap in swaps[:SWAPS_SHOWN]
    )
    rest = len(swaps) - SWAPS_SHOWN
    return f"{slot}: {told}" + (f" and {rest} more" if rest > 0 else "")


def remedy_paragraph(found: Remedies, given: Mapping[str, str]) -> Paragraph:
    """What would open a build, each remedy with its request, or that nothing that was tried does."""
    single, pairs = (
        [
            Sentence(prose.remedy_sentence(each, given), "item", "", _offer(each))
            for each in remedies
        ]
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
    behind = why_behind(found.answer, build)
    said = f"{left if build.rank else ''}{which} {state}: {parts}."
    yield [Sentence(said), *([Sentence(behind)] if behind else [])]
    if found.doubts:
        yield listed("What is not shown to fit:", map(prose.doubt_sentence, found.doubts))
    if found.tightest:
        yield listed("Tightest margins:", map(prose.margin_sentence, found.tightest))
    if found.breaks is not None:
        yield break_point_paragraph(found.breaks)


def break_point_paragraph(found: BreakPoints) -> Paragraph:
    """How far a build is from breaking."""
    heading = "How far each quantity may move by itself:"
    return listed(heading, prose.break_points_sentences(found))


def measurement_paragraphs(found: Measurements) -> Iterator[Paragraph]:
    """Yield what a test would settle, the most telling first, and what no build hangs on."""
    if found.useful:
        yield [Sentence(f"What a test would settle, most builds an hour first. {prose.HOURS_NOTE}")]
    else:
        yield [Sentence("No build hangs on anything that is missing or wide.")]
    soaks = [each for each in found.useful if each.effort is SOAK and not each.settled]
    soaks = soaks if len(soaks) > SOAKS_APART else []
    told = [each for each in found.useful if each not in soaks[1:]]
    for place, each in enumerate(told, start=1):
        if each in soaks:
            yield _soaks(place, soaks)
        else:
            first = Sentence(f"{place}. {each.field}: {each.says}.", "entry")
            yield [first, *(Sentence(text, "below") for text in prose.measurement_sentences(each))]
    if found.idle:
        texts = (
            f"{each.field}: {each.says}" + (f" ({each.note})" if each.note else "")
            for each in found.idle
        )
        yield listed("No build hangs on these here:", texts)


def _soaks(place: int, soaks: Sequence[Measurement]) -> Paragraph:
    """Contacts of which nobody knows anything, in one list: each alone reads like the others."""
    said = [
        f"{each.field}: {' or '.join(plural(end.counts.total, 'build') for end in each.ends)}; "
        f"{each.test.removeprefix('unproven: ')}"
        for each in soaks
    ]
    return [
        Sentence(f"{place}. {len(soaks)} contacts are unknown: {soaks[0].says}.", "entry"),
        Sentence(
            "None settles a build whichever way it turns out, but much may hang on each. Builds if "
            "it stands a soak, or if not, those with most at stake first "
            f"({figures(SOAK.hours)} h at the bench each, {figures(SOAK.wait)} h until the result):",
            "below",
        ),
        *(Sentence(text, "under") for text in said),
    ]
