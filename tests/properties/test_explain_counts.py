"""Builds of a changed request by arithmetic, against those that a space of its own has."""

from __future__ import annotations

import pytest
from every_combination import SETTINGS, hard_worlds
from hypothesis import assume, given
from hypothesis import strategies as st
from random_worlds import two_part_worlds, worlds

from configurator.explain import rules_heard, standing
from configurator.explain.adjustment import adjustments_of, with_adjustment
from configurator.explain.again import Again
from configurator.explain.counts import Counts
from configurator.explain.recount import Recount
from configurator.explain.tally import TooWideError

WIDTHS = pytest.mark.parametrize(
    "most", [20_000, 1], ids=["rules over few slots", "rules over many slots"]
)
"""Up to how many combinations a rule is kept as a table over all parts."""


def agree(world, data, most):
    """Whether both ways count the same after one or two changes, one after the other."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(standing, "NARROW_UP_TO", most)
        again = Again(world.answer)
        counter = Recount(again)
        assert counter.counts(world.question) == Counts.of(world.answer)
        for _ in range(2):
            adjustment = data.draw(st.sampled_from(adjustments_of(world.question)))
            changed = with_adjustment(
                adjustment, world.question, data.draw(st.sampled_from(adjustment.settings))
            )
            assume(changed is not None)
            solved = again.answer(changed)
            expected = Counts(0, 0, 0) if solved is None else Counts.of(solved)
            assert counter.counts(changed) == expected, adjustment.title
            best = counter.best(changed)
            if expected.total:
                assert best is not None
                assert best.parts == solved.builds(limit=1)[0].parts
            else:
                assert best is None


@WIDTHS
@SETTINGS
@given(st.one_of(worlds(), hard_worlds()), st.data())
def test_counts_by_arithmetic_are_those_of_the_space(most, world, data):
    agree(world, data, most)


@WIDTHS
@SETTINGS
@given(two_part_worlds(), st.data())
def test_so_they_are_where_two_sides_meet(most, world, data):
    agree(world, data, most)


@SETTINGS
@given(two_part_worlds(), st.data())
def test_what_is_too_wide_for_the_counter_is_solved_whole(world, data):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rules_heard, "total", _too_wide)
        patch.setattr(rules_heard, "some", _too_wide)
        agree(world, data, 20_000)


def _too_wide(*_: object) -> int:
    raise TooWideError
