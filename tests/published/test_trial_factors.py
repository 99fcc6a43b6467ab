"""Tolerance factors, sample sizes, capability and outliers against printed values and scipy."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import tomli
from scipy import integrate, optimize, stats

from configurator.trial.distributions import (
    chi_square_above,
    chi_square_quantile,
    f_above,
    noncentral_t_cdf,
    normal_cdf,
    t_cdf,
    t_quantile,
)
from configurator.trial.sample import (
    capability,
    critical_deviation,
    extremes,
    lower_bound,
    outliers,
)
from configurator.trial.sample_size import (
    shots_needed,
    shown_reliability,
    two_sided_factor,
    zero_failure_count,
)

PUBLISHED = tomli.loads((Path(__file__).parent / "trial_factors.toml").read_text(encoding="utf-8"))
ROWS = [(table, row) for table in PUBLISHED["two_sided"] for row in table["rows"]]


@pytest.mark.parametrize(("table", "row"), ROWS, ids=lambda value: str(value)[:40])
def test_a_two_sided_factor_is_the_printed_one(table, row):
    coverage, confidence, count, samples, printed = row
    found = two_sided_factor(count, coverage, confidence, samples * (count - 1))

    if table["rounds_up"]:
        # The standard rounds up; one unit of its last place is left for its own arithmetic.
        step = 10.0 ** -table["places"]
        assert printed - 1.05 * step <= found <= printed + 0.05 * step
    else:
        assert found == pytest.approx(printed, abs=table.get("slack", 0.0051))


@pytest.mark.parametrize("count", [2, 3, 10, 20, 30, 50, 400])
@pytest.mark.parametrize(("coverage", "confidence"), [(0.95, 0.95), (0.90, 0.99), (0.99, 0.975)])
def test_a_two_sided_factor_covers_as_scipy_integrates_it(count, coverage, confidence):
    """Oracle: scipy's normal and chi-square distributions under scipy's own quadrature."""
    factor = two_sided_factor(count, coverage, confidence)

    def reached(shift: float) -> float:
        width = optimize.brentq(
            lambda w: stats.norm.cdf(shift + w) - stats.norm.cdf(shift - w) - coverage, 0.0, 60.0
        )
        enough = stats.chi2.sf((count - 1) * (width / factor) ** 2, count - 1)
        return float(enough * stats.norm.pdf(shift, scale=1 / math.sqrt(count)))

    chance = 2.0 * integrate.quad(reached, 0.0, 9.0 / math.sqrt(count))[0]

    assert chance == pytest.approx(confidence, abs=2e-7)


@pytest.mark.parametrize("freedom", [1, 2, 3, 7.5, 40, 900])
def test_the_distributions_are_scipys(freedom):
    for share in (1e-4, 0.02, 0.5, 0.9, 0.9995):
        t_value, chi_value = stats.t.ppf(share, freedom), stats.chi2.ppf(share, freedom)

        assert t_cdf(t_value, freedom) == pytest.approx(share, rel=1e-9)
        assert t_quantile(share, freedom) == pytest.approx(t_value, rel=1e-9, abs=1e-12)
        assert chi_square_above(chi_value, freedom) == pytest.approx(1 - share, rel=1e-9)
        assert chi_square_quantile(share, freedom) == pytest.approx(chi_value, rel=1e-7)
        assert normal_cdf(t_value) == pytest.approx(stats.norm.cdf(t_value), rel=1e-9)
    for value in (0.1, 1.0, 4.0):
        expected = stats.nct.cdf(value, freedom, 1.3)
        assert noncentral_t_cdf(value, freedom, 1.3) == pytest.approx(expected, abs=1e-7)


@pytest.mark.parametrize(("reliability", "count"), PUBLISHED["zero_failures"]["rows"])
def test_the_zero_failure_sample_size_is_the_known_one(reliability, count):
    assert zero_failure_count(reliability=reliability, confidence=0.95) == count
    assert shown_reliability(count=count, confidence=0.95) >= reliability
    assert shown_reliability(count=count - 1, confidence=0.95) < reliability


def test_the_worked_capability_is_the_published_one():
    case = PUBLISHED["cpk"]

    # The page uses an approximation and rounds; the bound here is exact on the nearer side.
    assert lower_bound(case["cpk"], case["count"], 0.975) == pytest.approx(case["low"], abs=0.006)


def test_a_capability_bound_is_scipys_noncentral_t():
    found = capability(mean=0.2, deviation=0.25, count=30, lower=-1.0, upper=1.0, confidence=0.9)
    reach = 3.0 * math.sqrt(30)

    assert found.cp == pytest.approx(2.0 / 1.5)
    assert found.cpk == pytest.approx(0.8 / 0.75)
    assert stats.nct.cdf(reach * found.cpk, 29, reach * found.cpk_low) == pytest.approx(0.9)


def test_one_per_cent_needs_a_spread_of_a_quarter_per_cent_for_a_capability_of_four_thirds():
    found = capability(mean=0.0, deviation=0.2506, count=50, lower=-1.0, upper=1.0)

    assert found.cpk == pytest.approx(1.33, abs=2e-4)


def test_the_published_outliers_are_found_with_their_statistics():
    """The source divides by the spread alone; here a deviation has its own uncertainty."""
    case = PUBLISHED["outliers"]
    values = np.array(case["values"])
    (first, *_) = extremes([values], most=10)
    own = math.sqrt(1.0 - 1.0 / 54)

    found = outliers([values], alpha=0.05)
    assert [values[each.place] for each in sorted(found, key=lambda each: each.place)] == case[
        "found"
    ]
    assert first.deviation * own == pytest.approx(case["first_statistic"], abs=5e-5)
    assert critical_deviation(54, 53, 0.05) * own == pytest.approx(case["first_critical"], abs=5e-5)


@pytest.mark.parametrize("sizes", [(60, 3, 3, 3, 12), (3,) * 12, (2,) * 15, (10, 20)])
def test_clean_groups_have_an_outlier_as_seldom_as_promised(sizes):
    """Oracle: drawing. Groups have means of their own, which is none of the outliers' business."""
    random = np.random.default_rng(len(sizes))
    trials = 1500
    told = sum(
        bool(outliers([random.normal(5.0 * at, 1.0, n) for at, n in enumerate(sizes)], alpha=0.05))
        for _ in range(trials)
    )

    assert told <= (0.05 + 3.0 * math.sqrt(0.05 * 0.95 / trials)) * trials


@pytest.mark.parametrize(("upper", "lower"), [(1, 1), (2, 150), (9, 40), (11, 7)])
def test_the_f_distribution_is_scipys(upper, lower):
    for value in (0.0, 0.3, 1.0, 4.4, 20.0):
        expected = stats.f.sf(value, upper, lower)
        assert f_above(value, upper, lower) == pytest.approx(expected, rel=1e-9, abs=1e-300)


def test_the_number_of_shots_is_the_smallest_that_has_room():
    room = 3.0
    count = shots_needed(room=room, coverage=0.95, confidence=0.95, chance=0.5)
    assert count is not None

    def width(shots: int) -> float:
        median = stats.chi2.ppf(0.5, shots - 1) / (shots - 1)
        return two_sided_factor(shots, 0.95, 0.95) * math.sqrt(median)

    assert width(count) <= room < width(count - 1)


def test_no_number_of_shots_beats_the_normal_distribution_itself():
    assert shots_needed(room=1.95, coverage=0.95, confidence=0.95) is None
