"""Why an answer has no build, or none with a part: typed facts out of what it has worked out.

A slot that ends up empty was emptied by rules, each of which takes out parts by itself. Where a
part only went because its partners went, what took these is what counts: a size without cavities
is out because of the wish that its cavities do not meet, and not because other cavities are made
for other sizes. Where no slot is empty, a minimal conflict of rules and picks says it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from configurator.engine.arrays import BoolArray
from configurator.engine.conflict import Blame
from configurator.explain.conflict import Step, called
from configurator.explain.conflict_problem import ConflictProblem
from configurator.explain.what_if import WhatIf
from configurator.rules.applied import apply_rule
from configurator.rules.case import Case
from configurator.rules.evaluation import Evaluation
from configurator.rules.finding import Finding, State
from configurator.rules.losses import Loss, findings_of, losses_of
from configurator.rules.propagation import Propagation
from configurator.rules.ruleset import Judgement
from configurator.rules.spaces import conflict_in
from configurator.units.display import plural
from configurator.workshop.answer import Answer

PartKey = tuple[str, int]
"""Slot and place among all parts."""

Losses = Mapping[PartKey, Sequence[Loss]]


@dataclass(frozen=True, slots=True)
class Cause:
    """A rule that takes out parts by itself."""

    rule: str
    """The rule's name, with the side."""
    slot: str
    """Slot of the part that comes nearest to passing."""
    parts: int
    """How many parts it takes out, of all slots."""
    nearest: Finding
    """What it says of that part."""


@dataclass(frozen=True, slots=True)
class ShutOut:
    """What leaves some picked parts no build; the rules decide, and not what merely goes with them."""

    picks: Mapping[str, str]
    """The parts, by slot."""
    steps: tuple[Step, ...]
    """Rules, each with what it says of that which comes nearest."""
    each_alone: bool
    """Whether each of them is enough by itself; else it takes all of them together."""

    def sentences(self) -> Iterator[str]:
        """Yield the same in words."""
        parts = " and ".join(f"{slot}={name}" for slot, name in self.picks.items())
        said = [
            f"'{step.name}': {step.nearest.finding.reason}" if step.nearest else f"'{step.name}'"
            for step in self.steps
        ]
        if not self.each_alone:
            yield f"No build with {parts} passes all of these at once: {'; '.join(said)}."
            return
        yield f"No build with {parts} passes {said[0]}."
        for each in said[1:]:
            yield f"Nor does any pass {each}."


@dataclass(frozen=True, slots=True)
class WhyNone:
    """Why there is no build."""

    picks: Mapping[str, str]
    """Parts that are picked, by slot."""
    without_picks: int
    """Builds that there would be without the picks."""
    against: Mapping[str, tuple[Cause, ...]]
    """By slot of a picked part that is out by itself: what takes it out or leaves it no partner."""
    emptied: tuple[str, ...]
    """Slots without any part left."""
    causes: tuple[Cause, ...]
    """Rules that take out parts of these, or of any slot if there are none: those that explain most
    parts first."""
    together: tuple[Blame, ...]
    """Rules and picks that no build passes all of at once; none where the above says it."""
    shut_out: ShutOut | None = None
    """What leaves the picked parts that stand in the way no build."""
    misses: tuple[str, ...] = ()
    """Where there is none without the picks either: rules that no build passes all of at once, each
    with what it says of that which comes nearest."""

    @property
    def to_free(self) -> tuple[str, ...]:
        """Slots of the picks that stand in the way."""
        return (*self.against, *(each.name for each in self.together if each.kind == "pick"))


