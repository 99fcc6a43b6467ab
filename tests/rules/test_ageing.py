"""How old a mix gets between two deposits, on shipped parts and worked by hand.

The tube of 16 mm and 24 elements of 1.5 bores at 75 % holds 58 mL; the one of 10 mm 21.2 mL.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from shipped import EXAMPLES, shipped_catalog
from two_part_world import TWO_PART

from configurator.catalog.parts import Mixing
from configurator.chemistry.evidence import Evidence
from configurator.explain.measure import measurements
from configurator.explain.why import why
from configurator.request.load import load_material, process_from
from configurator.request.question import Question
from configurator.rules.case import Case
from configurator.rules.finding import State
from configurator.rules.frame import Frame
from configurator.workshop.answering import parts_of, subject_of


def tube_of(case: Case, name: str) -> tuple[float, float, float]:
    """Volume of a shipped tube, and the least and the most that its mix is old."""
    place = [part.name for part in case.frame.parts["mixing"]].index(name)
    age = case.mixer.age(case.duty.flow)
    ends = (np.asarray(each).reshape(-1)[place] for each in (case.mixer.volume, age.kind, age.hard))
    volume, least, most = map(float, ends)
    return volume, least, most


def dots_of(volume: str, dispense_time: str, cycle_time: str | None) -> Case:
    """Two-part dots at the temperature of the pot life."""
    process = process_from(
        {
            "schema": 1,
            "name": "dots",
            "title": "Dots",
            "tolerance": "10 %",
            "temperature": "23 degC",
            "feed_pressure": "4 bar",
            "deposit": {"kind": "dots", "volume": volume, "dispense_time": dispense_time},
            "production": {} if cycle_time is None else {"cycle_time": cycle_time},
        },
        "own",
    )
    question = Question(load_material("gap-filler", folder=EXAMPLES), process)
    catalog = shipped_catalog()
    subject = subject_of(question, catalog, Evidence())
    return Case(subject, Frame(parts_of(question, catalog)))


@pytest.mark.parametrize(
    ("volume", "time", "cycle", "shots_a_minute"),
    [("0.5 mL", "1 s", "60 s", 1), ("50 uL", "1 s", "20 s", 3)],
)
def test_a_mix_ages_by_the_cycle_and_not_by_the_flow_of_a_shot(volume, time, cycle, shots_a_minute):
    """Half a millilitre a minute takes a tube of 21.2 mL 42 min, not the 42 s of the running shot."""
    case = dots_of(volume, time, cycle)
    held, least, most = tube_of(case, "ribbon-10x24")
    shot = {"0.5 mL": 0.5e-6, "50 uL": 50e-9}[volume]
    mean = held / shot / shots_a_minute * 60.0
    assert held == pytest.approx(0.75 * math.pi / 4 * 1e-6 * 100 * 24 * 0.015, rel=1e-9)
    assert least == pytest.approx(1.2 * mean)
    assert 1.5 * mean <= most <= 1.5 * mean + 60.0
    assert mean > 40 * 60.0


def test_a_flow_without_an_end_ages_by_the_flow_alone():
    ages = [
        TWO_PART.having(
            {
                "process.deposit": {"kind": "flow", "flow": "30..60 mL/min"},
                "process.production.cycle_time": cycle,
            }
        ).findings("residence against pot life")[0]
        for cycle in (None, "1 min")
    ]
    volume = 0.8 * math.pi / 4 * 1e-4 * 0.16
    assert [age.demand for age in ages] == pytest.approx([1.5 * volume / 0.5e-6] * 2)


def test_shots_without_a_pause_are_a_flow():
    """5 mL in 5 s, one in 5 s: the slowest layers take 1.5 times the volume over the flow."""
    steady = TWO_PART.having({"process.production.cycle_time": "5 s"})
    (age,) = steady.findings("residence against pot life")
    assert age.demand == pytest.approx(1.5 * 0.8 * math.pi / 4 * 1e-4 * 0.16 / 1e-6)


def test_the_finding_says_what_to_tell():
    untold = TWO_PART.having({"process.production.cycle_time": None})
    for rule in ("residence against pot life", "longest stop against pot life"):
        (finding,) = untold.findings(rule)
        assert finding.state is State.UNPROVEN
        assert finding.reason.endswith("tell the cycle time (production.cycle_time of the process)")
    assert not any(
        "tell the" in finding.reason
        for rule in ("residence against pot life", "longest stop against pot life")
        for finding in TWO_PART.findings(rule)
    )


def test_pressures_of_a_mix_of_unknown_age_are_those_of_the_oldest_that_is_let_through():
    """A tenth of a pot life that doubles the viscosity thickens by 2^0.1 at most."""
    doubling = {"mix.pot_life.definition": "viscosity doubles"}
    rated = "pressure in the housing"
    untold, fresh, old = (
        TWO_PART.having({**doubling, "process.production.cycle_time": cycle, **life}).findings(
            rated
        )
        for cycle, life in (
            (None, {}),
            ("5 s", {"mix.pot_life.value": "10000 h"}),
            ("5 s", {"mix.pot_life.value": f"{10 * 15.0796447372} s"}),
        )
    )
    assert fresh[0].demand < untold[0].demand
    assert untold[0].demand == pytest.approx(old[0].demand)


def test_an_unknown_age_hides_no_overload():
    """A tip that even a fresh mix overloads is out, whatever the cycle time."""
    untold = TWO_PART.having(
        {
            "process.production.cycle_time": None,
            "outlet.bore": "0.4 mm",
            "outlet.entry_bore": "2 mm",
        }
    )
    assert untold.findings("pressure in the housing")[0].state is State.RULED_OUT


def test_a_gel_time_is_more_than_one_doubling():
    """The same time, said to be a doubling or a gel: the tip sees up to eight doublings of it."""
    found = {}
    for definition in ("viscosity doubles", "gel time", "cup temperature", "not stated"):
        world = TWO_PART.having({"mix.pot_life.definition": definition})
        found[definition] = world.findings("pressure at the mixer")[0].demand
    assert found["viscosity doubles"] < found["gel time"] < found["cup temperature"]
    assert found["cup temperature"] == found["not stated"]


def test_measuring_asks_for_the_cycle_time_first():
    answer = TWO_PART.having({"process.production.cycle_time": None}).answer
    first = measurements(answer).useful[0]
    assert first.field == "process.production.cycle_time"
    assert first.settled == answer.counts[State.UNPROVEN] > 0
    assert [end.text for end in first.ends] == [
        "5 s, as far as is believable",
        "60 min, as far as is believable",
    ]


def test_a_shorter_cycle_is_a_way_out():
    """One shot in 200 s leaves the mix 603 s old at least, where 360 s are allowed."""
    slow = TWO_PART.having({"process.production.cycle_time": "200 s"})
    remedies = why(slow.answer).remedies
    assert remedies is not None
    moves = [move for remedy in remedies.single for move in remedy.moves]
    (cycle,) = (move for move in moves if move.adjustment.field == "process.production.cycle_time")
    assert cycle.adjustment.title == "cycle time"
    least = 1.2 * 0.8 * math.pi / 4 * 1e-4 * 0.16 / 5e-6
    assert cycle.setting * 200.0 * least == pytest.approx(360.0, rel=0.01)


def test_every_shipped_device_is_a_tube_or_a_chamber_of_known_volume():
    mixers = [part for part in shipped_catalog().slot("mixing") if isinstance(part, Mixing)]
    case = dots_of("6 mL", "12 s", "20 s")
    known = np.isfinite(np.asarray(case.mixer.volume).reshape(-1))
    assert known.all()
    assert len(mixers) == known.size
