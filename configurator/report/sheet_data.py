"""Everything that a data sheet says, as plain data: one source for the page and for JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pydantic import BaseModel

from configurator.catalog.parts import Cavity, Drive, FittedPart, Mixing, Outlet, Part, Size
from configurator.chemistry.cautions import Caution
from configurator.explain.neighbours import Neighbour, nearest_rejected
from configurator.report.heading import (
    duty_in_words,
    invented_in_words,
    picks_in_words,
    titled,
)
from configurator.report.settings import settings_of
from configurator.report.settings_kind import Setting
from configurator.request.intake import Gap
from configurator.request.orders import unit_of
from configurator.rules.applied import apply_rules
from configurator.rules.finding import Finding, State
from configurator.rules.rulebook import RULEBOOK
from configurator.trial.head import Head, head_of, one
from configurator.units.display import figures, show_quantity, spaced
from configurator.units.interval import Basis
from configurator.units.path import quantities
from configurator.units.quantity import Quantity
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES
from configurator.workshop.process_figures import MOST_CHANGE, time_pressure_error
from configurator.workshop.told import RankedBuild

WEAK = (Basis.COMMON_PRACTICE, Basis.FROM_MEMORY, Basis.INVENTED, Basis.ESTIMATED)
"""Bases that a sheet owns up to, figure by figure."""


@dataclass(frozen=True)
class JointLine:
    """Two parts that meet, how, and whether that closes."""

    between: str
    how: str
    closed: bool


@dataclass(frozen=True)
class Assumption:
    """A weak number: where it stands, what it is, and what it rests on."""

    where: str
    what: str
    basis: str
    note: str = ""


@dataclass(frozen=True)
class SheetData:
    """What a sheet says."""

    answer: Answer
    build: RankedBuild
    head: Head
    asked: tuple[tuple[str, str], ...]
    """The request, as labels with texts."""
    stated: tuple[tuple[str, str], ...]
    """Every quantity of the process, with its basis."""
    joints: tuple[JointLine, ...]
    figures: tuple[tuple[str, str, str], ...]
    """Title, value and unit of each figure."""
    reasons: tuple[str, ...]
    rejected: tuple[Neighbour, ...]
    """The nearest alternatives that are ruled out."""
    settings: tuple[Setting, ...]
    assumptions: tuple[Assumption, ...]
    open: tuple[Finding, ...]
    """What is marginal or unproven."""

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What the data sheet of the material leaves out."""
        return self.answer.subject.filled.notes

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What people have to mind."""
        return self.answer.cautions


def sheet_data(answer: Answer, build: RankedBuild) -> SheetData:
    """Gather what a sheet says of one build of an answer."""
    head = head_of(answer.subject, build.parts)
    return SheetData(
        answer=answer,
        build=build,
        head=head,
        asked=tuple(_asked(answer)),
        stated=tuple(
            (name, show_quantity(quantity))
            for name, quantity in _quantities(answer.subject.question.process)
        ),
        joints=tuple(joints_of(answer, build)),
        figures=tuple(_figures(build, head)),
        reasons=tuple(_reasons(answer, build)),
        rejected=nearest_rejected(answer, build),
        settings=settings_of(head),
        assumptions=tuple(_assumptions(answer, build, head)),
        open=tuple(finding for finding in build.findings if finding.state > State.FITS),
    )


def _asked(answer: Answer) -> Iterator[tuple[str, str]]:
    question = answer.subject.question
    material, process = question.material, question.process
    yield "Material", titled(material)
    yield "Process", titled(process)
    yield "Duty", duty_in_words(answer.subject.duty)
    for label, text in (("Note", material.note), ("Note", process.note)):
        if text:
            yield label, text
    if picks := picks_in_words(question):
        yield "Picks", picks


def _quantities(model: BaseModel) -> Iterator[tuple[str, Quantity]]:
    """What a model states, under names for people; entries of a list go without one."""
    for path, quantity in quantities(model):
        if "[" not in path:
            yield path.replace(".", ": ").replace("_", " "), quantity


def joints_of(answer: Answer, build: RankedBuild) -> Iterator[JointLine]:
    """Every pair of parts that meet: by the size they are made for, by a joint, by an interface."""
    offered = answer.subject.question.process.control
    for slot, part in build.parts.items():
        if isinstance(part, FittedPart):
            yield _for_size(build, slot, part.sizes)
        if isinstance(part, Drive):
            common = [way for way in part.control if not offered or way in offered]
            yield JointLine(
                f"{slot} {part.name} to the machine's control",
                ", ".join(common or part.control),
                bool(common),
            )
        if isinstance(part, Outlet):
            yield from _tip_joints(build, part)
    for slot, part in build.parts.items():
        if isinstance(part, Cavity):
            yield _for_size(build, slot, (part.size,))


def _for_size(build: RankedBuild, slot: str, sizes: Sequence[str]) -> JointLine:
    side, dot, _ = slot.rpartition(".")
    size = build.parts[f"{side}{dot}size"].name
    between = f"{slot} {build.parts[slot].name} to {side}{dot}size {size}"
    return JointLine(between, f"made for {', '.join(sizes)}", size in sizes)


def _tip_joints(build: RankedBuild, outlet: Outlet) -> Iterator[JointLine]:
    mixing = build.parts.get("mixing")
    if isinstance(mixing, Mixing) and mixing.kind != "none":
        for slot, part in build.parts.items():
            if isinstance(part, Size):
                yield JointLine(
                    f"{slot} {part.name} to mixing {mixing.name}",
                    mixing.joint or f"{' or '.join(part.joints)}; the mixer states none",
                    mixing.joint in part.joints,
                )
        yield JointLine(
            f"mixing {mixing.name} to outlet {outlet.name}",
            mixing.tip_joint or f"{outlet.joint}; the mixer states none",
            mixing.tip_joint == outlet.joint,
        )
        return
    for slot, part in build.parts.items():
        if isinstance(part, Size):
            yield JointLine(
                f"outlet {outlet.name} to {slot} {part.name}",
                outlet.joint,
                outlet.joint in part.joints,
            )


def _figures(build: RankedBuild, head: Head) -> Iterator[tuple[str, str, str]]:
    case = head.case
    for figure in FIGURES:
        value = build.figures[figure.name]
        if value is None:
            continue
        bounded = figure.read is time_pressure_error and value >= MOST_CHANGE * 100.0
        text = f"over {figures(value)}" if bounded else figures(value)
        if figure.of_side is not None and len(case.sides) > 1:
            text = ", ".join(
                f"{side.prefix.rstrip('.')} {figures(one(figure.of_side(case, side)))}"
                for side in case.sides
            )
        yield figure.title, text, unit_of(figure.name)


def _reasons(answer: Answer, build: RankedBuild) -> Iterator[str]:
    counts = answer.counts
    yield (
        f"It is number {build.rank} of {spaced(answer.count)} builds by state, then "
        f"{answer.order.title}: {spaced(counts[State.FITS])} fit, {spaced(counts[State.MARGINAL])} are marginal, "
        f"{spaced(counts[State.UNPROVEN])} unproven, of {spaced(answer.considered)} combinations."
    )
    yield f"Its own state is {build.state.words}."
    measured = sorted(
        (finding for finding in build.findings if finding.margin is not None),
        key=lambda finding: finding.margin or 0.0,
    )
    for finding in measured[:3]:
        left = figures(abs(finding.margin or 0.0) * 100.0)
        word = "left" if (finding.margin or 0.0) >= 0.0 else "beyond its limit"
        yield f"{finding.rule}: {left} % {word}; {finding.reason}."
    yield f"Its volume error: {'; '.join(build.error_words)}."


def _assumptions(answer: Answer, build: RankedBuild, head: Head) -> Iterator[Assumption]:
    """Weak numbers: of the request one by one, of the practice that was used, of each part."""
    question = answer.subject.question
    for where, model in (
        ("material", answer.subject.filled.material),
        ("process", question.process),
    ):
        for name, quantity in _quantities(model):
            if quantity.basis in WEAK:
                what = f"{name} {quantity.text}"
                yield Assumption(where, what, quantity.basis.value, quantity.note)
    yield from _practice(answer, head)
    for slot, part in build.parts.items():
        for basis in WEAK:
            fields = [name for name, quantity in _quantities(part) if quantity.basis is basis]
            if fields:
                yield Assumption(f"{slot} {part.name}", ", ".join(fields), basis.value)
    yield Assumption("catalog", invented_in_words(answer.subject.catalog), "")


def _practice(answer: Answer, head: Head) -> Iterator[Assumption]:
    """Rules of thumb that some check of this build read."""
    used = dict.fromkeys(
        name for applied in apply_rules(head.case, RULEBOOK) for name in applied.rule.practice
    )
    practice = answer.subject.catalog.practice
    for name in used:
        value = getattr(practice, name, None)
        if isinstance(value, Quantity):
            what = f"{name.replace('_', ' ')} {value.text}"
            yield Assumption("shop practice", what, value.basis.value, value.note)
        elif isinstance(value, BaseModel):
            for inner, quantity in _quantities(value):
                what = f"{name.replace('_', ' ')}, {inner} {quantity.text}"
                yield Assumption("shop practice", what, quantity.basis.value, quantity.note)


def part_rows(parts: Sequence[tuple[str, Part]]) -> list[tuple[str, str, str, str]]:
    """Return slot, name, title and cost index of each part."""
    return [(slot, part.name, part.title, figures(part.cost_index.nominal)) for slot, part in parts]
