"""Why there is nothing to list: the picks, or the rule that cut the most, with its numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from configurator.report.lines import plural, wrapped
from configurator.report.page import Page
from configurator.rules.finding import State
from configurator.rules.space import conflict_in
from configurator.workshop.answer import Answer
from configurator.workshop.told import Cut

SEE_MORE = (
    "`headwright why`, with the same arguments, says what would bring a build back; --format json "
    "shows the reasons for every part in `choices`."
)


def why_nothing(page: Page, width: int) -> list[str]:
    """Return the lines that stand in place of builds."""
    answer = page.answer
    if answer.count:
        rest = plural(answer.count, "marginal or unproven build")
        return wrapped(
            "No build is shown to fit over the whole stated range. Leave out --strict to list "
            f"{rest} with what they lack.",
            width,
        )
    without_picks = answer.spaces[State.UNPROVEN].count()
    texts = _of_picks(answer, without_picks) if without_picks else _of_rules(answer)
    return [line for text in (*texts, SEE_MORE) for line in wrapped(text, width)]


def _of_picks(answer: Answer, without_picks: int) -> Iterator[str]:
    yield (
        f"The picks leave no build. Without them there would be {plural(without_picks, 'build')}."
    )
    reasons = list(_reasons_against_picks(answer))
    yield from reasons
    if not reasons:
        yield _together(answer)


def _reasons_against_picks(answer: Answer) -> Iterator[str]:
    """Why picked parts are out by themselves, each rule with its numbers."""
    for slot, name in answer.subject.question.picks.items():
        for choice in answer.choices[slot]:
            for finding in choice.reasons if choice.part.name == name else ():
                yield f"{slot}={name} is ruled out by '{finding.rule}': {finding.reason}."


def _of_rules(answer: Answer) -> Iterator[str]:
    emptied = [slot for slot, places in answer.live.items() if not len(places)]
    if cut := _cut(answer, emptied):
        yield (
            f"No build is left. The rule that cuts most is '{cut.rule}': it rules out "
            f"{plural(cut.parts, 'part')} by itself, such as: {cut.example.reason}."
        )
    else:
        yield "No build is left."
    if emptied:
        yield f"No part is left for: {', '.join(emptied)}."
    else:
        yield _together(answer)


def _cut(answer: Answer, emptied: Sequence[str]) -> Cut | None:
    """Return the rule that takes out most parts, of a slot with none left where there is one."""
    decisive = [cut for cut in answer.cuts if set(cut.slots) & set(emptied)]
    return next(iter([*decisive, *answer.cuts]), None)


def _together(answer: Answer) -> str:
    """Return a minimal set of rules and picks that no build passes, as a sentence."""
    conflict = conflict_in(answer.spaces[State.UNPROVEN], answer.picks)
    picks = answer.subject.question.picks
    names = [
        f"pick {blame.name}={picks[blame.name]}" if blame.kind == "pick" else f"'{blame.name}'"
        for blame in sorted(conflict)
    ]
    return f"No build passes all of these at once: {', '.join(names)}."
