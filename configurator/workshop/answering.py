"""How a question becomes an answer: rules over the parts, what they leave, the spaces of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from itertools import islice
from typing import Any

import numpy as np
from numpy.typing import NDArray

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Mixing, Part
from configurator.chemistry.evidence import Evidence
from configurator.chemistry.solids import filler_at_odds, with_fillers
from configurator.errors import CatalogError, Fault, InputError
from configurator.physics.domain import PhysicsDomainError
from configurator.request.intake import Filled, fill_gaps, process_gaps
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.case import slots_of
from configurator.rules.cautions import cautions_for
from configurator.rules.cure import cure_of
from configurator.rules.duty import Duty, duty_of
from configurator.rules.evaluation import Evaluation
from configurator.rules.fluid import Fluid, fluid_of, fluids_of
from configurator.rules.frame import Frame
from configurator.rules.mixed import mixed_fluid, volume_shares
from configurator.rules.propagation import Propagation
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.ruleset import RuleSet
from configurator.rules.spaces import Spaces
from configurator.rules.subject import Subject
from configurator.units.interval import Basis
from configurator.workshop.answer import Answer
from configurator.workshop.figures import figure_named
from configurator.workshop.named_parts import check_names

Places = NDArray[np.intp]


def answer_to(question: Question, catalog: Catalog, evidence: Evidence) -> Answer:
    """Find every valid head build; `Workshop.answer` is the way to ask for it, and says the errors.

    Parameters
    ----------
    question : Question
        Material, process, picks, order.
    catalog : Catalog
        What can be built from, with the heads that were measured on the material.
    evidence : Evidence
        What the shop has measured; a measurement replaces verdicts and estimates for its pair.
    """
    figure_named(question.sort)
    if faults := list(filler_at_odds(question.material, catalog.substances)):
        raise InputError(faults)
    try:
        return _answer(question, catalog, evidence)
    except PhysicsDomainError as error:
        raise _blamed(question, catalog, error) from error


_PLAIN_MATERIAL: dict[str, Any] = {
    "schema": 1,
    "name": "plain",
    "title": "A plain liquid",
    "trigger": "none",
    "component": {
        "density": "1000 kg/m^3",
        "flow": {"model": "newtonian", "viscosity": "10 Pa*s", "at": "23 degC"},
    },
}
_PLAIN_PROCESS: dict[str, Any] = {
    "schema": 1,
    "name": "plain",
    "title": "A plain flow",
    "deposit": {"kind": "flow", "flow": "10 mL/min"},
    "tolerance": "5 %",
    "temperature": "23 degC",
    "feed_pressure": "5 bar",
}
"""What every catalog can answer: where it helps to put one in, the other file is not to blame."""


def _blamed(
    question: Question, catalog: Catalog, error: PhysicsDomainError
) -> CatalogError | InputError:
    """Find out whose figures led out of the formulas' reach, by asking with plain ones instead."""
    says = str(error).partition(", got ")[0]
    material = Material.model_validate(_PLAIN_MATERIAL, context={"basis": Basis.ESTIMATED})
    process = Process.model_validate(_PLAIN_PROCESS, context={"basis": Basis.ESTIMATED})
    if not _works(material, process, catalog):
        accepted = "figures that a head can have; `headwright catalog check` names the part"
        return CatalogError([Fault(catalog.where, "catalog", says, accepted)])
    blamed = []
    if not _works(question.material, process, catalog):
        blamed.append(f"material {question.material.name}")
    if not _works(material, question.process, catalog):
        blamed.append(f"process {question.process.name}")
    where = " and ".join(
        blamed or [f"material {question.material.name} with process {question.process.name}"]
    )
    accepted = "figures within the reach of the formulas"
    hint = "look at the figures that are far from what is usual, such as an exponent near zero"
    return InputError([Fault(where, "figures", says, accepted, hint)])


def _works(material: Material, process: Process, catalog: Catalog) -> bool:
    try:
        _answer(Question(material, process), catalog, Evidence())
    except PhysicsDomainError:
        return False
    return True


def _answer(question: Question, catalog: Catalog, evidence: Evidence) -> Answer:
    subject = subject_of(question, catalog, evidence)
    frame = Frame(parts_of(question, catalog))
    # Where a slot has no part at all, no rule has anything to be heard on.
    heard = RULEBOOK if all(frame.parts.values()) else ()
    rules = RuleSet(frame, [prefix for prefix, _ in subject.filled.material.components], heard)
    left = Propagation(Evaluation(rules, (subject,)))
    live = {slot: np.flatnonzero(flags[0]) for slot, flags in left.live.items()}
    return Answer(
        subject=subject,
        frame=frame,
        live=live,
        left=left,
        spaces=Spaces(left),
        picks=_picked(question, frame, live),
        considered=math.prod(len(parts) for parts in frame.parts.values()),
        cautions=cautions_for(left.evaluation.every),
    )


