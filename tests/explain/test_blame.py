"""Parts told apart by one figure, not name by name."""

from __future__ import annotations

import numpy as np
import pytest
from small_world import WORLD

from configurator.explain.conflict import called, fold
from configurator.units.interval import Interval


@pytest.fixture
def tips():
    bores = ["1 mm", "2 mm", "3 mm", "4 mm"]
    world = WORLD.with_parts(
        {"outlet": [{"name": f"tip-{bore[0]}", "bore": bore} for bore in bores]}
    )
    return world.catalog.slot("outlet")


def folded(parts, out, *paths):
    return fold("outlet", parts, np.array(out), paths or ("outlet.bore",), Interval.of(283, 313))


def test_parts_below_all_that_stay_are_told_by_the_least_that_stays(tips):
    group = folded(tips, [True, True, False, False])

    assert group.text == "all 2 tips under 3 mm bore"
    assert (group.below, group.above) == (pytest.approx(3e-3), None)
    assert group.names == ("tip-1", "tip-2")


def test_parts_above_all_that_stay_are_told_by_the_greatest_that_stays(tips):
    group = folded(tips, [False, False, True, True])

    assert group.text == "all 2 tips over 2 mm bore"
    assert group.above == pytest.approx(2e-3)


def test_all_parts_are_told_with_their_span(tips):
    assert folded(tips, [True] * 4).text == "all 4 tips from 1 mm to 4 mm bore"


def test_parts_that_no_figure_tells_apart_are_named(tips):
    assert folded(tips, [True, False, True, False]).text == "2 of 4 tips (tip-1, tip-3)"


def test_many_names_are_cut_short():
    world = WORLD.with_parts({"outlet": [{"name": f"tip-{n}"} for n in range(9)]})

    group = folded(world.catalog.slot("outlet"), [True] * 5 + [False] * 4)

    assert group.text == "5 of 9 tips (tip-0, tip-1, tip-2 and 2 more)"


@pytest.mark.parametrize(
    ("at", "told"),
    [
        ((330, 340), "all 2 drives from 40 degC to 50 degC highest temperature"),
        ((250, 260), "all 2 drives from 0 degC to 5 degC lowest temperature"),
    ],
)
def test_of_two_ratings_the_one_that_is_passed_is_told(at, told):
    drives = [
        {"name": "d-1", "temperature_low": "0 degC", "temperature_high": "40 degC"},
        {"name": "d-2", "temperature_low": "5 degC", "temperature_high": "50 degC"},
    ]
    parts = WORLD.with_parts({"drive": drives}).catalog.slot("drive")
    paths = ("drive.temperature_low", "drive.temperature_high")

    assert fold("drive", parts, np.array([True, True]), paths, Interval.of(*at)).text == told


def test_words_tell_parts_apart_too():
    world = WORLD.with_parts(
        {"stator": [{"name": "a"}, {"name": "b", "material": "BAD"}, {"name": "c"}]}
    )

    parts, out = world.catalog.slot("stator"), np.array([False, True, False])
    group = fold("stator", parts, out, ("stator.material",), Interval.of(283, 313))

    assert group.text == "the one stator with material BAD"


def test_a_side_is_named():
    assert called("a.cavity", 2) == "cavities of side a"
