"""What a screening says of one material: counts, the best build, and what decides.

`verdict_on` takes the long way; a batch gives the same rows quicker.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from configurator.catalog.parts import Part
from configurator.explain.why_none import reason_in_a_line
from configurator.request.intake import Gap
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.finding import LISTED, Finding, State
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild
from configurator.workshop.workshop import Workshop

UNPROVEN = "unproven: "
"""How the test of an unproven contact begins; the row has its state already."""

NOT_READ = "not read"
"""State of a row that could not be read; the others are the states of a build."""

ASKS = {rule.name: rule.asks for rule in RULEBOOK}


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer to one material and process in one row."""

    state: str
    """Of the best build: fits, marginal, unproven; ruled out if there is none; `not read` if the
    row could not be read."""
    fits: int = 0
    marginal: int = 0
    unproven: int = 0
    """Builds in each state, exact."""
    best_build: str = ""
    """Parts of the build that `headwright builds` lists first, as `size=h3, cavity=...`."""
    margin: float | None = None
    """Tightest margin of that build; None where none is known."""
    margin_rule: str = ""
    """The rule that leaves it."""
    reason: str = ""
    """Why the best build does not fit, or why there is none; empty for one that fits."""
    measure_first: str = ""
    """What is missing behind that reason, and the test that would settle it."""

    @property
    def builds(self) -> int:
        """All builds that are not ruled out."""
        return self.fits + self.marginal + self.unproven


def verdict_on(material: Material, process: Process, workshop: Workshop) -> Verdict:
    """Judge one material by the long way."""
    answer = workshop.answer(Question(material, process))
    fits, marginal, unproven = (answer.counts[level] for level in LISTED)
    if answer.first is None:
        return Verdict(State.RULED_OUT.words, reason=reason_for_none(answer))
    return verdict_of(answer.first, (fits, marginal, unproven), answer.subject.filled.notes)


def verdict_of(best: RankedBuild, counts: tuple[int, int, int], gaps: tuple[Gap, ...]) -> Verdict:
    """The row of the first build of the list, with builds that fit, are marginal and unproven."""
    fits, marginal, unproven = counts
    deciding = deciding_finding(best)
    tightest = tightest_finding(best)
    return Verdict(
        state=best.state.words,
        fits=fits,
        marginal=marginal,
        unproven=unproven,
        best_build=build_in_words(best.parts),
        margin=None if tightest is None else tightest.margin,
        margin_rule="" if tightest is None else tightest.rule,
        reason=reason_of(deciding),
        measure_first=measure_first(_against(best), gaps),
    )


def build_in_words(parts: Mapping[str, Part]) -> str:
    """A build as other commands take it, such as `size=h3, cavity=h3-0.25-2s`."""
    return ", ".join(f"{slot}={part.name}" for slot, part in parts.items())


def reason_of(deciding: Finding | None) -> str:
    """The finding that keeps a build from fitting, with its rule; empty if none does."""
    return "" if deciding is None else f"{deciding.rule}: {deciding.reason}"


def _against(build: RankedBuild) -> Iterator[Finding]:
    """The findings that keep a build from fitting, in the order of the rulebook."""
    if build.state is not State.FITS:
        yield from (finding for finding in build.findings if finding.state is build.state)


def deciding_finding(build: RankedBuild) -> Finding | None:
    """The first finding that keeps a build from fitting; None if it fits."""
    return next(_against(build), None)


def tightest_finding(build: RankedBuild) -> Finding | None:
    """The finding with the least margin; the first of equals."""
    known = [finding for finding in build.findings if finding.margin is not None]
    return min(known, key=lambda finding: finding.margin or 0.0, default=None)


def measure_first(findings: Iterable[Finding], gaps: tuple[Gap, ...]) -> str:
    """The test behind the first finding against a build that has one.

    A verdict in words names its own test; numbers lead to the first gap of the data sheet that they
    rest on. Findings are in the order of the rulebook, gaps in that of the file.
    """
    for finding in findings:
        if finding.settle_with:
            return f"{finding.rule}: {finding.settle_with.removeprefix(UNPROVEN)}"
        side, _, rule = finding.rule.rpartition(": ")
        for gap in gaps:
            if any(_covers(ask, gap.field, side) for ask in ASKS[rule]):
                return f"{gap.field}: {gap.settle_with}"
    return ""


def _covers(ask: str, field: str, side: str) -> bool:
    """True if a gap's field lies at or below a field that a rule reads."""
    if ask.startswith("component."):
        ask = (side or "component") + ask.removeprefix("component")
    ask = ask.removeprefix("material.")
    return field == ask or field.startswith(f"{ask}.")


def reason_for_none(answer: Answer) -> str:
    """Why there is no build, in the words of the other commands."""
    bare = [slot for slot, parts in answer.frame.parts.items() if not parts]
    if bare:
        return f"no part may stand in slot {bare[0]}"
    return reason_in_a_line(answer.left.evaluation)
