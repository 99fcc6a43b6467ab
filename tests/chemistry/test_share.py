"""Shares: bounds, thresholds, what is left unnamed, and names as data sheets write them."""

from __future__ import annotations

import pytest

from configurator.chemistry.share import (
    UNNAMED,
    MassFraction,
    counts,
    unknown_constituent,
    unnamed_share,
)


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


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("4,4'-diphenylmethane diisocyanate", "mdi"),
        ("Diphenylmethane-4,4'-diisocyanate", "mdi"),
        ("isophoronediamine", "isophorone-diamine"),
        ("25068-38-6", "bisphenol-a-epoxy"),
        ("  MDI  ", "mdi"),
    ],
)
def test_marks_spaces_and_case_do_not_matter(substances, written, name):
    found = substances.find(written)

    assert found is not None
    assert found.name == name


def test_a_number_that_is_not_listed_is_near_to_none(substances):
    assert unknown_constituent("25068-38-7", substances) == ()


def test_a_slip_in_a_name_offers_the_name(substances):
    assert "toluene" in unknown_constituent("tolluene", substances)