def why_none(answer: Answer) -> WhyNone:
    """Say why an answer has no build."""
    picks = answer.question.picks
    without_picks = answer.count_without_picks
    emptied = tuple(slot for slot, places in answer.live.items() if not len(places))
    roots = _Roots(answer.left, answer.losses)
    picked = _picked(answer) if without_picks else {}
    out = {slot: part for slot, part in picked.items() if part in answer.losses}
    misses = () if without_picks else _misses(answer.left.evaluation, [])
    together = (
        () if out or emptied or misses else conflict_in(answer.spaces[State.UNPROVEN], answer.picks)
    )
    if not out:
        # A conflict of a pick with what goes together is a part that lost its partners as well.
        roots.alone = _only_without_partners(answer, picked, together)
        out = {slot: (slot, place) for slot, place in roots.alone}
    against = {slot: roots.causes([part]) for slot, part in out.items()}
    against = {slot: causes for slot, causes in against.items() if causes}
    in_the_way = [*against, *(each.name for each in together if each.kind == "pick")]
    return WhyNone(
        picks=picks,
        without_picks=without_picks,
        against=against,
        emptied=emptied,
        causes=() if without_picks else emptying(answer.left, answer.losses, emptied),
        together=() if against else together,
        shut_out=shut_out(answer, {slot: picks[slot] for slot in in_the_way}),
        misses=misses,
    )


def shut_out(answer: Answer, given: Mapping[str, str]) -> ShutOut | None:
    """What `why --part` tells of some parts, by slot.

    None where they do not even go together, or where other picks and exclusions are in the way.
    """
    if not given:
        return None
    problem = WhatIf(answer, given).problem
    alone = tuple(problem.told(frozenset({item})).steps[0] for item in problem.alone)
    steps = alone or problem.first([]).steps
    if not steps or any(step.kind != "rule" for step in steps):
        return None
    return ShutOut(given, steps, each_alone=bool(alone))


def emptying(left: Propagation, losses: Losses, emptied: Sequence[str]) -> tuple[Cause, ...]:
    """Rules that take out the parts of some slots, those that explain most parts first.

    The losses are by slot and place among all parts: the rules that leave the part no partner. Any
    slot counts where none is emptied.
    """
    return _Roots(left, losses).causes(
        [part for part in losses if not emptied or part[0] in emptied]
    )


def _picked(answer: Answer) -> dict[str, PartKey]:
    """The picked parts that the request lets in."""
    found = {}
    for slot, name in answer.question.picks.items():
        names = [part.name for part in answer.frame.parts[slot]]
        if name in names:
            found[slot] = slot, names.index(name)
    return found


def _only_without_partners(
    answer: Answer, picked: Mapping[str, PartKey], together: Sequence[Blame]
) -> dict[PartKey, list[Judgement]]:
    """A picked part that rules on what goes together leave no partner, and these rules."""
    names = {each.name for each in together if each.kind != "pick"}
    slots = [each.name for each in together if each.kind == "pick"]
    rules = [each.judgement for each in answer.left.tables if each.judgement.title in names]
    if len(slots) != 1 or slots[0] not in picked or any(each.rule.asks for each in rules):
        return {}
    found = [each for each in rules if slots[0] in each.scope]
    return {picked[slots[0]]: found} if found else {}


class _Roots:
    """Follows parts that lost their partners to what took these."""

    def __init__(self, left: Propagation, losses: Losses) -> None:
        self._left = left
        self._losses = losses
        self._lets: dict[int, BoolArray | None] = {}
        self.alone: Mapping[PartKey, Sequence[Judgement]] = {}
        """Further parts that only lost their partners, and the rules to which."""

    def causes(self, parts: Iterable[PartKey]) -> tuple[Cause, ...]:
        """What takes out some parts, or the partners without which they go."""
        told: dict[str, list[Loss]] = {}
        explained: dict[str, int] = {}
        for part in parts:
            found: dict[str, list[Loss]] = {}
            for loss in self._of(part, {part}) or self._losses.get(part, ()):
                found.setdefault(loss.title, []).append(loss)
            for rule, its in found.items():
                told.setdefault(rule, []).extend(its)
                explained[rule] = explained.get(rule, 0) + 1
        taken = Counter(loss.title for losses in self._losses.values() for loss in losses)
        return tuple(
            self._cause(told[rule], taken[rule])
            for rule in sorted(told, key=lambda rule: (-explained[rule], -taken[rule], rule))
        )

    def _cause(self, losses: Sequence[Loss], parts: int) -> Cause:
        findings = findings_of(self._left, losses)
        margins = [-np.inf if each.margin is None else each.margin for each in findings]
        at = int(np.argmax(margins))
        return Cause(losses[at].title, losses[at].slot, parts, findings[at])

    def _of(self, part: PartKey, seen: set[PartKey]) -> list[Loss]:
        """Losses to rules that read the request, of the part itself or else of its partners."""
        own = self._losses.get(part, ())
        found = [loss for loss in own if loss.dropped.judgement.rule.asks]
        if found:
            return found
        rules = self.alone.get(part) or [loss.dropped.judgement for loss in own]
        for partner in (each for rule in rules for each in self._partners(rule, part)):
            if partner in self._losses and partner not in seen:
                seen.add(partner)
                found += self._of(partner, seen)
        return found

    def _partners(self, judgement: Judgement, part: PartKey) -> Iterator[PartKey]:
        """Parts of the catalog that a rule would let go together with a part."""
        if judgement.number not in self._lets:
            case = Case(self._left.evaluation.subjects[0], self._left.evaluation.rules.frame)
            side = case.side(judgement.prefix)
            applied = apply_rule(case, judgement.rule, side)
            lets = None if applied is None else applied.states <= State.UNPROVEN
            self._lets[judgement.number] = lets
        table, scope = self._lets[judgement.number], list(judgement.scope)
        if table is None:
            return
        table = np.take(table, part[1], axis=scope.index(part[0]))
        scope.remove(part[0])
        for axis, slot in enumerate(scope):
            others = tuple(at for at in range(len(scope)) if at != axis)
            yield from ((slot, int(at)) for at in np.flatnonzero(table.any(axis=others)))


