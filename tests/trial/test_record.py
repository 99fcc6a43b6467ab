"""What a trial leaves behind, and what the next question makes of it."""

from __future__ import annotations

import numpy as np
import pytest
from simulated_head import SimulatedHead, filled

from configurator.request.question import Question
from configurator.trial.evaluate import evaluate
from configurator.trial.form_reader import read_weighings
from configurator.trial.head import case_of, one
from configurator.trial.records import records_of
from configurator.units.interval import Basis
from configurator.workshop.head_record import HeadRecord, add_records, load_records
from configurator.workshop.measured_head import with_records
from configurator.workshop.workshop import Workshop


@pytest.fixture
def record(planned):
    """The record of a simulated head; slip as a share of the slowest flow at the top of the map.

    Where that takes the tolerance the head is rejected: what a record says is another question.
    """

    def made(share: float, opening: float = 0.0, material: str = "lid-sealant") -> HeadRecord:
        plan = planned(material)
        side = plan.sides[0]
        slow = side.displacement * min(run.speed for run in plan.of("line", side=side.name))
        highest = max(run.pressure for run in plan.of("pressure map"))
        slip = share * slow / highest
        head = SimulatedHead(off=0.03, slip=slip, opening=opening, highest=highest, noise=0.002)
        found = evaluate([read_weighings(filled(plan, head), "own.csv")])
        assert found.verdict.word == ("reject" if share > 0.1 else "accept")
        return records_of(found)[0].model_copy(update={"verdict": "accept"})

    return made


def test_a_record_says_what_was_measured(record):
    found = record(0.06)

    assert found.displacement_ml == pytest.approx(0.8 * 1.03, rel=0.006)
    assert found.slip_shows
    assert found.verdict == "accept"
    assert found.material == "lid-sealant"


def test_adding_the_same_twice_changes_nothing(record, tmp_path):
    path = tmp_path / "shop" / "found.jsonl"
    found = record(0.2)

    assert add_records(path, [found]) == 1
    before = path.read_bytes()
    assert add_records(path, [found, found]) == 0
    assert path.read_bytes() == before
    assert load_records(path) == ((found,), ())


def test_lines_of_other_kinds_and_broken_ones_are_kept_apart(record, tmp_path):
    path = tmp_path / "found.jsonl"
    path.write_text('{"kind": "immersion", "material": "NBR"}\nnot JSON\n{"kind": "head trial"}')
    add_records(path, [record(0.2)])
    found, faults = load_records(path)

    assert len(found) == 1
    assert len(faults) == 1
    assert "line 3" in faults[0].line()
    assert path.read_text().startswith('{"kind": "immersion"')


@pytest.mark.parametrize(("share", "opening"), [(0.2, 0.0), (0.25, 0.35)])
def test_the_next_answer_uses_measured_displacement_and_slip(
    record, built, catalog, share, opening
):
    found = record(share, opening)
    answer, build, _ = built("lid-sealant")
    measured = with_records(catalog, [found], answer.subject.question.material)
    again = Workshop(measured).answer(answer.subject.question)
    parts = {slot: measured.part(slot, part.name) for slot, part in build.parts.items()}
    case = case_of(again.subject, parts)
    side = case.sides[0]
    cavity = parts["cavity"]
    pressure = np.full((1, *(1,) * case.frame.ndim), found.pressure_bar * 1e5)
    slip = side.rotation.slip(pressure, found.displacement_ml * 1e-6 * found.speed_rpm / 60.0)
    middle = (one(slip.low[1]) + one(slip.high[1])) / 2.0

    assert cavity.displacement.nominal == pytest.approx(found.displacement_ml * 1e-6)
    assert cavity.displacement.basis is Basis.MEASURED
    assert middle == pytest.approx(found.slip_ml_min / 6e7, rel=0.02)
    assert one(side.rotation.seals.factor) == pytest.approx(1.2)
    assert measured.sha256 != catalog.sha256
    assert "measured" in measured.where


def test_other_materials_and_rejected_heads_leave_the_catalog_as_it_is(record, built, catalog):
    found = record(0.2)
    own, other = (
        built(name)[0].subject.question.material for name in ("lid-sealant", "bearing-oil")
    )
    rejected = found.model_copy(update={"verdict": "reject"})

    assert with_records(catalog, [found], other) is catalog
    assert with_records(catalog, [rejected], own) is catalog
    assert with_records(catalog, [], own) is catalog


