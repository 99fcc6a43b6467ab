"""Changed requests on the shipped catalog: the same as when each is put anew."""

from __future__ import annotations

import pytest
from draws import ALL, draws
from every_combination import SETTINGS
from hypothesis import given, settings
from hypothesis import strategies as st
from random_worlds import two_part_worlds, worlds
from shipped import shipped_answer
from two_part_world import TWO_PART

from configurator.explain.adjustment import adjustments_of, with_adjustment
from configurator.explain.counts import Counts
from configurator.explain.ends import wide_data
from configurator.explain.gap_cost import DataGaps
from configurator.explain.what_if import WhatIf
from configurator.physics.domain import PhysicsDomainError
from configurator.rules import ruleset
from configurator.workshop.workshop import Workshop

ADJUSTED = [
    ("hull-paste", "hull-seam", "a.flow", 1.3),
    ("hull-paste", "hull-seam", "mix.ratio_tolerance", 0.3),
    ("bay-potting", "bay-potting-pour", "process.deposit.volume", 1.5),
    ("bracket-acrylate", "bracket-bead", "b.flow", 0.5),
    ("cable-cast", "cable-exit-cast", "process.back_pressure", 2e5),
    ("void-filler", "void-pour", "a.filler.d99", 2.2),
    ("mast-compound", "gland-fill", "component.flow", 1.5),
    ("hinge-grease", "hinge-dots", "process.carrier.payload", 0.2),
]


@pytest.mark.parametrize(
    ("material", "process", "field", "setting"), ADJUSTED if ALL else ADJUSTED[1::2]
)
def test_a_changed_request_has_the_builds_that_it_has_when_put_anew(
    material, process, field, setting
):
    stated = shipped_answer(material, process)
    asked = WhatIf(stated)
    every = adjustments_of(asked.question)
    adjustment = next(each for each in every if each.field == field and each.continuous)
    changed = with_adjustment(adjustment, asked.question, setting)
    assert changed is not None
    anew = Workshop(stated.subject.catalog).answer(changed)
    assert Counts.of(anew) != Counts.of(stated)
    assert asked.counts(changed) == Counts.of(anew)
    assert asked.exists(changed) == bool(anew.count)
    (first,) = anew.builds(limit=1) or (None,)
    assert asked.best(changed) == (first and (first.state, first.parts))


@pytest.mark.parametrize(
    ("material", "process"),
    [
        ("void-filler", "void-pour"),  # one datum that is estimated as it stands is stated there
        ("mast-compound", "gland-fill"),
        ("bay-potting", "contact-dots"),  # no build, whatever the material
        *([("bracket-acrylate", "bracket-bead")] if ALL else []),
    ],
)
def test_many_materials_at_once_have_the_builds_of_each_put_anew(material, process):
    stated = shipped_answer(material, process)
    asked = WhatIf(stated)
    gaps = DataGaps.of(stated)
    wide = [end for _, _, ends in wide_data(asked.question.material) for end in ends]
    changed = [asked.question.having(end.values) for end in (*gaps.ends, *wide) if not end.records]
    found = asked.counts_of(changed)
    workshop = Workshop(stated.subject.catalog)
    assert found[::3] == [WhatIf(stated).counts(question) for question in changed[::3]]
    assert found[::12] == [Counts.of(workshop.answer(question)) for question in changed[::12]]


@settings(SETTINGS, max_examples=draws(6, 15))
@given(st.one_of(worlds(), two_part_worlds()), st.data())
def test_so_they_have_in_worlds_that_nobody_chose(world, data):
    every = [each for each in adjustments_of(world.question) if each.continuous]
    changed = []
    for adjustment in data.draw(st.lists(st.sampled_from(every), min_size=2, max_size=6)):
        setting = data.draw(st.sampled_from(adjustment.settings))
        if (question := with_adjustment(adjustment, world.question, setting)) is not None:
            changed.append(question)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ruleset, "NARROW_UP_TO", data.draw(st.sampled_from([20_000, 1])))
        assert WhatIf(world.answer).counts_of(changed) == [
            Counts.of(Workshop(world.catalog).answer(question)) for question in changed
        ]


def test_a_request_that_no_formula_reaches_has_none(monkeypatch):
    asked = WhatIf(TWO_PART.answer)

    def beyond(*_: object) -> None:
        raise PhysicsDomainError("flow_rate must be positive")

    monkeypatch.setattr(asked, "subject", beyond)
    assert asked.counts(asked.question) == Counts(0, 0, 0)
    assert asked.best(asked.question) is None
    assert not asked.exists(asked.question)


@pytest.mark.parametrize("factor", [0.1001, 1 / 6, 0.77])
def test_a_count_moves_from_one_whole_number_to_another(factor):
    question = shipped_answer("gap-filler", "gap-filler-pads").subject.question
    field = "process.production.parts_per_shift"
    adjustment = next(each for each in adjustments_of(question) if each.field == field)
    changed = with_adjustment(adjustment, question, factor)
    assert changed is not None
    found = changed.process.production.parts_per_shift
    assert found is not None
    assert found.nominal == round(1200 * factor)


def test_one_material_flows_otherwise_where_the_process_is_warmer():
    stated = shipped_answer("hinge-grease", "hinge-dots")
    asked = WhatIf(stated)
    every = adjustments_of(asked.question)
    warmer = next(each for each in every if each.field == "process.temperature")
    flows = [asked.subject(asked.question).outlet_fluid.nominal]
    for setting in warmer.settings:
        changed = with_adjustment(warmer, asked.question, setting)
        assert changed is not None
        found = asked.subject(changed).outlet_fluid.nominal
        anew = Workshop(stated.subject.catalog).answer(changed).subject.outlet_fluid.nominal
        assert found == anew
        flows.append(found)
    assert len(set(flows)) == len(flows) > 1
