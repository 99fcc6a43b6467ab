"""Each part of the volume error by hand, before the head is weighed and once it is."""

import math
from dataclasses import replace

import numpy as np
import pytest
from flow_ways import AMBIENT, BORE, LENGTH, SHOT, STORED, TIP, V
from measured_cavity import MEASURED
from shipped import shipped_answer, shipped_catalog
from small_world import WORLD
from two_part_world import TWO_PART

from configurator.rules.case import Case
from configurator.rules.error_budget import ErrorSum, error_parts, settling
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.units.interval import Basis
from configurator.workshop.workshop import Workshop

RIGID = {"stator.kind": "rigid"}
SINGLE = ("displacement", "weighing", "slip", "turndown", "temperature")


def case_of(world):
    """The base build of a world as a row."""
    parts = {slot: (part,) for slot, part in world.base_build.items()}
    frame = Frame(parts, np.zeros((1, len(parts)), dtype=np.intp))
    return Case(world.only_base.answer.subject, frame)


def parts_of(world, side=0):
    """Each part of the error: before weighing, and once weighed at the hard end."""
    case = case_of(world)
    return {
        name: (float(np.max(part.before)), float(np.max(part.weighed.hard)))
        for name, part in error_parts(case, case.sides[side]).items()
    }


def test_a_line_without_an_end_has_no_error_of_its_shots():
    assert set(parts_of(WORLD.having({"process.deposit.shot": None}))) == set(SINGLE)


def test_a_displacement_is_off_by_what_practice_says_until_somebody_weighs_it():
    assert parts_of(WORLD)["displacement"] == (0.004, 0.0)
    assert parts_of(WORLD)["weighing"] == (0.0, 0.001)


def test_a_stated_tolerance_of_the_displacement_stands_in_its_place():
    tight = parts_of(WORLD.having({"cavity.displacement": "1 mL/rev +/- 0.05 %"}))

    assert tight["displacement"][0] == pytest.approx(0.0005)
    # A weighing makes nothing worse.
    assert tight["weighing"][1] == pytest.approx(0.0005)


def test_a_shot_is_off_by_the_angle_of_the_rotor_and_never_by_more_than_its_ripple():
    assert parts_of(WORLD)["rotor angle"][1] == pytest.approx(0.003 / (math.pi * 5))
    small = parts_of(WORLD.having({"process.deposit.shot": "0.1 mL"}))
    assert small["rotor angle"][1] == pytest.approx(0.003)


def test_warmth_widens_the_material_and_the_lining_but_no_rigid_stator():
    warm = {"process.temperature": "18..28 degC"}

    assert parts_of(WORLD.having(warm))["temperature"][1] == pytest.approx(5 * 3e-5)
    assert parts_of(WORLD.having(warm | RIGID))["temperature"][1] == pytest.approx(5 * 1e-5)


def test_a_head_that_drifts_with_warmth_alone_is_marginal_for_it_can_be_weighed_again():
    warm = {"process.temperature": "18..28 degC", "practice.stator_drift": "3e-3 1/K"}

    assert WORLD.having(warm).finding("volume error").state is State.MARGINAL


def test_slip_that_does_not_follow_the_flow_is_an_error_where_the_flow_is_turned_down():
    """A closed part at 20 bar: a rigid stator loses 0.1 mL/s at 80 bar, whatever the flow."""
    world = WORLD.having(
        RIGID
        | {
            "process.back_pressure": "20 bar",
            "process.deposit.flow": "30..60 mL/min",
            "process.deposit.shot": None,
        }
    )
    lost = 0.1e-6 * 20 / 80
    # Practice gives slip a factor of two either way.
    assert parts_of(world)["turndown"][1] == pytest.approx(2 * lost * (1 / 0.5e-6 - 1e6), rel=1e-3)
    at_one_flow = world.having({"process.deposit.flow": "60 mL/min"})
    assert parts_of(at_one_flow)["turndown"][1] == 0.0


def test_what_slips_is_off_by_its_whole_before_the_head_is_set():
    """Of a Newtonian liquid at one temperature all slip is set on the scale, and none before."""
    before, weighed = parts_of(WORLD.having(RIGID))["slip"]
    share = 0.1e-6 * TIP / 80e5 / 1e-6

    assert weighed == pytest.approx(0.0, abs=1e-12)
    assert before == pytest.approx(share * (2 - 1 / 2), rel=1e-3)


def test_what_is_stored_counts_whole_before_weighing_and_by_its_change_after_it():
    ranged = {"process.back_pressure": "0..10 bar", "component.bulk_modulus": "0.8..1.2 GPa"}
    before, weighed = parts_of(WORLD.having(ranged))["stored volume"]
    volume = math.pi / 4 * BORE**2 * LENGTH

    def stored(pressure):
        air = 0.001 * (1 - AMBIENT / (AMBIENT + pressure))
        return volume * (pressure / 0.8e9 + air) / SHOT

    assert parts_of(WORLD)["stored volume"][0] == pytest.approx(STORED, rel=1e-9)
    assert before == pytest.approx(stored(TIP + 10e5), rel=1e-6)
    assert weighed == pytest.approx(stored(TIP + 10e5) - stored(TIP), rel=1e-6)


