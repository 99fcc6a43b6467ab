"""What a rule says that it reads: names of real fields, and enough of them.

The basis of a finding and the slots of its table follow from these names, so that a slip would
show as a basis too strong, or as builds that a rule never sees.
"""

from typing import get_args

import pytest
from pydantic import BaseModel
from small_catalog import SMALL
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.catalog.catalog import Practice
from configurator.catalog.parts import PART_TYPES
from configurator.request.material import Component, Material
from configurator.request.process import Deposit, Process
from configurator.rules.applied import apply_rules
from configurator.rules.case import Case
from configurator.rules.frame import Frame
from configurator.rules.outcome import Total
from configurator.rules.rulebook import RULEBOOK

ROOTS = {part.slot: part for part in PART_TYPES} | {
    "component": Component,
    "material": Material,
    "process": Process,
}

EACH = pytest.mark.parametrize("rule", RULEBOOK, ids=lambda rule: rule.name)


def models_in(annotation):
    """Models inside of a field's type, through unions and tuples."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in get_args(annotation) for model in models_in(inner)]


def exists(models, path):
    if not path:
        return True
    name, *rest = path
    found = [model for model in models if name in model.model_fields]
    if any(isinstance(getattr(model, name, None), property) for model in models):
        return not rest
    inner = [each for model in found for each in models_in(model.model_fields[name].annotation)]
    return bool(found) and exists(inner, rest)


@EACH
def test_the_fields_that_a_rule_reads_exist(rule):
    for path in (*rule.parts, *rule.asks):
        root, *rest = path.split(".")
        assert exists([ROOTS[root]], rest), path
    for field in rule.practice:
        assert exists([Practice], field.split(".")), field
    assert models_in(Deposit)


def test_names_and_sources_are_there_and_unique():
    names = [rule.name for rule in RULEBOOK]
    assert len(set(names)) == len(names)
    assert all(rule.source.strip() for rule in RULEBOOK)
    assert all(bool(rule.sentence) != bool(rule.words) for rule in RULEBOOK)


@pytest.mark.parametrize("world", [SMALL, TWO_PART, WORLD], ids=["one", "two", "base"])
def test_an_outcome_varies_along_declared_slots_only(world):
    answer = world.answer
    frame = Frame(answer.frame.parts)
    for applied in apply_rules(Case(answer.subject, frame), RULEBOOK):
        outcome = applied.outcome
        if isinstance(outcome, Total):
            continue
        shape = outcome.states.shape
        shape = (1,) * (frame.ndim - len(shape)) + shape
        moving = {slot for slot, size in zip(frame.slots, shape, strict=True) if size > 1}
        assert moving <= set(applied.scope), applied.title
