"""Laws of gaps, on random small catalogs: what is said to open a row does, and nothing else does.

The long way judges a catalog with each hypothetical part added by itself; brute force lays out
every combination for the parts that serve nothing.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from draws import ALL, draws
from gap_ways import (
    ANY,
    entries,
    idle_parts,
    listed_worlds,
    opened_as_told,
    opened_one_by_one,
)
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from small_world import World

from configurator.request.material import Material
from configurator.screen.gap_search import GapsAsked
from configurator.screen.gaps import Gaps, find_gaps
from configurator.screen.openings import Idle
from configurator.workshop.workshop import Workshop

SETTINGS = settings(
    max_examples=draws(3, 6),
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)
FEW = settings(SETTINGS, max_examples=draws(3, 5))


def found(world: World, materials: list[Material], **options: bool) -> Gaps:
    asked = GapsAsked((world.question.process,), world.workshop, **options)
    return find_gaps(entries(materials), asked)


def check_openings(world: World, materials: list[Material], *, strict: bool) -> int:
    """Every part opens exactly the rows that it opens when it is added by itself."""
    gaps = found(world, materials, strict=strict)
    told = {row.number for row in gaps.unserved} | {row.number for row in gaps.unread}
    opened = 0
    for number in sorted(told - {row.number for row in gaps.unread}):
        as_told = opened_as_told(gaps, number)
        wanted = opened_one_by_one(
            materials[number - 1],
            world.question.process,
            world.catalog,
            strict=strict,
            surely=as_told,
            one_in=1 if ALL else 3,
        )
        assert as_told == wanted, number
        opened += len(wanted)
    return opened


@SETTINGS
@given(listed=listed_worlds(), strict=st.booleans())
def test_each_part_opens_the_rows_that_are_named_and_no_others(
    listed: tuple[World, list[Material]], *, strict: bool
) -> None:
    world, materials = listed
    check_openings(world, materials, strict=strict)


@FEW
@given(listed=listed_worlds(two_part=True))
def test_the_same_holds_for_two_components(listed: tuple[World, list[Material]]) -> None:
    world, materials = listed
    check_openings(world, materials, strict=False)


@SETTINGS
@given(listed=listed_worlds())
def test_parts_that_serve_nothing_are_in_no_combination_that_passes(
    listed: tuple[World, list[Material]],
) -> None:
    world, materials = listed
    gaps = found(world, materials)
    judged = [m for n, m in enumerate(materials, 1) if n not in {r.number for r in gaps.unread}]

    assert gaps.idle == idle_parts(world, judged)


@SETTINGS
@given(listed=listed_worlds())
def test_the_quick_judge_finds_the_same_idle_parts_as_the_long_way(
    listed: tuple[World, list[Material]],
) -> None:
    world, materials = listed
    unserved = {row.number for row in found(world, materials).unserved}
    built = [m for n, m in enumerate(materials, 1) if n not in unserved]
    wanted = idle_parts(world, built)
    idle = Idle(world.workshop, ANY, patience=0)
    idle.look(world.question.process, built, [world.workshop] * len(built))

    assert {slot: names for slot, names in idle.left.items() if slot != "mixing"} == wanted


@FEW
@given(listed=listed_worlds(two_part=True))
def test_idle_parts_of_two_components_are_on_neither_side(
    listed: tuple[World, list[Material]],
) -> None:
    world, materials = listed
    gaps = found(world, materials)

    assert gaps.idle == idle_parts(world, [] if gaps.unread else materials)


@SETTINGS
@given(listed=listed_worlds(), seed=st.integers(0, 2**32 - 1))
def test_the_order_of_list_and_catalog_does_not_matter(
    listed: tuple[World, list[Material]], seed: int
) -> None:
    world, materials = listed
    random = np.random.default_rng(seed)
    mixed = replace(
        world.catalog,
        parts={
            slot: tuple(parts[at] for at in random.permutation(len(parts)))
            for slot, parts in world.catalog.parts.items()
        },
    )
    rows = entries(materials)
    order = random.permutation(len(rows))

    def told(gaps: Gaps) -> object:
        return (
            {(row.number, row.state, row.reason) for row in gaps.unserved},
            [
                (
                    each.part.slot,
                    each.part.name,
                    each.part.change,
                    {(gaps.unserved[place].number, state) for place, state in each.opened},
                    each.further,
                )
                for each in gaps.ranked
            ],
            gaps.idle,
            {row.number for row in gaps.unread},
        )

    process = (world.question.process,)
    other = find_gaps([rows[at] for at in order], GapsAsked(process, Workshop(mixed)))
    assert told(other) == told(find_gaps(rows, GapsAsked(process, world.workshop)))
