"""Larger instances: CP-SAT as an independent voice, and the time budgets of one update.

OR-tools CP-SAT (``ortools``) decides single facts; it shares nothing with the engine.
"""

import numpy as np
import pytest

from configurator.engine import BuildSpace, Relation, Threshold

cp_model = pytest.importorskip("ortools.sat.python.cp_model")

SIZES = {
    "size": 6, "cavity": 24, "body": 4, "rotor": 6, "stator": 8,
    "seal": 6, "drive": 14, "mixing": 1, "outlet": 80, "feed": 7,
}  # fmt: skip
PAIRS = [
    ("size", "body", 0.6), ("size", "drive", 0.5), ("cavity", "stator", 0.8),
    ("cavity", "rotor", 0.8), ("rotor", "stator", 0.8), ("body", "seal", 0.7),
    ("rotor", "seal", 0.8), ("seal", "drive", 0.8), ("outlet", "feed", 0.7),
    ("body", "outlet", 0.8), ("mixing", "outlet", 0.9), ("size", "feed", 0.7),
    ("body", "feed", 0.7),
]  # fmt: skip


def catalog_sized(sizes):
    """Ten slots, invented tables of the shape of a parts catalog."""
    rng = np.random.default_rng(5)

    def shape(scope):
        return [sizes[slot] for slot in scope]

    of_size = np.arange(sizes["cavity"])[None, :] * 6 // sizes["cavity"] == np.arange(6)[:, None]
    relations = [Relation("size of cavity", ("size", "cavity"), of_size)]
    relations += [
        Relation(f"{a} with {b}", (a, b), rng.random(shape((a, b))) < p) for a, b, p in PAIRS
    ]
    wide = ("cavity", "stator", "outlet")
    relations += [
        Relation(f"wide {number}", wide, rng.random(shape(wide)) < 0.85) for number in range(4)
    ]
    thresholds = [
        Threshold(
            f"limit {number}",
            wide,
            rng.integers(0, 1_000_000, shape(wide)),
            allow,
            rng.integers(300_000, 1_500_000, shape(allow)),
        )
        for number, allow in enumerate([("drive",), ("cavity", "drive"), ("cavity", "drive")])
    ]
    return relations, thresholds


def cp_sat(sizes, relations, thresholds, picks):
    """The same constraints as allowed tuples and element look-ups."""
    model = cp_model.CpModel()
    slots = {slot: model.new_int_var(0, size - 1, slot) for slot, size in sizes.items()}
    for each in relations:
        model.add_allowed_assignments(
            [slots[slot] for slot in each.scope], np.argwhere(each.allowed).tolist()
        )

    def looked_up(scope, table):
        place = sum(
            slots[slot] * int(np.prod(table.shape[axis + 1 :])) for axis, slot in enumerate(scope)
        )
        number = model.new_int_var(int(table.min()), int(table.max()), "")
        model.add_element(place, table.reshape(-1).tolist(), number)
        return number

    for each in thresholds:
        model.add(looked_up(each.need_scope, each.need) <= looked_up(each.allow_scope, each.allow))
    for slot, value in picks.items():
        model.add(slots[slot] == value)
    return model, slots


def test_cp_sat_agrees_on_what_remains_and_on_the_cheapest_build():
    sizes = {**SIZES, "cavity": 12, "outlet": 16}
    relations, thresholds = catalog_sized(sizes)
    space = BuildSpace(sizes, relations, thresholds)
    first = space.pareto({})[0].build
    picks = {"body": first["body"], "drive": first["drive"], "seal": first["seal"]}
    remaining = space.remaining(picks)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    for slot in ("stator", "rotor"):
        for value, left in enumerate(remaining[slot].tolist()):
            model, _ = cp_sat(sizes, relations, thresholds, {**picks, slot: value})
            feasible = solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
            assert feasible == (left > 0), (slot, value)

    rng = np.random.default_rng(8)
    costs = [((slot,), rng.integers(0, 1000, size)) for slot, size in sizes.items()]
    model, slots = cp_sat(sizes, relations, thresholds, picks)
    figures = []
    for (slot,), table in costs:
        figure = model.new_int_var(0, 1000, "")
        model.add_element(slots[slot], table.tolist(), figure)
        figures.append(figure)
    model.minimize(sum(figures))
    assert solver.solve(model) == cp_model.OPTIMAL
    assert space.pareto({"cost": costs}, picks)[0].figures["cost"] == round(solver.objective_value)


def test_conflict_names_the_blocking_members_at_scale():
    relations, thresholds = catalog_sized(SIZES)
    space = BuildSpace(SIZES, relations, thresholds)
    picks = {"cavity": 3, "size": 4, "outlet": 11, "feed": 2}
    conflict = space.conflict(picks)
    assert sorted(member.name for member in conflict) == ["cavity", "size", "size of cavity"]
