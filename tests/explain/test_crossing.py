"""Where a rule crosses: a few looks instead of many, and the same settings in the end."""

from __future__ import annotations

import math

import pytest
from small_world import WORLD

from configurator.explain import break_points
from configurator.explain.adjustment import adjustments_of
from configurator.explain.break_points import break_points_of
from configurator.explain.searches import MOST_LOOKS, root_of_line

CLOSE = 1e-5


def answered(function) -> float | None:
    """The root, each look answered by a function."""
    search = root_of_line(CLOSE)
    try:
        share = next(search)
        while True:
            share = search.send(function(share))
    except StopIteration as end:
        return end.value


@pytest.mark.parametrize(
    ("function", "root"),
    [
        (lambda share: share - 0.3, 0.3),
        (lambda share: share**3 - 0.2, 0.2 ** (1 / 3)),
        (lambda share: math.expm1(6 * (share - 0.9)), 0.9),
        (lambda share: math.log((share + 0.01) / 0.11), 0.1),
    ],
)
def test_it_is_found_in_few_looks(function, root):
    looks = []

    def looked(share: float) -> float:
        looks.append(share)
        return function(share)

    assert answered(looked) == pytest.approx(root, abs=10 * CLOSE)
    assert len(looks) <= MOST_LOOKS + 2


@pytest.mark.parametrize(
    "function",
    [
        lambda share: share + 1.0,  # fails at the start already
        lambda share: share - 2.0,  # does not fail at the end
        lambda share: math.nan if 0.0 < share < 1.0 else share - 0.5,
        lambda share: -1.0 if share < 0.977 else 1e6,  # a step and no line
    ],
)
def test_where_the_numbers_do_not_tell_it_says_so(function):
    assert answered(function) is None


def test_the_settings_are_those_that_halving_alone_finds(monkeypatch):
    answer = WORLD.answer
    build = answer.builds(limit=1)[0].parts
    fields = sorted(
        {adjustment.field for adjustment in adjustments_of(WORLD.question) if adjustment.continuous}
    )
    asked = 0

    def counted(close):
        nonlocal asked
        asked += 1
        return root_of_line(close)

    def untold(_close):
        yield 0.0

    monkeypatch.setattr(break_points, "root_of_line", counted)
    quick = break_points_of(answer, build, fields=fields, successors=False)
    monkeypatch.setattr(break_points, "root_of_line", untold)
    plain = break_points_of(answer, build, fields=fields, successors=False)

    assert asked
    assert len(plain.points) >= 5
    assert [(each.adjustment.title, each.setting, each.held) for each in quick.points] == [
        (each.adjustment.title, each.setting, each.held) for each in plain.points
    ]