def subject_of(question: Question, catalog: Catalog, evidence: Evidence) -> Subject:
    """What is asked, worked out once: gaps filled, duty and fluids at their ends."""
    question = _with_fillers(question, catalog)
    filled = fill_gaps(question.material)
    duty = duty_of(question.process)
    components = [component for _, component in filled.material.components]
    fluids = tuple(fluid_of(component, duty.temperature) for component in components)
    return _subject(
        question, filled=filled, catalog=catalog, evidence=evidence, duty=duty, fluids=fluids
    )


def _with_fillers(question: Question, catalog: Catalog) -> Question:
    material = with_fillers(question.material, catalog.substances)
    return question if material is question.material else replace(question, material=material)


def subjects_of(
    questions: Sequence[Question], catalog: Catalog, evidence: Evidence
) -> list[Subject | None]:
    """What is asked by many questions on one process: measured points are fitted together.

    Returns
    -------
    list of Subject or None
        None for a question beyond the reach of the formulas, or whose data contradict each other;
        by itself it says why.
    """
    if not questions:
        return []
    duty = duty_of(questions[0].process)
    at_odds = [any(filler_at_odds(each.material, catalog.substances)) for each in questions]
    questions = [_with_fillers(question, catalog) for question in questions]
    every = [fill_gaps(question.material) for question in questions]
    fluids = iter(
        fluids_of(
            [component for filled in every for _, component in filled.material.components],
            duty.temperature,
        )
    )
    found: list[Subject | None] = [None] * len(questions)
    for at, (question, filled) in enumerate(zip(questions, every, strict=True)):
        count = len(filled.material.components)
        known = tuple(fluid for fluid in islice(fluids, count) if fluid is not None)
        if len(known) == count and not at_odds[at]:
            with suppress(PhysicsDomainError):
                found[at] = _subject(
                    question,
                    filled=filled,
                    catalog=catalog,
                    evidence=evidence,
                    duty=duty,
                    fluids=known,
                )
    return found


def _subject(
    question: Question,
    *,
    filled: Filled,
    catalog: Catalog,
    evidence: Evidence,
    duty: Duty,
    fluids: tuple[Fluid, ...],
) -> Subject:
    mix = filled.material.mix
    shares = volume_shares(filled.material, fluids)
    untold = tuple(process_gaps(question.process, two_part=mix is not None))
    return Subject(
        question=question,
        filled=replace(filled, notes=(*filled.notes, *untold)),
        catalog=catalog,
        duty=duty,
        fluids=fluids,
        shares=shares,
        outlet_fluid=fluids[0] if mix is None else mixed_fluid(mix, fluids, shares),
        cure=None if mix is None else cure_of(mix, duty.temperature, catalog.practice),
        evidence=evidence,
    )


def parts_of(question: Question, catalog: Catalog) -> dict[str, tuple[Part, ...]]:
    """Parts that may stand in each slot, by name, so that the order of a file moves nothing.

    Unknown picks and exclusions are refused.
    """
    slots = slots_of(two_part=question.material.two_part)
    check_names(catalog, slots, question.picks, question.without)
    parts: dict[str, tuple[Part, ...]] = {}
    for slot in slots:
        without = question.without.get(slot, frozenset())
        parts[slot] = tuple(
            part
            for part in sorted(catalog.slot(slot), key=lambda part: part.name)
            if part.name not in without and _suits(part, question)
        )
    return parts


def _suits(part: Part, question: Question) -> bool:
    """A one-part material is never mixed, so that only the empty mixing slot stands."""
    return not isinstance(part, Mixing) or part.kind == "none" or question.material.two_part


def _picked(
    question: Question, frame: Frame, live: Mapping[str, Places]
) -> dict[str, int | frozenset[int]]:
    """Picks as values over the live parts; a picked part that is out leaves no value."""
    picks: dict[str, int | frozenset[int]] = {}
    for slot, name in question.picks.items():
        place = next((at for at, part in enumerate(frame.parts[slot]) if part.name == name), None)
        found = np.flatnonzero(live[slot] == place) if place is not None else np.array([])
        picks[slot] = int(found[0]) if len(found) else frozenset()
    return picks
