"""Everything that a data sheet says, as plain data: one source for the page, for JSON and CSV."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pydantic import BaseModel

from configurator.catalog.parts import Cavity, Drive, FittedPart, Mixing, Outlet, Part, Size
from configurator.catalog.purchase import wait_of
from configurator.chemistry.cautions import Caution
from configurator.report.heading import duty_in_words, invented_in_words, picks_in_words, titled
from configurator.report.settings import settings_of
from configurator.report.settings_kind import Setting
from configurator.report.sheet_words import SheetWords, english
from configurator.request.intake import Gap
from configurator.request.orders import unit_of
from configurator.rules.applied import apply_rules
from configurator.rules.finding import Finding, State
from configurator.rules.rulebook import RULEBOOK
from configurator.trial.head import Head, head_of, one
from configurator.units.display import figures, show_quantity
from configurator.units.interval import Basis
from configurator.units.path import quantities
from configurator.units.quantity import Quantity
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES
from configurator.workshop.heads import is_exchanged
from configurator.workshop.margins import with_margin
from configurator.workshop.process_figures import MOST_CHANGE, time_pressure_error
from configurator.workshop.shortlist import given_up, shortlist_of
from configurator.workshop.told import RankedBuild

WEAK = (Basis.COMMON_PRACTICE, Basis.FROM_MEMORY, Basis.INVENTED, Basis.ESTIMATED)
"""Bases that a sheet owns up to, figure by figure."""

LEAST_VARIATION = 0.001
"""No mix is told to be more even than that: a correlation from memory says no more (common
practice, no source). [-]"""


@dataclass(frozen=True)
class JointLine:
    """Two parts that meet, how, and whether that closes."""

    between: str
    how: str
    closed: bool
    drawn: str = ""
    """Whose end it is, `head`, `a.`, `b.` or `mixing`; empty where the picture shows no joint."""


@dataclass(frozen=True)
class FigureLine:
    """A figure as people read it."""

    name: str
    title: str
    value: str
    unit: str


@dataclass(frozen=True)
class Assumption:
    """A weak number: where it stands, what it is, and what it rests on."""

    where: str
    what: str
    basis: str
    note: str = ""


@dataclass(frozen=True)
class BoughtPart:
    """A part as purchasing has to order it."""

    slots: tuple[str, ...]
    """Where it goes: both sides, if they hold the same."""
    part: Part
    quantity: int

    @property
    def stated(self) -> dict[str, str]:
        """What the catalog states of buying it, as text; empty where it states nothing."""
        part = self.part
        return {
            "order_text": part.order_text,
            "price": part.price,
            "delivery": part.delivery.text if part.delivery else "",
            "stock": part.stock.text if part.stock else "",
        }

    @property
    def wait(self) -> float | None:
        """How long it takes until enough are there, at most; None where nobody states it. [s]"""
        wait = wait_of(self.part, self.quantity)
        return None if math.isnan(wait) else wait


@dataclass(frozen=True)
class BetterHead:
    """A head that is best for a purpose, and what it gains and costs against the one of the sheet."""

    best_for: tuple[str, ...]
    parts: Mapping[str, str]
    """Its parts that are others, by slot."""
    gains: Mapping[str, tuple[float | None, float | None]]
    """By figure: here and there."""
    costs: Mapping[str, tuple[float | None, float | None]]


@dataclass(frozen=True)
class SheetData:
    """What a sheet says."""

    answer: Answer
    build: RankedBuild
    head: Head
    say: SheetWords
    asked: tuple[tuple[str, str], ...]
    """The request, as names with texts."""
    stated: tuple[tuple[str, str], ...]
    """Every quantity of the process, with its basis."""
    joints: tuple[JointLine, ...]
    figures: tuple[FigureLine, ...]
    better: tuple[BetterHead, ...]
    """Heads that are best for a purpose in which this one is not."""
    settings: tuple[Setting, ...]
    assumptions: tuple[Assumption, ...]
    open: tuple[Finding, ...]
    """What is unproven or marginal, the worst first."""

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """What the data sheet of the material leaves out."""
        return self.answer.subject.filled.notes

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What people have to mind."""
        return self.answer.cautions_of(self.build)

    @property
    def bought(self) -> tuple[BoughtPart, ...]:
        """Parts with their quantities, in the order of the slots."""
        parts = self.build.parts
        kinds = Counter((slot.rpartition(".")[2], part.name) for slot, part in parts.items())
        slots: dict[tuple[str, str], list[str]] = {}
        for slot, part in parts.items():
            if not (isinstance(part, Mixing) and part.kind == "none"):
                slots.setdefault((slot.rpartition(".")[2], part.name), []).append(slot)
        dual = {
            (part.slot, part.name) for part in parts.values() if getattr(part, "both_sides", "")
        }
        return tuple(
            BoughtPart(tuple(found), parts[found[0]], 1 if kind in dual else kinds[kind])
            for kind, found in slots.items()
        )


