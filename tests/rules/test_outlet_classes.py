"""Classes and helper slots against the plain tables: the same builds, whatever the rules say."""

import numpy as np
import pytest
from random_rules import SIZES, RandomBuilds

from configurator.engine import BuildSpace
from configurator.rules.classes import classes_along, classes_of
from configurator.rules.constraints import HELPER_MARK
from configurator.rules.finding import LISTED, State
from configurator.rules.outlet_classes import OutletClasses
from configurator.rules.tables import Tables

SEEDS = range(25)


def check_space(space: BuildSpace, passes: np.ndarray) -> None:
    assert space.count() == passes.sum()
    remaining = space.remaining()
    for axis, slot in enumerate(SIZES):
        others = tuple(other for other in range(len(SIZES)) if other != axis)
        assert remaining[slot].tolist() == passes.sum(axis=others).tolist()


@pytest.mark.parametrize("seed", SEEDS)
def test_helper_slots_leave_the_builds_that_the_plain_tables_leave(seed):
    builds = RandomBuilds(seed)
    for level in LISTED:
        check_space(builds.space(level), builds.passes(level))


@pytest.mark.parametrize("seed", SEEDS)
def test_stricter_levels_follow_from_the_widest(seed):
    builds = RandomBuilds(seed)
    tables = Tables(builds.applied)
    space = builds.space(State.UNPROVEN)
    for level in reversed(LISTED):
        found = tables.at(level)
        space = space.tightened(found.relations, found.thresholds)
        check_space(space, builds.passes(level))


def test_the_random_rules_leave_some_builds_and_not_all():
    for level in LISTED:
        shares = [float(RandomBuilds(seed).passes(level).mean()) for seed in SEEDS]
        assert sum(0.0 < share < 1.0 for share in shares) > len(SEEDS) // 2


def test_a_rule_over_mixer_and_tip_alone_is_left_to_its_own_table():
    builds = RandomBuilds(0)
    classes = OutletClasses(builds.applied)
    covered = {applied.title for applied in builds.applied if classes.covers(applied)}
    assert {"joint", "a: a. 3", "b: b. 3"} & covered == set()
    assert {"through the outlet", "mass", "moment", "a: a. 0", "b: b. 2", "a: housing"} <= covered


def test_pairs_that_no_head_tells_apart_share_a_class():
    builds = RandomBuilds(1)
    found = Tables(builds.applied).at(State.UNPROVEN)
    for helper, size in found.helpers.items():
        assert helper.startswith(HELPER_MARK)
        definition = next(each for each in found.relations if each.name == helper)
        per_row = definition.allowed.reshape(-1, size)
        assert per_row.sum(axis=1).max() <= 1
        assert per_row.any(axis=0).all()


def test_definitions_of_helper_slots_are_the_same_objects_at_every_level():
    tables = Tables(RandomBuilds(2).applied)
    first, second = (
        [each for each in tables.at(level).relations if each.name.startswith(HELPER_MARK)]
        for level in (State.UNPROVEN, State.FITS)
    )
    assert [id(each) for each in first] == [id(each) for each in second]


def test_rows_with_equal_entries_are_one_class_and_left_out_rows_none():
    rows = np.array([[1, 2], [1, 2], [0, 2], [1, 2], [0, 2]], dtype=np.int8)
    found = classes_of(rows, np.array([True, False, True, True, True]))
    assert found.of_row.tolist() == [0, -1, 1, 0, 1]
    assert found.first.tolist() == [0, 2]
    assert found.membership((5,)).tolist() == [
        [True, False],
        [False, False],
        [False, True],
        [True, False],
        [False, True],
    ]


def test_a_partition_spreads_to_rows_that_stand_for_its_own():
    found = classes_of(np.array([[1], [2], [1]], dtype=np.int8), np.array([True, True, False]))
    spread = found.spread(np.array([2, 1, 0, 1]))
    assert spread.of_row.tolist() == [-1, 1, 0, 1]
    assert spread.first.tolist() == [2, 1]


def test_places_along_an_axis_are_alike_only_where_every_array_agrees():
    moving = np.array([[1.0, np.nan], [1.0, np.nan], [2.0, 3.0], [1.0, np.nan]])
    second = np.array([[5.0], [5.0], [5.0], [6.0]])
    still = np.array([[7.0, 8.0]])
    assert classes_along([moving, still], 0, 4).of_row.tolist() == [0, 0, 1, 0]
    assert classes_along([moving, second, still], 0, 4).of_row.tolist() == [0, 0, 1, 2]
    assert classes_along([still], 0, 4).of_row.tolist() == [0, 0, 0, 0]