def none_sentences(why: WhyNone) -> Iterator[str]:
    """Yield why there is no build in words: the picks, or the rule that cuts most."""
    if why.without_picks:
        builds = plural(why.without_picks, "build")
        yield f"The picks leave no build. Without them there would be {builds}."
        if why.shut_out is not None:
            yield from why.shut_out.sentences()
            return
        for slot, causes in why.against.items():
            own = [cause for cause in causes if cause.slot == slot]
            for cause in own or causes[:1]:
                out = "ruled out" if own else f"left without a {called(cause.slot, 1)}"
                reason = cause.nearest.reason
                yield f"{slot}={why.picks[slot]} is {out} by '{cause.rule}': {reason}."
    elif why.misses:
        yield f"No build is left. None passes all of these at once: {'; '.join(why.misses)}."
    elif why.causes:
        cause = why.causes[0]
        yield (
            f"No build is left. The rule that cuts most is '{cause.rule}': it rules out "
            f"{plural(cause.parts, 'part')} by itself, at the nearest: {cause.nearest.reason}."
        )
    else:
        yield "No build is left."
    if why.emptied:
        yield f"No part is left for: {', '.join(why.emptied)}."
    if why.together:
        yield f"No build passes all of these at once: {', '.join(blamed(why))}."


def reason_in_a_line(evaluation: Evaluation, alike: list[frozenset[int]] | None = None) -> str:
    """Why a request without picks has no build: what empties a slot, or what does not go together.

    Each rule stands with what it says of that which comes nearest to passing. `alike` is as for
    `ConflictProblem.first`.
    """
    if misses := _misses(evaluation, [] if alike is None else alike):
        return "; ".join(misses)
    left = Propagation(evaluation)
    gone = [slot for slot, flags in left.live.items() if not flags.any()]
    causes = emptying(left, losses_of(left), gone)
    return "; ".join(f"{cause.rule}: {cause.nearest.reason}" for cause in causes[:1])


def _misses(evaluation: Evaluation, alike: list[frozenset[int]]) -> tuple[str, ...]:
    """Members of a minimal conflict, each with what it says of that which comes nearest.

    None where what is left out of the catalog empties a slot before any rule is asked.
    """
    if not all(evaluation.rules.frame.parts.values()):
        return ()
    steps = ConflictProblem(evaluation).first(alike).steps
    said = ((step.name, step.nearest) for step in steps)
    return tuple(f"{name}: {miss.finding.reason}" if miss else name for name, miss in said)


def blamed(why: WhyNone) -> list[str]:
    """Each member of a conflict in words."""
    return [
        f"pick {each.name}={why.picks[each.name]}" if each.kind == "pick" else f"'{each.name}'"
        for each in why.together
    ]