def sheet_data(answer: Answer, build: RankedBuild, say: SheetWords | None = None) -> SheetData:
    """Gather what a sheet says of one build of an answer."""
    say = say or english()
    head = head_of(answer.subject, build.parts)
    doubtful = [finding for finding in build.findings if finding.state > State.FITS]
    doubtful.sort(key=lambda each: (-each.state, 0.0 if each.margin is None else each.margin))
    return SheetData(
        answer=answer,
        build=build,
        head=head,
        say=say,
        asked=tuple(_asked(answer)),
        stated=tuple(
            (name, show_quantity(quantity))
            for name, quantity in _quantities(answer.subject.question.process)
        ),
        joints=tuple(joints_of(answer, build, say)),
        figures=tuple(_figures(build, head, say)),
        better=tuple(_better_heads(answer, build)),
        settings=settings_of(head, say),
        assumptions=tuple(_assumptions(answer, build, head, say)),
        open=tuple(doubtful),
    )


def _better_heads(answer: Answer, build: RankedBuild) -> Iterator[BetterHead]:
    found = shortlist_of(answer)
    if found is None:
        return
    own = with_margin(build, found.margins)
    for each in found.heads:
        worse = given_up(own, each.head.best)
        purposes = tuple(one.name for one in each.purposes if one.figure in worse)
        if purposes:
            parts = {
                slot: part.name
                for slot, part in each.head.best.parts.items()
                if part.name != build.parts[slot].name and not is_exchanged(slot)
            }
            costs = given_up(each.head.best, own)
            turned = {name: (here, there) for name, (there, here) in costs.items()}
            yield BetterHead(purposes, parts, worse, turned)


def _asked(answer: Answer) -> Iterator[tuple[str, str]]:
    question = answer.subject.question
    material, process = question.material, question.process
    yield "material", titled(material)
    yield "process", titled(process)
    yield "duty", duty_in_words(answer.subject.duty)
    for text in filter(None, (material.note, process.note)):
        yield "note", text
    if picks := picks_in_words(question):
        yield "picks", picks


def _quantities(model: BaseModel) -> Iterator[tuple[str, Quantity]]:
    """What a model states, under names for people; entries of a list go without one."""
    for path, quantity in quantities(model):
        if "[" not in path:
            yield path.replace(".", ": ").replace("_", " "), quantity


def slot_words(slot: str, say: SheetWords) -> str:
    """Return a slot's name in the language of the sheet, with the letter of its side behind it."""
    side, _, name = slot.rpartition(".")
    return f"{say(f'slot_{name}')} {side}".rstrip()


