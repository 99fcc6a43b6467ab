"""Shares: bounds, thresholds and what is left unnamed."""

import pytest

from configurator.chemistry.share import UNNAMED, MassFraction, counts, unnamed_share


@pytest.mark.parametrize(
    ("low", "high"), [(0.1, None), (None, 0.1), (0.2, 0.1), (-0.1, 0.1), (0.5, 1.1)]
)
def test_bounds_that_mean_nothing_are_refused(low, high):
    with pytest.raises(ValueError, match="fraction"):
        MassFraction("water", low, high)


def test_a_constituent_counts_from_its_threshold_on(substances):
    water = substances.constituents["water"]

    assert counts(MassFraction("water"), water)
    assert counts(MassFraction("water", 0.0, 0.01), water)
    assert not counts(MassFraction("water", 0.0, 0.0099), water)


def test_shares_that_add_up_leave_nothing_unnamed():
    assert unnamed_share([MassFraction("a", 0.5, 0.6), MassFraction("b", 0.4, 0.5)]) is None
    assert unnamed_share([MassFraction("a", 0.98, 0.98)]) is None


def test_shares_that_do_not_add_up_leave_a_rest_with_bounds():
    rest = unnamed_share([MassFraction("a", 0.3, 0.5)])

    assert rest == MassFraction(UNNAMED, 0.5, 0.7)


def test_an_unstated_fraction_leaves_a_rest_of_unstated_size():
    assert unnamed_share([MassFraction("a", 0.9, 0.9), MassFraction("b")]) == MassFraction(UNNAMED)


def test_no_shares_leave_everything_unnamed():
    assert unnamed_share([]) == MassFraction(UNNAMED, 1.0, 1.0)
