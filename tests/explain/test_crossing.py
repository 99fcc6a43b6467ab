"""Where a rule crosses: a few looks instead of many, and the same settings in the end."""

from __future__ import annotations

import math

import pytest
from small_world import WORLD

from configurator.explain import flip
from configurator.explain.crossing import MOST_LOOKS, root_of_line
from configurator.explain.flip import flips_of
from configurator.explain.knobs import knobs_of

CLOSE = 1e-5


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

    assert root_of_line(looked, CLOSE) == pytest.approx(root, abs=10 * CLOSE)
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
    assert root_of_line(function, CLOSE) is None


def test_the_settings_are_those_that_halving_alone_finds(monkeypatch):
    answer = WORLD.answer
    build = answer.builds(limit=1)[0].parts
    fields = sorted({knob.field for knob in knobs_of(WORLD.request) if knob.continuous})
    asked = 0

    def counted(function, close):
        nonlocal asked
        asked += 1
        return root_of_line(function, close)

    monkeypatch.setattr(flip, "root_of_line", counted)
    quick = flips_of(answer, build, fields=fields, successors=False)
    monkeypatch.setattr(flip, "root_of_line", lambda _function, _close: None)
    plain = flips_of(answer, build, fields=fields, successors=False)

    assert asked
    assert len(plain.points) >= 5
    assert quick == plain
