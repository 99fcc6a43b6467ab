"""What each gap of a data sheet costs in builds: the request solved again with the gap closed.

Nothing is guessed from margins. Every count comes from the same engine as any other answer, with
the datum at one end of what it may be, or with the soak that would settle it among the findings.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Self

from configurator.catalog.substances import Grade
from configurator.chemistry.contact import Contact
from configurator.chemistry.evidence import Evidence
from configurator.explain.adjustment import Supposition
from configurator.explain.counts import Counts
from configurator.explain.ends import Ends, ends_of_gap, supposed_soak
from configurator.explain.what_if import WhatIf
from configurator.request.intake import Gap
from configurator.request.material import component_key
from configurator.request.movable import SOAK, Effort, Movable, movable_at
from configurator.rules import chemistry
from configurator.workshop.answer import Answer

Progress = Callable[[int, int], None]
"""Told how many of how many counts are done."""


@dataclass(frozen=True, slots=True)
class End:
    """One end of what a datum may turn out to be, and the builds there are then."""

    text: str
    counts: Counts


@dataclass(frozen=True, slots=True)
class Decision:
    """The value of a datum at which the first build of the list changes its state."""

    value: float
    """The value. [unit]"""
    text: str
    unit: str
    """In words, and the SI unit."""
    below: str
    above: str
    """State of the build on either side, in words."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """One datum that is missing or wide, and what knowing it would settle."""

    now: Counts
    """Builds as things stand."""
    field: str
    """Path in the material file; for a contact the wetted material's code."""
    says: str
    """What is missing or wide."""
    test: str
    """The test or question that settles it."""
    effort: Effort
    """What that takes in common practice."""
    ends: tuple[End, ...]
    """Builds there are at the ends of what it may be; none where no build hangs on it."""
    note: str = ""
    """Why nothing was solved again; else empty."""
    decision: Decision | None = None
    """Where the first build of the list changes its state; None if it does not or the datum is no
    number."""

    @property
    def good(self) -> End | None:
        """The end with most builds."""
        return max(self.ends, key=lambda end: end.counts.rank, default=None)

    @property
    def bad(self) -> End | None:
        """The end with fewest builds."""
        return min(self.ends, key=lambda end: end.counts.rank, default=None)

    @property
    def settled(self) -> int:
        """Builds unproven now that are not any more, whichever end it turns out to be."""
        each = (self.now.unproven - end.counts.unproven for end in self.ends)
        return max(min(each, default=0), 0)

    @property
    def at_stake(self) -> int:
        """Builds that there are, or that fit, at one end and not at the other, at least."""
        counts = [end.counts for end in self.ends]
        return max(
            max(numbers, default=0) - min(numbers, default=0)
            for numbers in ([each.total for each in counts], [each.fits for each in counts])
        )

    @property
    def settled_per_hour(self) -> float:
        """Builds settled per hour of laboratory time. [1/h]"""
        return self.settled / self.effort.hours

    @property
    def at_stake_per_hour(self) -> float:
        """Builds at stake per hour of laboratory time. [1/h]"""
        return self.at_stake / self.effort.hours


@dataclass(frozen=True, slots=True)
class Costs:
    """What all gaps of a material cost for one process."""

    now: Counts
    """Builds with the gaps as they are."""
    gaps: tuple[Measurement, ...]
    """One for each gap of the data sheet."""
    contacts: tuple[Measurement, ...]
    """One for each wetted material whose contact a soak would settle."""
    together: Counts | None
    """Builds with every gap settled at its good end at once; None if there is none."""


@dataclass(frozen=True)
class DataGaps:
    """What a data sheet leaves open, each with what it may turn out to be."""

    notes: tuple[tuple[Gap, Ends], ...]
    """One for each gap of the data sheet."""
    contacts: tuple[tuple[Gap, Ends], ...]
    """One for each wetted material whose contact a soak would settle."""

    @classmethod
    def of(cls, answer: Answer) -> Self:
        """Gaps of the material of an answer."""
        subject = answer.subject
        notes = ((gap, ends_of_gap(gap, subject)) for gap in subject.filled.notes)
        contacts = (_contact_gap(answer, *found) for found in open_contacts(answer))
        return cls(tuple(notes), tuple(contacts))

    @property
    def ends(self) -> tuple[Supposition, ...]:
        """All that they may turn out to be."""
        return tuple(end for _, ends in (*self.notes, *self.contacts) for end in ends)

    def costs(self, answer: Answer, counted: CountedEnds) -> Costs:
        """What each of them costs, by the builds at its ends.

        Parameters
        ----------
        answer : Answer
            The request solved as it stands.
        counted : CountedEnds
            The ends among others.
        """
        now, filled_at = Counts.of(answer), answer.subject.filled_at
        notes = (
            _measurement(now, *found, counted, movable_at(*filled_at(found[0].field)))
            for found in self.notes
        )
        contacts = (_measurement(now, *found, counted, SOAKED) for found in self.contacts)
        return Costs(now, tuple(notes), tuple(contacts), None)


