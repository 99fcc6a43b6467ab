"""What comes back from a workshop: counts, choices and ranked builds with their findings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice

import numpy as np

from configurator.catalog.parts import Part
from configurator.chemistry.cautions import Caution, heavy_lift
from configurator.engine import Blame, Build, Picks
from configurator.engine.arrays import BoolArray
from configurator.engine.eliminate import TooWideError
from configurator.engine.pareto import Progress
from configurator.errors import NoBuildError, UsageError
from configurator.request.question import Question
from configurator.rules.case import Case
from configurator.rules.counting import Count
from configurator.rules.finding import LISTED, Finding, State
from configurator.rules.frame import Frame
from configurator.rules.losses import Loss, findings_of, losses_of
from configurator.rules.propagation import Propagation
from configurator.rules.spaces import Spaces, conflict_in
from configurator.rules.subject import Subject
from configurator.workshop.figures import Figure, figure_named
from configurator.workshop.listing import BuildLists, Key
from configurator.workshop.margins import LEAST_MARGIN, with_margin
from configurator.workshop.told import Choice, RankedBuild, described


@dataclass(frozen=True)
class Answer:
    """Everything that a face shows of one request; nothing in it changes."""

    subject: Subject
    """The request with its gaps filled, the duty and the fluids."""
    frame: Frame
    """All parts that the request lets in."""
    live: Mapping[str, np.ndarray[tuple[int], np.dtype[np.intp]]]
    """By slot, the places of the parts that no rule takes out alone."""
    left: Propagation
    """What the rules leave of the parts, and why."""
    spaces: Spaces
    """Builds up to each level, over the live parts."""
    picks: Picks
    """Picked values by slot, over the live parts."""
    considered: int
    """Raw combinations."""
    cautions: tuple[Caution, ...]
    """Whatever it is built from."""

    @cached_property
    def counts(self) -> dict[State, int]:
        """Builds in each of the three states that are listed."""
        up_to = [self._up_to(level, self.picks) for level in LISTED]
        below = [0, *up_to[:-1]]
        return {level: all_ - less for level, all_, less in zip(LISTED, up_to, below, strict=True)}

    @cached_property
    def count_without_picks(self) -> int:
        """Builds that there would be without the picks."""
        return self._up_to(State.UNPROVEN, {})

    def _up_to(self, level: State, picks: Picks) -> int:
        """Builds up to a level; the spaces are asked where they are there, or alone can say it."""
        if not self.spaces.ready and all(map(len, self.live.values())):
            with suppress(TooWideError):
                return int(self._count.up_to(level, self._flags(picks))[0])
        return self.spaces[level].count(picks)

    def _flags(self, picks: Picks) -> dict[str, BoolArray]:
        """By slot with a pick, which of all parts it leaves."""
        found = {}
        for slot, picked in picks.items():
            found[slot] = np.zeros(len(self.frame.parts[slot]), dtype=np.bool_)
            places = [picked] if isinstance(picked, int) else sorted(picked)
            found[slot][self.live[slot][places]] = True
        return found

    @property
    def question(self) -> Question:
        """What was asked."""
        return self.subject.question

    def cautions_of(self, *builds: RankedBuild) -> tuple[Caution, ...]:
        """Cautions of the request, and what some of its builds bring to them."""
        return (*self.cautions, *heavy_lift(build.figures["head_mass_kg"] for build in builds))

    @cached_property
    def order(self) -> Figure:
        """What orders builds of the same state before all else."""
        return figure_named(self.question.sort)

    @property
    def levels(self) -> tuple[State, ...]:
        """States that are listed: all three, or fits alone if the question is strict."""
        return LISTED[:1] if self.question.strict else LISTED

    def with_question(self, question: Question) -> Answer:
        """The answer to another question on the same duty, solving nothing anew.

        Ask it of an answer whose question excludes nothing: excluded parts stay in the frame,
        each with the builds that it would bring back, where a new answer leaves them out.
        Counts and builds are the same either way.

        Parameters
        ----------
        question : Question
            With the same material and process; parts fixed or excluded and the order may differ.
        """
        subject = replace(self.subject, question=question)
        kept: tuple[str, ...] = (
            "grid",
            "losses",
            "_reasons",
            "_count",
        )  # what no pick moves was dear
        asked = self.question
        if (question.picks, question.without) == (asked.picks, asked.without):
            other = replace(self, subject=subject)
            kept += ("counts", "choices")
        else:
            other = replace(
                self,
                subject=subject,
                picks={
                    slot: value
                    for slot in self.frame.slots
                    if (value := self._value(slot, question)) is not None
                },
                considered=math.prod(
                    sum(part.name not in question.without.get(slot, ()) for part in parts)
                    for slot, parts in self.frame.parts.items()
                ),
            )
        other.__dict__.update({name: self.__dict__[name] for name in kept if name in self.__dict__})
        return other

    def _value(self, slot: str, question: Question) -> int | frozenset[int] | None:
        """What a question leaves of the live parts of a slot; None if all of them."""
        names = [self.frame.parts[slot][place].name for place in self.live[slot]]
        excluded = question.without.get(slot, frozenset())
        if slot in question.picks:
            chosen = question.picks[slot]
            found = chosen in names and chosen not in excluded
            return names.index(chosen) if found else frozenset()
        if not excluded:
            return None
        return frozenset(value for value, name in enumerate(names) if name not in excluded)

    @property
    def count(self) -> int:
        """Builds that are not ruled out."""
        return sum(self.counts.values())

    @property
    def listed(self) -> int:
        """Builds that the question lists: those that fit alone if it is strict, else all."""
        return sum(self.counts[level] for level in self.levels)

    @cached_property
    def first(self) -> RankedBuild | None:
        """The first build of all that are not ruled out, strict or not; None if there is none."""
        asked = self.question
        every = self.with_question(replace(asked, strict=False)) if asked.strict else self
        return next(iter(every.builds(limit=1)), None)

    @cached_property
    def grid(self) -> Case:
        """The live parts as a grid."""
        return Case(self.subject, self.frame.only(self.live))

    def builds(self, *, offset: int = 0, limit: int = 20) -> tuple[RankedBuild, ...]:
        """One page of the builds in the order of the question, each with figures and findings."""
        if not limit or offset >= self.listed:
            return ()  # some slot may have no part left, over which nothing can be worked out
        page = list(islice(self.in_order(), offset, offset + limit))
        return self.described_builds(page, first_rank=offset + 1)

    def build(self, rank: int, option: str = "--build") -> RankedBuild:
        """The build with a number in the list, from 1.

        Raises
        ------
        NoBuildError
            If there is no build at all.
        UsageError
            If the list is shorter.
        """
        if not self.listed:
            kind = "build fits over the whole stated range" if self.count else "build exists"
            raise NoBuildError(
                f"no {kind} for this material and process; headwright builds says why"
            )
        if not 1 <= rank <= self.listed:
            raise UsageError(f"{option}: given '{rank}'; accepted: 1 to {self.listed}")
        return self.builds(offset=rank - 1, limit=1)[0]

    def in_order(self) -> Iterator[Build]:
        """Yield the builds in the order of the question, as places among the live parts."""
        return (build for _, build in self.keyed())

    def keyed(self) -> Iterator[tuple[Key, Build]]:
        """Yield the same builds with what puts each behind those before it."""
        return self.listing.up_to([level for level in self.levels if self.counts[level]])

    @cached_property
    def listing(self) -> BuildLists:
        """What puts the builds in order."""
        return BuildLists(
            self._count,
            self.frame,
            self.live,
            self.picks,
            self.grid,
            self.order,
            lambda build: self._told([build])[0],
        )

    @cached_property
    def _count(self) -> Count:
        return Count(self.left)

    def front(
        self, figures: Sequence[Figure], *, progress: Progress | None = None
    ) -> tuple[RankedBuild, ...]:
        """Builds that no other beats in all of two to four figures, in the order of the first."""
        level = next((each for each in reversed(self.levels) if self.counts[each]), None)
        if level is None:
            return ()  # some slot may have no part left, over which nothing can be worked out
        found = self.listing.front(self.spaces[level], level, figures, progress)
        return self.described_builds(found, figures)

    def described_builds(
        self, builds: Sequence[Build], figures: Sequence[Figure] = (), *, first_rank: int = 1
    ) -> tuple[RankedBuild, ...]:
        """Figures and findings of builds as `in_order` yields them.

        Parameters
        ----------
        builds : sequence of dict
            As places among the live parts.
        figures : sequence of Figure
            What the list is about beside the figure that orders it: the least margin is worked out
            only where it is asked for.
        first_rank : int
            Rank of the first build.
        """
        told = self._told(builds, first_rank=first_rank)
        if not any(each.name == LEAST_MARGIN for each in (self.order, *figures)) or not told:
            return told
        level = next(each for each in reversed(self.levels) if self.counts[each])
        margins = self.listing.margins(level)
        return tuple(with_margin(build, margins) for build in told)

    def _told(self, builds: Sequence[Build], *, first_rank: int = 1) -> tuple[RankedBuild, ...]:
        slots = self.grid.frame.slots
        rows = np.array([[build[slot] for slot in slots] for build in builds], dtype=np.intp)
        return self.described(rows.reshape(len(builds), len(slots)), first_rank=first_rank)

    def described(
        self, rows: np.ndarray[tuple[int, int], np.dtype[np.intp]], *, first_rank: int = 1
    ) -> tuple[RankedBuild, ...]:
        """Figures and findings of builds given as places among the live parts.

        Parameters
        ----------
        rows : ndarray of int
            Shape (builds, slots).
        first_rank : int
            Rank of the first row.
        """
        return described(self.subject, self.grid.frame, rows, first_rank=first_rank)

    @cached_property
    def choices(self) -> dict[str, tuple[Choice, ...]]:
        """Every part of every slot: its state, builds left if picked, and why it is out."""
        left = {level: self.spaces[level].remaining(self.picks) for level in LISTED}
        return {
            slot: tuple(self._choice(slot, place, part, left) for place, part in enumerate(parts))
            for slot, parts in self.frame.parts.items()
        }

    def _choice(
        self,
        slot: str,
        place: int,
        part: Part,
        left: Mapping[State, Mapping[str, np.ndarray[tuple[int], np.dtype[np.generic]]]],
    ) -> Choice:
        picked = self.question.picks.get(slot) == part.name
        found = np.flatnonzero(self.live[slot] == place)
        if not len(found):
            return Choice(
                part, State.RULED_OUT, 0, picked, self._reasons.get((slot, place), ()), ()
            )
        at = int(found[0])
        counts = {level: int(left[level][slot][at]) for level in LISTED}
        state = next((level for level in LISTED if counts[level]), State.RULED_OUT)
        blocked = self._blocked(slot, at) if state is State.RULED_OUT else ()
        return Choice(part, state, counts[State.UNPROVEN], picked, (), blocked)

    @cached_property
    def losses(self) -> dict[tuple[str, int], tuple[Loss, ...]]:
        """By slot and place among all parts: the rules that leave the part no partner."""
        return losses_of(self.left)

    @cached_property
    def _reasons(self) -> dict[tuple[str, int], tuple[Finding, ...]]:
        """By slot and place: what the rules behind its losses find, each at its nearest miss."""
        every = [loss for losses in self.losses.values() for loss in losses]
        findings = iter(findings_of(self.left, every))
        return {part: tuple(islice(findings, len(losses))) for part, losses in self.losses.items()}

    def _blocked(self, slot: str, at: int) -> tuple[str, ...]:
        """Names of a minimal set of rules and picks that leaves a part no partner."""
        emptied = [other for other, places in self.live.items() if not len(places)]
        if emptied:
            return tuple(f"no part left for {other}" for other in emptied)
        kind = int(self.left.evaluation.rules.kinds[slot].of[self.live[slot][at]])
        if (slot, kind) not in self._conflicts:
            picks = {**self.picks, slot: at}
            known = dict.fromkeys(self._conflicts.values())
            space = self.spaces[State.UNPROVEN]
            self._conflicts[slot, kind] = conflict_in(space, picks, known)
        return tuple(
            f"pick {blame.name}={self.question.picks[blame.name]}"
            if blame.kind == "pick"
            else blame.name
            for blame in self._conflicts[slot, kind]
            if (blame.kind, blame.name) != ("pick", slot)
        )

    @cached_property
    def _conflicts(self) -> dict[tuple[str, int], tuple[Blame, ...]]:
        """Why parts have no build, by slot and kind: rules tell parts of one kind not apart."""
        return {}
