"""What the carrier's findings say: the limit, and what of it the shop plans with."""

from __future__ import annotations

import pytest
from small_world import WORLD

from configurator.rules.finding import State


@pytest.mark.parametrize(
    ("changes", "state", "said"),
    [
        # 1.82 kg by hand: 1.0 + 0.5 + 0.3 + 0.02.
        (
            {"process.carrier": {"payload": "2 kg"}},
            State.MARGINAL,
            "weigh 1.82 kg; the carrier takes 2 kg, of which the shop plans with 1.6 kg",
        ),
        (
            {"process.carrier": {"payload": "4 kg"}},
            State.FITS,
            "weigh 1.82 kg; the carrier takes 4 kg, of which the shop plans with 3.2 kg",
        ),
        # 1.82 kg times 9.80665 m/s^2 times 0.1 m.
        (
            {"process.carrier": {"moment": "2 N*m", "lever": "100 mm"}},
            State.MARGINAL,
            "with 1.78 N m; the carrier takes 2 N m, of which the shop plans with 1.6 N m",
        ),
    ],
)
def test_a_finding_on_the_carrier_tells_the_limit_after_the_shops_margin(changes, state, said):
    (build,) = WORLD.having(changes).only_base.answer.builds()
    (finding,) = [each for each in build.findings if each.rule.startswith("carried")]

    assert finding.state is state
    assert said in finding.reason
