"""Builds of two sides that meet in a few rules, against every pair of cells laid out."""

from __future__ import annotations

import numpy as np
import pytest
from draws import draws

from configurator.rules import meeting
from configurator.rules.meeting import Meeting, met

PAIRS, LEFT, RIGHT = 4, 3, 5


def some_meeting(random) -> Meeting:
    """Whole numbers from few, so that a need often equals what is allowed."""
    by_pair, by_left, by_right = random.random(3) < 0.5
    # The wider kind: both sides read both cells, so that no pair is settled as a whole.
    both = random.random() < 0.3
    pairs = PAIRS if by_pair else 1
    need = (pairs, LEFT if by_left or both else 1, RIGHT if both else 1)
    allow = (pairs, LEFT if both else 1, RIGHT if by_right or both else 1)
    return Meeting(random.integers(0, 4, need), random.integers(0, 4, allow))


@pytest.mark.parametrize("seed", range(draws(60, 600)))
@pytest.mark.parametrize("at_once", [meeting.MOST_PAIRS, 7])
def test_builds_that_meet_are_those_whose_cells_pass_every_rule(seed, at_once, monkeypatch):
    monkeypatch.setattr(meeting, "MOST_PAIRS", at_once)
    random = np.random.default_rng(seed)
    left = random.integers(0, 3, (PAIRS, LEFT)).astype(float)
    right = random.integers(0, 3, (PAIRS, RIGHT)).astype(float)
    meetings = [some_meeting(random) for _ in range(random.integers(0, 4))]

    expected = np.zeros(PAIRS)
    for pair, one, other in np.ndindex(PAIRS, LEFT, RIGHT):
        passes = all(
            np.broadcast_to(each.need, (PAIRS, LEFT, RIGHT))[pair, one, other]
            <= np.broadcast_to(each.allow, (PAIRS, LEFT, RIGHT))[pair, one, other]
            for each in meetings
        )
        expected[pair] += passes * left[pair, one] * right[pair, other]

    assert met(left, right, meetings).tolist() == expected.tolist()


@pytest.mark.parametrize("seed", range(draws(60, 600)))
def test_what_is_settled_as_a_whole_is_so_cell_by_cell(seed):
    random = np.random.default_rng(seed)
    rule = Meeting(random.integers(0, 3, (PAIRS, LEFT, 1)), random.integers(0, 3, (1, 1, RIGHT)))
    left, right = random.random((PAIRS, LEFT)) < 0.6, random.random((PAIRS, RIGHT)) < 0.6

    everywhere, nowhere = rule.settled(left, right)

    flags = rule.flags(np.arange(PAIRS))
    for pair in range(PAIRS):
        among = flags[pair][np.ix_(left[pair], right[pair])]
        assert everywhere[pair] == among.all()
        assert nowhere[pair] == (not among.any())
