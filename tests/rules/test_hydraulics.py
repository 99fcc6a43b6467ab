"""Pressure, slip and speed: cut to fewer parts, handed to other requests, and without slip."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from small_catalog import SMALL

from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.rules.applied import apply_rule, judgements
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.rules.rotation import Rotation
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answering import parts_of, subject_of

PAIRS = [
    ("lid-sealant", "lid-bead"),
    ("bearing-oil", "pulley-drops"),
    ("hull-paste", "hull-seam"),
]
BOUNDS = ("speed", "slip_error")
ENDS = ("kind", "nominal", "hard")


@cache
def catalog() -> Catalog:
    shipped = shipped_folder()
    return load_catalog(shipped / "generic", substances=shipped / "substances")


def case_of(material: str, process: str, every: int = 4) -> Case:
    """A request over a grid of every so many parts of each slot."""
    examples = shipped_folder() / "examples"
    question = Question(
        load_material(material, folder=examples), load_process(process, folder=examples)
    )
    parts = {slot: entries[::every] for slot, entries in parts_of(question, catalog()).items()}
    return Case(subject_of(question, catalog(), None), Frame(parts))


def worked_out(case: Case) -> list[np.ndarray]:
    figures = [case.outlet.fast, case.outlet.slip_slow]
    for side in case.sides:
        bounds = [getattr(side.rotation, name) for name in BOUNDS]
        figures += [getattr(bound, end) for bound in bounds for end in ENDS]
    return figures


@pytest.mark.parametrize(("material", "process"), PAIRS)
def test_what_is_known_over_more_parts_is_cut_to_what_fewer_parts_give(
    material, process, monkeypatch
):
    whole = case_of(material, process)
    live = {slot: np.arange(1, len(parts), 2) for slot, parts in whole.frame.parts.items()}
    anew = worked_out(Case(whole.subject, whole.frame.only(live)))
    worked_out(whole)
    monkeypatch.setattr(Rotation, "slip", None)
    monkeypatch.setattr(Rotation, "_leaks", None)
    for fewer in (whole.only(live), whole.only({}).only(live)):
        for cut, expected in zip(worked_out(fewer), anew, strict=True):
            # Over fewer stators a figure may be the same of all, and one number.
            np.testing.assert_array_equal(*np.broadcast_arrays(cut, expected))


def test_tips_without_a_tolerance_are_cut_from_a_grid_with_one():
    loose = {"name": "loose", "bore": "2 mm +/- 5 %"}
    world = SMALL.with_parts({"outlet": [loose, {}]}).having(
        {"cavity.opening_pressure": "0.05 bar"}
    )
    subject = subject_of(world.question, world.catalog, None)
    whole = Case(subject, Frame(parts_of(world.question, world.catalog)))
    (exact,) = (
        place
        for place, tip in enumerate(whole.frame.parts["outlet"])
        if tip.bore.low == tip.bore.high
    )
    live = {"outlet": np.array([exact])}
    anew = worked_out(Case(subject, whole.frame.only(live)))

    for cut, expected in zip(worked_out(whole.only(live)), anew, strict=True):
        np.testing.assert_array_equal(np.broadcast_to(cut, expected.shape), expected)


@pytest.mark.parametrize(("material", "process"), PAIRS)
def test_rows_of_builds_have_the_speeds_of_the_grid(material, process):
    grid = case_of(material, process)
    slots = grid.frame.slots
    draw = np.random.default_rng(1)
    rows = np.stack([draw.integers(0, len(grid.frame.parts[slot]), 200) for slot in slots], axis=1)
    builds = Case(grid.subject, grid.frame.with_rows(rows))
    for side, row_side in zip(grid.sides, builds.sides, strict=True):
        for name in BOUNDS:
            for end in ENDS:
                table = getattr(getattr(side.rotation, name), end)
                places = tuple(
                    rows[:, axis] if table.shape[axis] > 1 else 0 for axis in range(len(slots))
                )
                listed = getattr(getattr(row_side.rotation, name), end)
                np.testing.assert_array_equal(listed, table[places])


@pytest.mark.parametrize(("material", "process"), PAIRS)
def test_what_is_too_fast_without_slip_is_too_fast_with_it(material, process):
    case = case_of(material, process)
    growing = [pair for pair in judgements(case, RULEBOOK) if pair[0].grows_with_slip]
    assert {rule.name for rule, _ in growing} >= {"rotor speed against the drive"}
    least = case.without_slip
    for (rule, side), (_, least_side) in zip(
        growing,
        (pair for pair in judgements(least, RULEBOOK) if pair[0].grows_with_slip),
        strict=True,
    ):
        applied, bound = apply_rule(case, rule, side), apply_rule(least, rule, least_side)
        assert applied is not None
        assert bound is not None
        assert (bound.states <= applied.states).all()
    axis = case.frame.slots.index("outlet")
    assert all(side.rotation.speed.hard.shape[axis] == 1 for side in least.sides)


def test_some_rotors_are_too_fast_whatever_slips():
    case = case_of("hull-paste", "hull-seam").without_slip
    growing = [pair for pair in judgements(case, RULEBOOK) if pair[0].grows_with_slip]
    applied = (apply_rule(case, rule, side) for rule, side in growing)
    out = [(each.outcome.states == State.RULED_OUT).mean() for each in applied if each]
    assert 0.05 < max(out) < 0.95


def test_an_unknown_slip_rules_nothing_out_without_slip_either():
    case = case_of("lid-sealant", "lid-bead")
    unknown = replace(case.subject.fluids[0], density=float("nan"))
    subject = replace(case.subject, fluids=(unknown,))
    silent = Case(subject, case.frame).without_slip
    assert np.isnan(silent.sides[0].rotation.speed.hard).all()


def test_requests_that_flow_alike_share_one_hydraulics():
    case = case_of("lid-sealant", "lid-bead")
    examples = shipped_folder() / "examples"
    question = case.subject.question
    again = subject_of(question, catalog(), None)
    assert case.under(again).hydraulics is case.hydraulics
    other = Question(question.material, load_process("cap-dots", folder=examples))
    moved = case.under(subject_of(other, catalog(), None))
    assert moved.hydraulics is not case.hydraulics
    assert moved.hydraulics.seals is case.hydraulics.seals