def joints_of(answer: Answer, build: RankedBuild, say: SheetWords) -> Iterator[JointLine]:
    """Every pair of parts that meet: by the size they are made for, by a joint, by an interface."""
    offered = answer.subject.question.process.control
    parts = build.parts

    def called(slot: str) -> str:
        return f"{slot_words(slot, say)} {parts[slot].name}"

    def line(one: str, other: str, how: str, *, closed: bool, drawn: str = "") -> JointLine:
        return JointLine(say("joint_to", one=one, other=other), how, closed, drawn)

    for slot, part in parts.items():
        if isinstance(part, FittedPart | Cavity):
            sizes: Sequence[str] = (part.size,) if isinstance(part, Cavity) else part.sizes
            size = f"{slot.removesuffix(part.slot)}size"
            made = say("joint_made_for", sizes=", ".join(sizes))
            yield line(called(slot), called(size), made, closed=parts[size].name in sizes)
        if isinstance(part, Drive):
            common = [way for way in part.control if not offered or way in offered]
            how = ", ".join(common or part.control)
            yield line(called(slot), say("joint_control"), how, closed=bool(common))
    outlet, mixing = parts["outlet"], parts.get("mixing")
    assert isinstance(outlet, Outlet)
    mixed = mixing if isinstance(mixing, Mixing) and mixing.kind != "none" else None
    for slot, part in parts.items():
        if isinstance(part, Size):
            joint = outlet.joint if mixed is None else mixed.joint
            how = joint or say("joint_unstated", joint=" / ".join(part.joints))
            other = called("outlet" if mixed is None else "mixing")
            drawn = slot.removesuffix("size")
            yield line(called(slot), other, how, closed=joint in part.joints, drawn=drawn or "head")
    if mixed is not None:
        how = mixed.tip_joint or say("joint_unstated", joint=outlet.joint)
        closed = mixed.tip_joint == outlet.joint
        yield line(called("mixing"), called("outlet"), how, closed=closed, drawn="mixing")


def _figures(build: RankedBuild, head: Head, say: SheetWords) -> Iterator[FigureLine]:
    case = head.case
    for figure in FIGURES:
        value = build.figures[figure.name]
        if value is None:
            continue
        text = figures(value)
        if figure.read is time_pressure_error and value >= MOST_CHANGE * 100.0:
            text = f"> {figures(value)}"
        if figure.name == "mixing_cov" and value < LEAST_VARIATION:
            text = say("not_above", value=figures(LEAST_VARIATION))
        if figure.of_side is not None and len(case.sides) > 1:
            text = ", ".join(
                f"{side.prefix.rstrip('.')} {figures(one(figure.of_side(case, side)))}"
                for side in case.sides
            )
        yield FigureLine(figure.name, figure.title, text, unit_of(figure.name))


def _assumptions(
    answer: Answer, build: RankedBuild, head: Head, say: SheetWords
) -> Iterator[Assumption]:
    """Weak numbers: of the request one by one, of the practice that was used, of each part."""
    question = answer.subject.question
    for where, model in (
        (say("where_material"), answer.subject.filled.material),
        (say("where_process"), question.process),
    ):
        for name, quantity in _quantities(model):
            if quantity.basis in WEAK:
                what = f"{name} {quantity.text}"
                yield Assumption(where, what, quantity.basis.value, quantity.note)
    yield from _practice(answer, head, say("where_practice"))
    for slot, part in build.parts.items():
        for basis in WEAK:
            fields = [name for name, quantity in _quantities(part) if quantity.basis is basis]
            if fields:
                where = f"{slot_words(slot, say)} {part.name}"
                yield Assumption(where, ", ".join(fields), basis.value)
    yield Assumption(say("where_catalog"), invented_in_words(answer.subject.catalog), "")


def _practice(answer: Answer, head: Head, where: str) -> Iterator[Assumption]:
    """Rules of thumb that some check of this build read."""
    used = dict.fromkeys(
        name for applied in apply_rules(head.case, RULEBOOK) for name in applied.rule.practice
    )
    practice = answer.subject.catalog.practice
    for name in used:
        value, title = getattr(practice, name, None), name.replace("_", " ")
        found = [(title, value)] if isinstance(value, Quantity) else []
        if isinstance(value, BaseModel):
            found = [(f"{title}, {inner}", each) for inner, each in _quantities(value)]
        for words, quantity in found:
            what = f"{words} {quantity.text}"
            yield Assumption(where, what, quantity.basis.value, quantity.note)
