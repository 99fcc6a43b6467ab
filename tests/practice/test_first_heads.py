"""The list begins with a head that somebody of the trade would take: common practice, no source."""

from __future__ import annotations

import pytest

from tests.practice.duties import duties

NOT_YET = {
    "potting of a large box": "the next size has no rotor as hard, which weighs more than its speed",
    "brake fluid into a cylinder": "EPDM that a chart from memory holds and NBR that it limits are "
    "both limited as stators, so that cost decides",
    "glazing seam of polysulfide": "a static mixer with a wide tip is as many steps short by the "
    "restart as a narrow tip is by the deposit, and comfort decides",
}
"""Duties whose first head a practitioner would not take, and why the list begins so."""


def _cases() -> list[object]:
    return [
        pytest.param(
            name,
            marks=[pytest.mark.xfail(strict=True, reason=NOT_YET[name])] if name in NOT_YET else [],
        )
        for name in duties()
    ]


@pytest.mark.parametrize("name", _cases())
def test_a_practitioner_takes_the_first_head(name: str) -> None:
    duty = duties()[name]
    first = duty.first
    assert first is not None
    assert not duty.objections(first), duty.because


def test_there_are_fifty_duties_and_each_names_its_rule_of_the_trade() -> None:
    assert len(duties()) == 50
    assert all(duty.because and duty.accept for duty in duties().values())
    assert set(NOT_YET) <= set(duties())