SOAKED = Movable(test=SOAK)
"""A contact is found out by a soak."""


class CountedEnds:
    """Builds at what data may turn out to be.

    Parameters
    ----------
    what_if : WhatIf
        What solves requests again.
    ends : sequence of Supposition
        Each a request of its own.
    progress : callable, optional
        Called with counts done and counts in all.
    more : int
        Counts that are still to come behind these.
    """

    def __init__(
        self,
        what_if: WhatIf,
        ends: Sequence[Supposition],
        progress: Progress | None = None,
        more: int = 0,
    ) -> None:
        self._what_if = what_if
        self._told = progress or (lambda _done, _of: None)
        self._all, self._done = len(ends) + more, 0
        self._ends = tuple(ends)  # that the numbers stand for them
        plain = [end for end in ends if not end.records]
        changed = [what_if.question.having(end.values) for end in plain]
        self._known = dict(zip(map(id, plain), what_if.counts_of(changed), strict=True))
        for _ in plain:
            self._tell()
        for end in ends:
            if end.records:
                self._known[id(end)] = self.all_of([end])

    def _tell(self) -> None:
        self._done += 1
        self._told(self._done, self._all)

    def of(self, end: Supposition) -> Counts:
        """Builds at one of the ends."""
        return self._known[id(end)]

    def all_of(self, supposed: Sequence[Supposition]) -> Counts:
        """Builds of the request with all that is supposed."""
        records = [record for each in supposed for record in each.records]
        evidence = Evidence((*self._what_if.evidence.records, *records))
        values = {path: value for each in supposed for path, value in each.values.items()}
        counts = self._what_if.counts(self._what_if.question.having(values), evidence)
        self._tell()
        return counts


def gap_costs(answer: Answer, *, progress: Progress | None = None) -> Costs:
    """Solve a request again with each gap closed at either end, and with all of them closed.

    Parameters
    ----------
    answer : Answer
        The request solved as it stands.
    progress : callable, optional
        Called with counts done and counts in all.

    Returns
    -------
    Costs
        Exact counts; a gap on which no build hangs says so instead.
    """
    gaps = DataGaps.of(answer)
    counted = CountedEnds(WhatIf(answer), gaps.ends, progress, more=1)
    best = [
        max(ends, key=lambda end: counted.of(end).rank)
        for _, ends in (*gaps.notes, *gaps.contacts)
        if ends
    ]
    together = counted.all_of(best) if best else None
    return replace(gaps.costs(answer, counted), together=together)


def _measurement(
    now: Counts, gap: Gap, ends: Ends, counted: CountedEnds, declared: Movable
) -> Measurement:
    note = declared.unread or "nothing bounds it, so its cost cannot be counted"
    told: tuple[End, ...] = ()
    if ends:
        every = [End(end.text, counted.of(end)) for end in ends]
        note, told = "", (max(every, key=_rank), min(every, key=_rank))
    return Measurement(now, gap.field, gap.says, gap.settle_with, declared.test, told, note)


def _rank(end: End) -> tuple[int, int, int]:
    return end.counts.rank


def open_contacts(answer: Answer) -> tuple[tuple[str, Contact], ...]:
    """Return the contacts that a soak would settle, each with its component's file key.

    Those that are unknown, of every live part; and those that are limited, of the parts of the
    first build, whose state may hang on them.
    """
    found: dict[tuple[str, str], Contact] = {}
    grid, first = answer.grid, answer.first
    for side in grid.sides:
        for slot in chemistry.WETTED_SLOTS:
            name = side.slot(slot)
            leading = None if first is None else first.parts[name]
            for part in grid.frame.parts[name]:
                for contact in chemistry.contacts_of(side, part):
                    if contact.grade == "unknown" or (part == leading and _may_soak(contact)):
                        place = component_key(side.prefix), contact.material
                        found.setdefault(place, contact)
    return tuple((component, contact) for (component, _), contact in found.items())


def _may_soak(contact: Contact) -> bool:
    """Whether a limited contact is a guess that a soak replaces: no measurement and no hazard."""
    return (
        contact.grade == "limited"
        and bool(contact.test)
        and not any(
            voice.hazard and voice.used and voice.grade == contact.grade
            for voice in contact.opinions
        )
    )


def _contact_gap(answer: Answer, component: str, contact: Contact) -> tuple[Gap, Ends]:
    grades: tuple[Grade, ...] = ("satisfactory", "not satisfactory")
    code = contact.material
    field = code if component == "component" else f"{component}: {code}"
    soaks = [supposed_soak(answer.subject, component, code, grade) for grade in grades]
    ends = (Supposition(f"{soak.grade} in a soak", records=(soak,)) for soak in soaks)
    return Gap(field, contact.reason, "unknown", None, contact.test), tuple(ends)
