"""What each gap of a data sheet costs in builds: the request solved again with the gap closed.

Nothing is guessed from margins. Every count comes from the same path as any other answer, with
the datum at one end of what it may be; where a soak alone would settle it, from `Soaks`, which
solves the physics once. `Recount` counts without solving whole.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from configurator.catalog.substances import Grade
from configurator.chemistry.contact import Contact
from configurator.chemistry.evidence import Evidence
from configurator.explain.again import Again
from configurator.explain.counts import Counts
from configurator.explain.recount import Recount
from configurator.explain.settled import (
    UNREAD,
    Change,
    changed,
    components_of,
    supposed_soak,
    ways_to_settle,
)
from configurator.explain.soaks import Soaks
from configurator.request.intake import Gap
from configurator.rules import chemistry
from configurator.workshop.answer import Answer
from configurator.workshop.configure import configure

Progress = Callable[[int, int], None]
"""Told how many of how many counts are done."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of what a gap may turn out to be, and the builds there are then."""

    text: str
    counts: Counts


@dataclass(frozen=True, slots=True)
class GapCost:
    """What one gap costs.

    Attributes
    ----------
    field : str
        Path in the material file; for a contact the wetted material's code.
    says : str
        What is missing.
    settle_with : str
        The test or question that closes it.
    good, bad : End or None
        The ends with most and with fewest builds; None where there is nothing to solve again.
    note : str
        Why nothing was solved again; else empty.
    """

    field: str
    says: str
    settle_with: str
    good: End | None = None
    bad: End | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Costs:
    """What all gaps of a material cost for one process.

    Attributes
    ----------
    now : Counts
        Builds with the gaps as they are.
    gaps : tuple of GapCost
        One for each gap of the data sheet.
    contacts : tuple of GapCost
        One for each wetted material whose contact is unknown.
    together : Counts or None
        Builds with every gap settled at its good end at once; None if there is none.
    """

    now: Counts
    gaps: tuple[GapCost, ...]
    contacts: tuple[GapCost, ...]
    together: Counts | None


def gap_costs(
    answer: Answer,
    *,
    together: bool = True,
    recount: Recount | None = None,
    progress: Progress | None = None,
) -> Costs:
    """Solve a request again with each gap closed at either end.

    Parameters
    ----------
    answer : Answer
        The request solved as it stands.
    together : bool
        True to count the builds with every gap closed at its good end as well.
    recount : Recount, optional
        For that answer, where there is one already.
    progress : callable, optional
        Called with counts done and counts in all.

    Returns
    -------
    Costs
        Exact counts; a gap on which no build hangs says so instead.
    """
    subject = answer.subject
    every = [(gap, ways_to_settle(gap, subject)) for gap in subject.filled.notes]
    every += [_contact_gap(answer, *found) for found in unknown_contacts(answer)]
    solves = sum(len(changes) for _, changes in every) + together
    counter = _Counter(answer, recount or Recount(Again(answer)), solves, progress)
    costs, best = [], []
    for gap, changes in every:
        ends = [(change, counter.counts([change])) for change in changes]
        costs.append(_cost_of(gap, ends))
        if ends:
            best.append(max(ends, key=lambda end: end[1].rank)[0])
    many = len(subject.filled.notes)
    best_of_all = counter.counts(best) if best and together else None
    return Costs(Counts.of(answer), tuple(costs[:many]), tuple(costs[many:]), best_of_all)


def _cost_of(gap: Gap, ends: Sequence[tuple[Change, Counts]]) -> GapCost:
    if not ends:
        key = gap.field.rpartition(".")[2]
        note = UNREAD.get(key, "nothing bounds it, so its cost cannot be counted")
        return GapCost(gap.field, gap.says, gap.settle_with, note=note)
    good = max(ends, key=lambda end: end[1].rank)
    bad = min(ends, key=lambda end: end[1].rank)
    return GapCost(
        gap.field,
        gap.says,
        gap.settle_with,
        good=End(good[0].text, good[1]),
        bad=End(bad[0].text, bad[1]),
    )


def unknown_contacts(answer: Answer) -> tuple[tuple[str, Contact], ...]:
    """Return the contacts that leave a live part unproven, each with its component's file key."""
    found: dict[tuple[str, str], Contact] = {}
    keys = dict(components_of(answer.subject.request.material))
    grid = answer.grid
    for side in grid.sides:
        for slot in chemistry.WETTED_SLOTS:
            for part in grid.frame.parts[side.slot(slot)]:
                for contact in chemistry.contacts_of(side, part):
                    if contact.grade == "unknown":
                        found.setdefault((keys[side.prefix], contact.material), contact)
    return tuple((component, contact) for (component, _), contact in found.items())


def _contact_gap(
    answer: Answer, component: str, contact: Contact
) -> tuple[Gap, tuple[Change, ...]]:
    grades: tuple[Grade, ...] = ("satisfactory", "not satisfactory")
    code = contact.material
    field = code if component == "component" else f"{component}: {code}"
    changes = tuple(
        Change(
            f"{grade} in a soak",
            records=(supposed_soak(answer.subject, component, code, grade),),
        )
        for grade in grades
    )
    return Gap(field, contact.reason, "unknown", None, contact.test), changes


class _Counter:
    """Counts builds under supposed changes, the short way where there is one."""

    def __init__(
        self, answer: Answer, recount: Recount, solves: int, progress: Progress | None
    ) -> None:
        self._answer = answer
        self._recount = recount
        self._soaks = Soaks(answer)
        self._solves = solves
        self._done = 0
        self._progress = progress

    def counts(self, changes: Sequence[Change]) -> Counts:
        """Counts of the request with all the changes made."""
        supposed = [record for change in changes for record in change.records]
        evidence = Evidence((*self._answer.subject.evidence.records, *supposed))
        counts = self._counted(changes, evidence)
        self._done += 1
        if self._progress is not None:
            self._progress(self._done, self._solves)
        return counts

    def _counted(self, changes: Sequence[Change], evidence: Evidence) -> Counts:
        subject = self._answer.subject
        paths = {path for change in changes for path in change.values}
        compounds = any(evidence.names_compounds(record.material) for record in evidence.records)
        if not compounds and all(path.endswith(".complete") for path in paths):
            return self._soaks.counts(evidence, changed(subject.filled.material, changes))
        request = replace(subject.request, material=changed(subject.request.material, changes))
        if evidence == subject.evidence:
            return self._recount.counts(request)
        return Counts.of(configure(request, subject.catalog, evidence))
