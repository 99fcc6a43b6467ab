"""What comes back from `configure`: counts, choices and ranked builds with their findings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice

import numpy as np

from configurator.catalog.parts import Part
from configurator.chemistry.cautions import Caution
from configurator.engine import Build, BuildSpace, Picks
from configurator.engine.pareto import Progress
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import LISTED, Finding, State
from configurator.rules.frame import Frame
from configurator.rules.losses import Loss, findings_of
from configurator.rules.metering import error_parts
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.subject import Subject
from configurator.workshop.figures import FIGURES, Figure, costs_of
from configurator.workshop.front import front_of
from configurator.workshop.listing import in_order
from configurator.workshop.told import Choice, Cut, RankedBuild


@dataclass(frozen=True)
class Answer:
    """Everything that a face shows of one request; nothing in it changes.

    Attributes
    ----------
    subject : Subject
        The request with its gaps filled, the duty and the fluids.
    frame : Frame
        All parts that the request lets in.
    live : Mapping[str, ndarray]
        By slot, the places of the parts that no rule takes out alone.
    losses : Mapping
        By slot and place among all parts: the rules that leave the part no partner.
    over_live : tuple of Applied
        All rules, over the live parts.
    spaces : Mapping[State, BuildSpace]
        Builds up to each level, over the live parts.
    picks : Picks
        Picked values by slot, over the live parts.
    considered : int
        Raw combinations.
    cautions : tuple of Caution
        What people have to mind.
    """

    subject: Subject
    frame: Frame
    live: Mapping[str, np.ndarray[tuple[int], np.dtype[np.intp]]]
    losses: Mapping[tuple[str, int], tuple[Loss, ...]]
    over_live: tuple[Applied, ...]
    spaces: Mapping[State, BuildSpace]
    picks: Picks
    considered: int
    cautions: tuple[Caution, ...]

    @cached_property
    def counts(self) -> dict[State, int]:
        """Builds in each of the three states that are listed."""
        up_to = [self.spaces[level].count(self.picks) for level in LISTED]
        below = [0, *up_to[:-1]]
        return {level: all_ - less for level, all_, less in zip(LISTED, up_to, below, strict=True)}

    def with_picks(self, picks: Mapping[str, str], without: Mapping[str, frozenset[str]]) -> Answer:
        """The answer to the same duty with other parts fixed or excluded, solving nothing anew.

        Ask it of an answer whose request excludes nothing: excluded parts stay in the frame,
        each with the builds that it would bring back, where `configure` leaves them out.
        Counts and builds are the same either way.

        Parameters
        ----------
        picks : Mapping[str, str]
            Part fixed by slot.
        without : Mapping[str, frozenset[str]]
            Parts excluded, by slot.
        """
        request = replace(self.subject.request, picks=picks, without=without)
        values: dict[str, int | frozenset[int]] = {}
        for slot, places in self.live.items():
            names = [self.frame.parts[slot][place].name for place in places]
            excluded = without.get(slot, frozenset())
            if slot in picks:
                chosen = picks[slot]
                found = chosen in names and chosen not in excluded
                values[slot] = names.index(chosen) if found else frozenset()
            elif excluded:
                values[slot] = frozenset(
                    value for value, name in enumerate(names) if name not in excluded
                )
        other = replace(
            self,
            subject=replace(self.subject, request=request),
            picks=values,
            considered=math.prod(
                sum(part.name not in without.get(slot, ()) for part in parts)
                for slot, parts in self.frame.parts.items()
            ),
        )
        # What no pick moves was dear to work out.
        for name in ("grid", "_reasons", "cuts"):
            if name in self.__dict__:
                other.__dict__[name] = self.__dict__[name]
        return other

    @property
    def count(self) -> int:
        """Builds that are not ruled out."""
        return sum(self.counts.values())

    @cached_property
    def grid(self) -> Case:
        """The live parts as a grid."""
        return Case(self.subject, self.frame.only(self.live))

    def builds(
        self,
        *,
        offset: int = 0,
        limit: int = 20,
        strict: bool = False,
        sort: Figure = FIGURES[0],
    ) -> tuple[RankedBuild, ...]:
        """One page of the builds, best first, each with figures and findings.

        Parameters
        ----------
        offset, limit : int
            Which builds of the list.
        strict : bool
            True to leave out marginal and unproven builds.
        sort : Figure
            What orders builds of the same state.
        """
        levels = LISTED[:1] if strict else LISTED
        if not any(self.counts[level] for level in levels):
            return ()  # some slot may have no part left, over which nothing can be worked out
        costs = costs_of(sort, self.grid)
        ordered = in_order(self.spaces, levels, costs, self.picks)
        page = list(islice(ordered, offset, offset + limit))
        return self._described(page, first_rank=offset + 1)

    def front(
        self,
        figures: Sequence[Figure],
        *,
        strict: bool = False,
        progress: Progress | None = None,
    ) -> tuple[RankedBuild, ...]:
        """Builds that no other beats in all of several figures, in the order of the first.

        Parameters
        ----------
        figures : sequence of Figure
            Two to four figures.
        strict : bool
            True to leave out marginal and unproven builds.
        progress : callable, optional
            Told how far a long run is.
        """
        space = self.spaces[LISTED[0] if strict else LISTED[-1]]
        front = front_of(space, figures, self.grid, self.picks, progress)
        return self._described(front, first_rank=1)

    def _described(self, builds: Sequence[Build], *, first_rank: int) -> tuple[RankedBuild, ...]:
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
        frame = self.grid.frame.with_rows(rows)
        case = Case(self.subject, frame)
        applied = apply_rules(case, RULEBOOK)
        figures = {
            figure.name: np.broadcast_to(figure.read(case), (len(rows),)) for figure in FIGURES
        }
        budget = {
            f"{side.prefix[:-1]}: {name}" if side.prefix else name: np.broadcast_to(
                part.hard, (len(rows),)
            )
            for side in case.sides
            for name, part in error_parts(case, side).items()
        }
        builds = []
        for row, places in enumerate(rows):
            parts = {
                slot: frame.parts[slot][place]
                for slot, place in zip(frame.slots, places, strict=True)
            }
            findings = tuple(rule.finding(row, parts) for rule in applied)
            builds.append(
                RankedBuild(
                    rank=first_rank + row,
                    parts=parts,
                    state=max((finding.state for finding in findings), default=State.FITS),
                    figures=_known_at(figures, row),
                    findings=findings,
                    error_budget=_known_at(budget, row),
                )
            )
        return tuple(builds)

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
        picked = self.subject.request.picks.get(slot) == part.name
        found = np.flatnonzero(self.live[slot] == place)
        if not len(found):
            return Choice(part, State.RULED_OUT, 0, picked, self._against(slot, place), ())
        at = int(found[0])
        counts = {level: int(left[level][slot][at]) for level in LISTED}
        state = next((level for level in LISTED if counts[level]), State.RULED_OUT)
        blocked = self._blocked(slot, at) if state is State.RULED_OUT else ()
        return Choice(part, state, counts[State.UNPROVEN], picked, (), blocked)

    def _against(self, slot: str, place: int) -> tuple[Finding, ...]:
        """Findings of the rules that leave a part no partner, each at its nearest miss."""
        return self._reasons.get((slot, place), ())

    @cached_property
    def _reasons(self) -> dict[tuple[str, int], tuple[Finding, ...]]:
        every = [loss for losses in self.losses.values() for loss in losses]
        findings = iter(findings_of(every))
        return {part: tuple(islice(findings, len(losses))) for part, losses in self.losses.items()}

    def _blocked(self, slot: str, at: int) -> tuple[str, ...]:
        """Names of a minimal set of rules and picks that leaves a part no partner."""
        emptied = [other for other, places in self.live.items() if not len(places)]
        if emptied:
            return tuple(f"no part left for {other}" for other in emptied)
        picks = {**self.picks, slot: at}
        conflict = self.spaces[State.UNPROVEN].conflict(picks)
        request = self.subject.request
        return tuple(
            f"pick {blame.name}={request.picks[blame.name]}" if blame.kind == "pick" else blame.name
            for blame in sorted(conflict or ())
            if (blame.kind, blame.name) != ("pick", slot)
        )

    @cached_property
    def cuts(self) -> tuple[Cut, ...]:
        """Rules by how many parts each takes out, most first."""
        by_rule: dict[str, list[Loss]] = {}
        for losses in self.losses.values():
            for loss in losses:
                by_rule.setdefault(loss.applied.title, []).append(loss)
        ordered = sorted(by_rule.items(), key=lambda entry: (-len(entry[1]), entry[0]))
        return tuple(
            Cut(
                rule=rule,
                parts=len(losses),
                slots=tuple(sorted({loss.slot for loss in losses})),
                example=findings_of(losses[:1])[0],
            )
            for rule, losses in ordered
        )


def _known_at(
    columns: Mapping[str, np.ndarray[tuple[int], np.dtype[np.float64]]], row: int
) -> dict[str, float | None]:
    """One row of named columns; None where a value is unknown or without end."""
    return {
        name: float(values[row]) if np.isfinite(values[row]) else None
        for name, values in columns.items()
    }