def test_of_two_trials_the_last_one_counts(record, built, catalog):
    found = record(0.2)
    later = found.model_copy(update={"displacement_ml": 0.81, "date": "2026-05-01"})
    material = built("lid-sealant")[0].subject.question.material
    cavity = with_records(catalog, [found, later], material).part("cavity", found.cavity)

    assert cavity.displacement.nominal == pytest.approx(0.81e-6)


def test_the_measured_head_moves_the_figures_of_its_builds(record, built, catalog):
    answer, build, _ = built("lid-sealant")
    question = answer.subject.question
    picked = Question(
        material=question.material,
        process=question.process,
        picks={slot: part.name for slot, part in build.parts.items()},
    )
    measured = with_records(catalog, [record(0.0)], question.material)
    before, after = (
        Workshop(each).answer(picked).builds(limit=1)[0] for each in (catalog, measured)
    )

    assert after.figures["speed_low_rpm"] == pytest.approx(
        before.figures["speed_low_rpm"] / 1.03, rel=0.01
    )


def test_a_head_that_slips_too_much_is_ruled_out_by_its_own_trial(record, built, catalog):
    answer, build, _ = built("lid-sealant")
    question = answer.subject.question
    names = {slot: part.name for slot, part in build.parts.items()}
    picked = Question(material=question.material, process=question.process, picks=names)
    measured = with_records(catalog, [record(0.2)], question.material)

    assert Workshop(catalog).answer(picked).count == 1
    assert Workshop(measured).answer(picked).count == 0


def test_a_two_part_trial_leaves_a_record_for_each_side(planned, catalog, built):
    plan = planned("bay-potting")
    found = records_of(evaluate([read_weighings(filled(plan, SimulatedHead()), "own.csv")]))
    material = built("bay-potting")[0].subject.question.material
    measured = with_records(catalog, found, material)

    assert [each.side for each in found] == ["a", "b"]
    for each in found:
        assert measured.part("cavity", each.cavity).displacement.basis is Basis.MEASURED


def test_the_drift_of_the_trial_is_kept_with_its_interval(planned):
    """A head that loses 0.4 % an hour."""
    plan = planned("lid-sealant")
    (kept,) = records_of(
        evaluate([read_weighings(filled(plan, SimulatedHead(drift=-0.004)), "own.csv")])
    )

    assert kept.drift_pct_h is not None
    assert kept.drift_half_pct_h is not None
    assert abs(kept.drift_pct_h + 0.4) <= kept.drift_half_pct_h < 0.2


def test_both_sides_on_one_cavity_are_put_together_with_the_worse_slip(planned, catalog, built):
    found = records_of(
        evaluate([read_weighings(filled(planned("hull-paste"), SimulatedHead()), "own.csv")])
    )
    first, second = (
        each.model_copy(
            update={
                "cavity": found[0].cavity,  # whichever the best build has on its second side
                "displacement_ml": 0.80 + 0.02 * place,
                "displacement_half_ml": 0.004,
                "slip_ml_min": 0.2 + 0.1 * place,
                "slip_shows": True,
                "opening_bar": 3.0 - place,
            }
        )
        for place, each in enumerate(found)
    )
    material = built("hull-paste")[0].subject.question.material
    cavity = with_records(catalog, [first, second], material).part("cavity", first.cavity)
    other_way = with_records(catalog, [second, first], material).part("cavity", first.cavity)
    by_itself = with_records(catalog, [second], material).part("cavity", first.cavity)

    assert cavity.displacement.low == pytest.approx(0.796e-6)
    assert cavity.displacement.nominal == pytest.approx(0.81e-6)
    assert cavity.displacement.high == pytest.approx(0.824e-6)
    assert cavity.opening_pressure.nominal == pytest.approx(1e5)  # two stages
    assert cavity.rated_elastomer == other_way.rated_elastomer == by_itself.rated_elastomer


def test_a_later_trial_replaces_both_sides_of_an_earlier_one(planned, catalog, built):
    found = records_of(
        evaluate([read_weighings(filled(planned("hull-paste"), SimulatedHead()), "own.csv")])
    )
    found = [each.model_copy(update={"cavity": found[0].cavity}) for each in found]
    later = found[0].model_copy(update={"trial": "0" * 12, "displacement_ml": 0.9})
    material = built("hull-paste")[0].subject.question.material
    cavity = with_records(catalog, [*found, later], material).part("cavity", found[0].cavity)

    assert cavity.displacement.nominal == pytest.approx(0.9e-6)
