"""Whether rules name what they read of a request: each datum moved, and who says something else.

An explanation hears a rule anew only if a field that it names has moved. A rule that reads a
field without naming it would keep an old answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

import numpy as np
import pytest
from pydantic import BaseModel

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.chemistry.evidence import Evidence
from configurator.explain.request_data import fields_moved
from configurator.physics.domain import PhysicsDomainError
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.rules.applied import apply_rule, judgements
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.subject import Subject
from configurator.rules.total import Total
from configurator.units.display import quantity_from
from configurator.units.interval import Interval
from configurator.units.kinds import TEMPERATURE
from configurator.units.quantity import Quantity
from configurator.workshop.answering import parts_of, subject_of

EXAMPLES = [
    ("void-filler", "void-pour"),
    ("bay-potting", "bay-potting-pour"),
    ("thermal-paste", "regulator-pads"),
    ("scale-ink", "scale-marks"),
]
"""Hollow spheres, a ratio by mass, round particles, and a solvent that boils."""

BUILDS = 30
"""Builds that each rule is asked about, made of parts at random."""

FACTORS = (0.03, 1.5, 30.0)


@cache
def _request(material: str, process: str) -> Question:
    examples = shipped_folder() / "examples"
    return Question(
        load_material(material, folder=examples), load_process(process, folder=examples)
    )


@cache
def _catalog():
    shipped = shipped_folder()
    return load_catalog(shipped / "generic", substances=shipped / "substances", where="shipped")


def _data(field: str, value: object) -> Iterator[tuple[str, object]]:
    """Every datum that could be moved, by its path."""
    if isinstance(value, BaseModel):
        for key in type(value).model_fields:
            yield from _data(f"{field}.{key}" if field else key, getattr(value, key))
    elif isinstance(value, Quantity | bool | tuple):
        yield field, value


def _moved(value: Any) -> Iterator[object]:
    """Other values for a datum: much less, a little more, much more; or the other answer."""
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, tuple):
        yield from (value[:place] + value[place + 1 :] for place in range(len(value)))
    else:
        for factor in FACTORS:
            interval = value.interval.scaled(factor)
            if value.kind is TEMPERATURE:
                interval = Interval.of(value.low - 9.0 * factor, value.high + factor)
            if value.kind.allows(interval):
                yield quantity_from(interval, value.kind, value.basis)


def _numbers(outcome: object) -> list[np.ndarray]:
    """All that an outcome says, as arrays."""
    if isinstance(outcome, Comparison):
        ends = (outcome.demand, outcome.limit)
        arrays = [each for end in ends for each in (end.kind, end.nominal, end.hard)]
        flags = (outcome.caution, outcome.cap, *(end.estimated for end in ends))
        return [*map(np.asarray, arrays), np.array(flags, dtype=float)]
    if isinstance(outcome, Total):
        return [*outcome.summands, np.array([outcome.scale, outcome.limit])]
    return [] if outcome is None else [outcome.states]


def _said(question: Question, frame: Frame) -> tuple[Subject, dict[tuple[str, str], list]]:
    subject = subject_of(question, _catalog(), Evidence())
    case = Case(subject, frame)
    said = {}
    with np.errstate(all="ignore"):
        for rule, side in judgements(case, RULEBOOK):
            applied = apply_rule(case, rule, side)
            said[rule.name, side.prefix] = _numbers(None if applied is None else applied.outcome)
    return subject, said


def _alike(first: list, second: list) -> bool:
    return len(first) == len(second) and all(
        np.array_equal(a, b, equal_nan=True) for a, b in zip(first, second, strict=True)
    )


@pytest.mark.parametrize(("material", "process"), EXAMPLES)
def test_a_rule_that_a_datum_moves_names_it(material, process):
    question = _request(material, process)
    parts = parts_of(question, _catalog())
    random = np.random.default_rng(7)
    rows = np.stack([random.integers(0, len(each), BUILDS) for each in parts.values()], axis=1)
    frame = Frame(parts, rows)
    base, before = _said(question, frame)
    named = {rule.name: rule for rule in RULEBOOK}
    data = [*_data("process", question.process), *_data("", question.material)]
    moved_rules, silent = set(), set()
    for field, value in data:
        for other in _moved(value):
            try:
                subject, after = _said(question.having({field: other}), frame)
            except (PhysicsDomainError, ZeroDivisionError, ValueError):
                continue  # no value that a file could state
            fields = fields_moved(base, subject)
            for (rule, prefix), said in after.items():
                if not _alike(said, before[rule, prefix]):
                    moved_rules.add(rule)
                    if not any(map(named[rule].reads, fields)):
                        silent.add((rule, field))
    assert not silent
    assert len(moved_rules) > 20
