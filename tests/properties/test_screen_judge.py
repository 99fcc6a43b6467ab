"""Materials judged together against the long way, one by one, on random catalogs and requests.

The long way is the workshop's own, which other tests hold against every combination of parts.
"""

from __future__ import annotations

import dataclasses

import pytest
from draws import draws
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from random_worlds import request_changes, two_part_worlds, worlds
from small_world import World

from configurator.request.material import Material
from configurator.screen import judge as judging
from configurator.screen.judge import Judge
from configurator.screen.verdict import Verdict, verdict_on

SETTINGS = settings(
    max_examples=draws(7, 20),
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def alike(quick: Verdict, slow: Verdict) -> bool:
    """Equal but for the last bits of a margin: sums of one material and of many are rounded."""
    if quick.margin is None or slow.margin is None:
        return quick == slow
    close = abs(quick.margin - slow.margin) <= 1e-9 * max(1.0, abs(slow.margin))
    return close and dataclasses.replace(quick, margin=slow.margin) == slow


@st.composite
def priced_worlds(draw: st.DrawFn) -> World:
    """Random worlds whose parts differ in cost, with many ties."""
    world = draw(worlds(picking=False))
    costs = st.sampled_from([1, 2, 2.5, 3.3, 10])
    return world.with_parts(
        {
            slot: [{**table, "cost_index": draw(costs)} for table in tables]
            for slot, tables in world.parts.items()
            if slot != "mixing"
        }
    )


def check(world: World, materials: list[Material]) -> None:
    process, shop = world.question.process, world.workshop
    found = Judge(process, shop).verdicts(materials)
    for material, quick in zip(materials, found, strict=True):
        slow = verdict_on(material, process, shop)
        assert alike(quick, slow), (quick, slow)


@SETTINGS
@given(world=priced_worlds(), changes=st.lists(request_changes(), min_size=1, max_size=5))
def test_a_list_of_random_materials_gets_the_rows_of_the_long_way(
    world: World, changes: list[dict[str, object]]
) -> None:
    others = [
        world.having({key: value for key, value in each.items() if not key.startswith("process.")})
        for each in changes
    ]
    check(world, [world.question.material, *(other.question.material for other in others)])


@SETTINGS
@given(
    world=priced_worlds(),
    viscosities=st.lists(st.floats(0.01, 1000.0), min_size=2, max_size=6),
    sizes=st.lists(st.floats(5.0, 400.0), min_size=6, max_size=6),
)
def test_materials_of_one_kin_are_told_apart(
    world: World, viscosities: list[float], sizes: list[float]
) -> None:
    materials = [
        world.having(
            {
                "component.flow": {
                    "model": "newtonian",
                    "viscosity": f"{v:.6g} Pa*s",
                    "at": "20 degC",
                },
                "component.filler": {"name": "grit", "d99": f"{d:.6g} um", "mohs": "5 Mohs"},
            }
        ).question.material
        for v, d in zip(viscosities, sizes, strict=False)
    ]
    check(world, materials)


@SETTINGS
@given(world=priced_worlds(), changes=st.lists(request_changes(), min_size=1, max_size=3))
def test_the_order_and_the_company_of_a_material_change_nothing(
    world: World, changes: list[dict[str, object]]
) -> None:
    materials = [
        world.having(
            {key: value for key, value in each.items() if not key.startswith("process.")}
        ).question.material
        for each in changes
    ]
    judge = Judge(world.question.process, world.workshop)
    together = judge.verdicts(materials)
    backwards = judge.verdicts(materials[::-1])[::-1]
    alone = [
        Judge(world.question.process, world.workshop).verdicts([each])[0] for each in materials
    ]
    assert all(map(alike, together, backwards))
    assert all(map(alike, together, alone))


FINDINGS = st.lists(
    st.fixed_dictionaries(
        {
            "date": st.just("2026-05-01"),
            "material": st.sampled_from(["RUBBER", "STEEL"]),
            "substance": st.sampled_from(["plainol", "plain", "plain a", "one-of-several"]),
            "temperature_c": st.sampled_from([20.0, 40.0]),
            "hours": st.just(168.0),
            "swelling_pct": st.sampled_from([0.5, 5.0, 12.0, 30.0]),
        }
    ),
    min_size=1,
    max_size=4,
)
"""Soaks in a constituent, in a material of the list, in one side of it."""


@SETTINGS
@given(
    world=priced_worlds(),
    changes=st.lists(request_changes(), min_size=2, max_size=5),
    findings=FINDINGS,
)
def test_what_the_shop_has_found_out_holds_for_its_material_alone(
    world: World, changes: list[dict[str, object]], findings: list[dict[str, object]]
) -> None:
    names = ["plain", "one-of-several"]
    materials = [
        world.having(
            {
                **{key: value for key, value in each.items() if not key.startswith("process.")},
                "material.name": names[number % 2],
            }
        ).question.material
        for number, each in enumerate(changes)
    ]
    check(world.having({"evidence.records": findings}), materials)


@SETTINGS
@given(
    world=two_part_worlds(),
    others=st.lists(two_part_worlds(), max_size=3),
    findings=st.just([]) | FINDINGS,
)
def test_two_part_materials_get_the_rows_of_the_long_way(
    world: World, others: list[World], findings: list[dict[str, object]]
) -> None:
    materials = [each.question.material for each in (world, *others)]
    check(world.having({"evidence.records": findings}), materials)


def test_what_goes_wrong_in_a_batch_is_judged_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    world = World()
    materials = [world.question.material] * 3

    def fail(*_: object) -> None:
        raise judging.UnlikeRuleError("a rule")

    monkeypatch.setattr(judging, "judged_together", fail)
    found = Judge(world.question.process, world.workshop).verdicts(materials)
    assert found == [verdict_on(materials[0], world.question.process, world.workshop)] * 3
