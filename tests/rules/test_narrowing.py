"""Parts that one rule leaves without a partner, against the rule's whole table."""

from dataclasses import replace

import numpy as np
import pytest
from random_rules import SIZES, RandomBuilds

from configurator.rules.applied import Applied
from configurator.rules.comparison import Bound, Comparison
from configurator.rules.finding import State
from configurator.rules.narrowing import without_partner
from configurator.units.kinds import FRACTION


def random_rules(seed: int) -> list[Applied]:
    """Rules that rule parts out now and then: limits low, needs over several slots."""
    builds = RandomBuilds(seed)
    slots = list(SIZES)
    rules = []
    for number in range(12):
        need, allow = (
            sorted(
                builds.rng.choice(slots, builds.rng.integers(0, 4), replace=False), key=slots.index
            )
            for _ in range(2)
        )
        outcome = builds.comparison(need, allow, spare=-2)
        rules.append(builds.over({*need, *allow}, f"rule {number}", outcome))
    return rules


@pytest.mark.parametrize("seed", range(30))
def test_a_part_is_without_partner_where_its_whole_table_is_ruled_out(seed):
    for applied in [*RandomBuilds(seed).applied, *random_rules(seed)]:
        out = without_partner(applied)
        assert tuple(out) == applied.scope
        for axis, slot in enumerate(applied.scope):
            others = tuple(other for other in range(len(applied.scope)) if other != axis)
            expected = (applied.states == State.RULED_OUT).all(axis=others)
            assert out[slot].tolist() == expected.tolist()


def test_the_random_rules_take_out_some_parts_and_not_all():
    rules = [applied for seed in range(20) for applied in random_rules(seed)]
    shares = [flags.mean() for applied in rules for flags in without_partner(applied).values()]
    assert 0.05 < np.mean(shares) < 0.95


def test_a_rule_capped_at_unproven_takes_no_part_out():
    builds = RandomBuilds(3)
    demand = Bound.exact(np.full(builds.case.frame.shape(["a.cavity"]), 2.0))
    outcome = Comparison(demand, Bound.exact(1.0), FRACTION)
    applied = builds.over({"a.cavity"}, "never", outcome)
    assert without_partner(applied)["a.cavity"].all()
    capped = builds.over({"a.cavity"}, "never", replace(outcome, cap=State.UNPROVEN))
    assert not without_partner(capped)["a.cavity"].any()
