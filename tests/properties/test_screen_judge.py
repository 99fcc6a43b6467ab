"""Materials judged together against the long way, one by one, on random catalogs and requests.

The long way is the workshop's own, which other tests hold against every combination of parts.
"""

from __future__ import annotations

import dataclasses

import numpy as np
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from random_worlds import request_changes, worlds
from small_world import World

from configurator.request.material import Material
from configurator.screen import judge as judging
from configurator.screen.dense import NEVER, Table, cheapest, counts, elimination_order
from configurator.screen.judge import Judge
from configurator.screen.verdict import Verdict, verdict_on

SETTINGS = settings(
    max_examples=20,
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


@SETTINGS
@given(seed=st.integers(0, 2**32 - 1))
def test_elimination_counts_and_prices_as_brute_force_does(seed: int) -> None:
    random = np.random.default_rng(seed)
    slots = tuple("abcdef"[: random.integers(2, 6)])
    sizes = {slot: int(random.integers(1, 5)) for slot in slots}
    problems = int(random.integers(1, 4))
    numbers, keys, flags = [], [], []
    for slot in slots:
        numbers.append(Table((slot,), random.integers(0, 4, (problems, sizes[slot])).astype(float)))
        keys.append(Table((slot,), random.integers(0, 1000, (problems, sizes[slot]))))
    for _ in range(random.integers(0, 5)):
        scope = tuple(random.permutation(slots)[: random.integers(1, len(slots) + 1)].tolist())
        shape = [random.choice([1, problems])] + [random.choice([1, sizes[slot]]) for slot in scope]
        table = Table(scope, random.random(shape) < 0.7)
        flags.append(table.narrowed() if random.random() < 0.5 else table)
    order = elimination_order([table.scope for table in [*flags, *numbers]], sizes)
    whole = (problems, *(sizes[slot] for slot in slots))

    def laid_out(table: Table) -> np.ndarray:
        return np.broadcast_to(table.over(slots), whole)

    allowed = np.logical_and.reduce([np.ones(whole, bool), *map(laid_out, flags)])
    each = np.prod([laid_out(table) for table in numbers], axis=0) * allowed
    axes = tuple(range(1, len(whole)))
    assert (counts([*flags, *numbers], order, problems) == each.sum(axis=axes)).all()
    price = np.where(allowed, np.sum([laid_out(table) for table in keys], axis=0), NEVER)
    assert (cheapest([*flags, *keys], order, problems) == price.min(axis=axes)).all()


def test_what_goes_wrong_in_a_group_is_judged_one_by_one(monkeypatch) -> None:
    world = World()
    materials = [world.question.material] * 3

    def fail(*_: object) -> None:
        raise judging.UnlikeRuleError("a rule")

    monkeypatch.setattr(judging, "Group", fail)
    found = Judge(world.question.process, world.workshop).verdicts(materials)
    assert found == [verdict_on(materials[0], world.question.process, world.workshop)] * 3
