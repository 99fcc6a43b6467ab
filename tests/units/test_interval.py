"""Intervals keep their order, and a basis is only as strong as its weakest."""

from __future__ import annotations

import math

import pytest

from configurator.units.interval import Basis, Interval, weakest


@pytest.mark.parametrize(
    ("low", "nominal", "high"),
    [(2.0, 1.0, 3.0), (1.0, 4.0, 3.0), (3.0, 2.0, 1.0), (math.nan, 1.0, 2.0), (1.0, 2.0, math.inf)],
)
def test_bounds_out_of_order_or_not_finite_are_refused(
    low: float, nominal: float, high: float
) -> None:
    with pytest.raises(ValueError, match=r"bounds|low <= nominal"):
        Interval(low, nominal, high)


def test_an_exact_interval_has_no_width() -> None:
    interval = Interval.exact(3.0)
    assert interval.is_exact
    assert interval.width == 0.0
    assert interval == Interval(3.0, 3.0, 3.0)


def test_the_nominal_of_a_range_is_its_midpoint_unless_given() -> None:
    assert Interval.of(291.15, 301.15).nominal == pytest.approx(296.15, rel=1e-15)
    assert Interval.of(1.0, 3.0, 1.5).nominal == 1.5
    assert Interval.of(0.1, 0.1) == Interval.exact(0.1)


def test_the_midpoint_of_the_largest_floats_does_not_overflow() -> None:
    assert Interval.of(1.6e308, 1.7e308).nominal == pytest.approx(1.65e308)


def test_a_negative_factor_swaps_the_ends() -> None:
    assert Interval(1.0, 2.0, 4.0).scaled(-2.0) == Interval(-8.0, -4.0, -2.0)
    assert Interval(1.0, 2.0, 4.0).scaled(0.5) == Interval(0.5, 1.0, 2.0)


def test_the_bases_are_listed_from_strongest_to_weakest() -> None:
    assert [basis.value for basis in Basis] == [
        "measured",
        "published",
        "datasheet",
        "common practice",
        "from memory",
        "invented",
        "estimated",
    ]
    assert [basis.rank for basis in Basis] == list(range(7))


@pytest.mark.parametrize("other", list(Basis))
def test_an_estimate_is_never_strengthened_by_what_it_is_combined_with(other: Basis) -> None:
    assert weakest(other, Basis.ESTIMATED) is Basis.ESTIMATED
    assert weakest(Basis.MEASURED, other) is other


def test_the_weakest_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        weakest()
