"""What is declared on the fields of a request, and a request with other values."""

from __future__ import annotations

import pytest
from pydantic import BaseModel
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.explain.adjustment import adjustments_of, with_adjustment
from configurator.request import material, process
from configurator.request.movable import CUSTOMER, MAKER, US, Movable, grants, movable_at, title_of

MODELS = [
    model
    for module in (material, process)
    for model in vars(module).values()
    if isinstance(model, type) and issubclass(model, BaseModel)
]
DECLARED = [
    (model, key, each)
    for model in MODELS
    for key, info in model.model_fields.items()
    for each in info.metadata
    if isinstance(each, Movable)
]


def test_what_moves_along_stands_beside_it_and_ends_are_in_order():
    assert len(DECLARED) > 40
    for model, key, declared in DECLARED:
        assert set(declared.along) <= set(model.model_fields) - {key}
        if declared.ends is not None:
            kind, low, high = declared.ends
            assert low < high
            assert kind.unit is not None


def test_what_no_rule_reads_nobody_is_asked_to_move():
    assert not [key for _, key, each in DECLARED if each.unread and each.granted]


@pytest.mark.parametrize("world", [WORLD, TWO_PART], ids=["one part", "two parts"])
def test_every_adjustment_moves_the_field_that_it_names(world):
    question = world.question
    every = adjustments_of(question)

    assert {each.title for each in every} >= {"temperature as a whole", "tolerance of the volume"}
    for each in every:
        changed = [with_adjustment(each, question, setting) for setting in each.settings]
        assert any(made is not None for made in changed), each.title
        for made in filter(None, changed):
            assert made.at(each.field) != question.at(each.field)
            assert (made.process == question.process) == (not each.field.startswith("process"))


@pytest.mark.parametrize(
    ("field", "who"),
    [
        ("process.reach", CUSTOMER),
        ("a.flow", MAKER),
        ("mix.ratio_tolerance", MAKER),
        ("pick stator", US),
        ("without outlet", US),
    ],
)
def test_who_could_move_a_field(field, who):
    assert grants(field) == who


def test_a_field_is_called_by_its_title_or_its_key_with_its_component():
    question = TWO_PART.question
    path = "a.flow"

    assert title_of(path, movable_at(question.material, path)) == "viscosity of a"
    assert title_of("process.feed_pressure") == "feed pressure"
    assert title_of("component.shear_rate_max") == "shear rate"


def test_picks_are_freed_and_parts_allowed_again_one_after_another():
    world = WORLD.asking({"size": "small", "stator": "soft"}, {"outlet": frozenset({"a", "b"})})
    question = world.question
    freed = question.having({"pick size": None}).having({"pick stator": None})
    allowed = question.having({"without outlet a": None}).having({"without outlet b": None})

    assert freed.picks == {}
    assert question.picks == {"size": "small", "stator": "soft"}
    assert allowed.without == {"outlet": frozenset()}