def test_a_plastic_mixer_stores_more_in_its_wall_than_in_the_liquid():
    """Both liquids of 1 GPa; a tube of 2 GPa with radii of 2 to 3: 1 / 333.3 MPa (Lame)."""
    stiff = {"a.bulk_modulus": "1 GPa", "b.bulk_modulus": "1 GPa"}
    world = TWO_PART.having(stiff)
    case = case_of(world)
    pressure = float(case.outlet.fast[2].max())
    tip, mixer = math.pi / 4 * BORE**2 * LENGTH, math.pi / 4 * 0.01**2 * 0.16 * 0.8
    air = 0.001 * (1 - AMBIENT / (AMBIENT + pressure))
    by_hand = (tip + mixer) * (pressure / 1e9 + air) + mixer * pressure * 3e-9
    before, _ = parts_of(world)["stored volume"]

    assert before == pytest.approx(by_hand / SHOT, rel=1e-6)
    assert float(settling(case).max()) == pytest.approx(by_hand / 1e-6, rel=1e-6)


def test_lasting_parts_are_added_and_those_of_each_shot_count_in_quadrature():
    case = case_of(WORLD.having({"process.temperature": "18..22 degC"}))
    whole = ErrorSum.of(error_parts(case, case.sides[0]), weighed=True)
    told = whole.against(case.duty.tolerance, case).whole.demand
    encoder, backlash = V / 1000 / SHOT, V * math.radians(0.1) / (2 * math.pi) / SHOT
    anew = math.sqrt(encoder**2 + backlash**2 + (0.003 / (5 * math.pi)) ** 2)
    total = 0.001 + 2 * 3e-5 + anew

    assert float(told.hard.max()) == pytest.approx(math.ceil(total * 1e5) / 1e5, rel=1e-9)


def test_no_figure_is_finer_than_what_the_budget_leaves_out():
    coarse = WORLD.having({"practice.error_left_out": "0.1 %"})
    finding = coarse.finding("volume error")

    # 0.1 % of the weighing and a fiftieth of that for each shot.
    assert finding.demand == pytest.approx(0.002)
    at = {
        tolerance: coarse.having({"process.tolerance": tolerance})
        for tolerance in ("0.2 %", "0.19 %")
    }
    assert at["0.2 %"].finding("volume error").state is State.FITS
    assert at["0.19 %"].finding("volume error").state is State.RULED_OUT
    assert at["0.19 %"].only_base.answer.count == 0
    assert at["0.2 %"].only_base.answer.count == 1


def test_a_head_that_holds_only_once_it_is_weighed_is_marginal_and_says_so():
    world = WORLD.having({"process.tolerance": "0.3 %"})
    before = world.finding("volume error before weighing")

    assert world.finding("volume error").state is State.FITS
    assert before.state is State.MARGINAL
    assert "most of it displacement (0.4 %)" in before.reason
    assert "has to be set on the scale first" in before.reason
    assert world.only_base.answer.counts[State.MARGINAL] == 1


def test_what_nobody_knows_leads():
    finding = WORLD.having({"component.density": None}).finding("volume error")

    assert "most of it slip (unknown)" in finding.reason


def test_a_known_part_alone_rules_a_head_out_whatever_may_slip():
    """A play of 30 degrees is a twelfth of a turn, and 1.7 % of a shot of five turns."""
    world = WORLD.having({"component.density": None, "drive.backlash": "30 deg"})
    finding = world.finding("volume error")

    assert finding.state is State.RULED_OUT
    assert "at least" in finding.reason


def test_a_measured_displacement_counts_with_its_interval_and_its_basis():
    """Measured to 0.8 +/- 0.008 mL: 1 %, where practice says 3 %."""
    question = shipped_answer("lid-sealant", "lid-bead").question
    question = replace(question, picks={"cavity": MEASURED.cavity})

    head = MEASURED.model_copy(
        update={
            "displacement_ml": 0.8,
            "displacement_half_ml": 0.008,
            "slip_ml_min": 0.0,
            "slip_shows": False,
        }
    )

    def budget(*heads):
        answer = Workshop(shipped_catalog(), heads=heads).answer(question)
        return answer.builds()[0].error_budget

    before, after = budget()["displacement"], budget(head)["displacement"]
    assert (before.before, before.basis) == (0.03, Basis.COMMON_PRACTICE)
    assert after.before == pytest.approx(0.01)
    assert after.basis is Basis.MEASURED
    assert budget(head)["weighing"].weighed == 0.005
