"""A build that somebody names: by its rank in the list or part by part, valid or not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.parts import Part
from configurator.errors import NoBuildError, UsageError, shown
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.subject import Subject
from configurator.workshop.answer import Answer
from configurator.workshop.named_parts import check_named
from configurator.workshop.told import RankedBuild


def read_parts(text: str, option: str = "--build") -> dict[str, str]:
    """Read `slot=part, slot=part` into one part a slot.

    Raises
    ------
    UsageError
        If the text is anything else, or names a slot twice.
    """
    accepted = (
        '"slot=part, slot=part"' if option == "--part" else 'a rank, or "slot=part, slot=part"'
    )
    parts: dict[str, str] = {}
    for pair in filter(str.strip, text.split(",")):
        slot, equals, part = (piece.strip() for piece in pair.partition("="))
        if not (slot and equals and part):
            raise UsageError(f"{option}: given '{shown(text)}'; accepted: {accepted}")
        if parts.get(slot, part) != part:
            raise UsageError(f"{option}: slot {slot} has both '{parts[slot]}' and '{part}'")
        parts[slot] = part
    if not parts:
        raise UsageError(f"{option}: given '{shown(text)}'; accepted: {accepted}")
    return parts


def parts_named(
    answer: Answer, names: Mapping[str, str], option: str = "--build"
) -> dict[str, Part]:
    """Find parts by slot and name among all of the catalog.

    Raises
    ------
    InputError
        If a slot or part does not exist, with the nearest name.
    """
    slots, catalog = answer.frame.slots, answer.subject.catalog
    check_named(catalog, slots, [(option, slot, name) for slot, name in names.items()])
    return {
        slot: next(part for part in catalog.slot(slot) if part.name == names[slot])
        for slot in slots
        if slot in names
    }


def completed(answer: Answer, parts: Mapping[str, Part]) -> dict[str, Part] | None:
    """A whole build out of named parts, with what only one part can fill; None if not whole."""
    whole: dict[str, Part] = {}
    for slot, standing in answer.frame.parts.items():
        if slot in parts:
            whole[slot] = parts[slot]
        elif len(standing) == 1:
            whole[slot] = standing[0]
        else:
            return None
    return whole


def judged(
    answer: Answer, builds: Sequence[Mapping[str, Part]], subject: Subject | None = None
) -> tuple[RankedBuild, ...]:
    """Findings and figures of builds, whatever their state."""
    frame, rows = rows_of(builds)
    stand_in = replace(
        answer,
        subject=subject or answer.subject,
        frame=Frame(frame.parts),
        live={slot: np.arange(len(parts)) for slot, parts in frame.parts.items()},
    )
    return stand_in.described(rows)


def rows_of(builds: Sequence[Mapping[str, Part]]) -> tuple[Frame, NDArray[np.intp]]:
    """Builds as a rows frame over no more parts than they hold, and their rows."""
    slots = tuple(builds[0])
    parts = {
        slot: tuple({build[slot].name: build[slot] for build in builds}.values()) for slot in slots
    }
    places = {
        slot: {part.name: place for place, part in enumerate(entries)}
        for slot, entries in parts.items()
    }
    rows = np.array([[places[slot][build[slot].name] for slot in slots] for build in builds])
    return Frame(parts, rows), rows


def build_named(answer: Answer, text: str, option: str = "--build") -> RankedBuild:
    """The build with a rank, or the one made of named parts.

    Raises
    ------
    NoBuildError
        If a rank is asked for and there is no build at all.
    UsageError
        If there is no such rank, or the parts leave a slot open.
    """
    if text.strip().isdecimal():
        return answer.build(int(text), option)
    whole = completed(answer, parts_named(answer, read_parts(text, option), option))
    if whole is None:
        raise UsageError(
            f"{option}: a rank, or one part for each of {', '.join(answer.frame.slots)}"
        )
    return replace(judged(answer, [whole])[0], rank=0)


def listed_build(answer: Answer, text: str) -> RankedBuild:
    """The same, if it is one that the answer may list: no paper is made of another.

    Raises
    ------
    NoBuildError
        If it is ruled out, or does not fit where only such builds are asked for.
    """
    build = build_named(answer, text)
    if build.state not in answer.levels:
        worst = max(build.findings, key=lambda finding: finding.state)
        raise NoBuildError(
            f"--build: this one is {build.state.words}: {worst.rule}: {worst.reason}; "
            f'headwright why says more with --build "{text}"'
        )
    return build


@dataclass(frozen=True)
class Neighbour:
    """A build with one other part."""

    slot: str
    part: Part
    """The other part."""
    state: State


def neighbours(answer: Answer, parts: Mapping[str, Part]) -> Iterator[Neighbour]:
    """Yield every build that differs in one part from a whole one."""
    swaps = [
        (slot, part)
        for slot, entries in answer.frame.parts.items()
        for part in entries
        if part.name != parts[slot].name
    ]
    if not swaps:
        return
    builds = [{**parts, slot: part} for slot, part in swaps]
    frame, _ = rows_of(builds)
    every = apply_rules(Case(answer.subject, frame), RULEBOOK)
    worst = np.max([_states(applied, len(builds)) for applied in every], axis=0)
    for (slot, part), state in zip(swaps, worst.tolist(), strict=True):
        yield Neighbour(slot, part, State(state))


def _states(applied: Applied, rows: int) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
    states = applied.outcome.whole.states
    return np.broadcast_to(np.asarray(states, dtype=np.int8).reshape(-1), (rows,))
