"""The nearest miss of a part: the same whether all combinations are weighed or those of the part."""

from __future__ import annotations

import numpy as np
import pytest
from shipped import shipped_answer

from configurator.explain.conflict import nearest_place
from configurator.rules import applied as applied_module
from configurator.rules.applied import best_states
from configurator.rules.losses import best_partners
from configurator.rules.ruleset import RuleSet

WORLDS = [
    ("lid-sealant", "lid-bead"),
    ("hinge-grease", "hinge-dots"),
    ("mast-compound", "gland-fill"),
]


@pytest.mark.parametrize("pair", WORLDS, ids="-".join)
def test_partners_of_a_wide_rule_are_those_of_the_whole_table(pair, monkeypatch):
    evaluation = shipped_answer(*pair).left.evaluation
    rules: RuleSet = evaluation.rules
    found = []
    for cells in (10**9, 0):
        monkeypatch.setattr(applied_module, "MOST_CELLS", cells)
        told = []
        for judgement in rules.judgements:
            applied = evaluation.applied(judgement, rules.every_kind)
            for slot in () if applied is None or len(judgement.scope) < 2 else judgement.scope:
                some = rules.every_kind[slot][::3]
                told += [best_partners(applied, slot, int(place)) for place in some]
                along = {each: rules.every_kind[each][::2] for each in judgement.scope}
                told.append(best_partners(applied, slot, int(some[-1]), along))
        found.append(told)
    assert found[0] == found[1]
    assert len(found[0]) > 100


@pytest.mark.parametrize("pair", WORLDS, ids="-".join)
def test_the_part_that_comes_nearest_has_the_widest_margin(pair):
    evaluation = shipped_answer(*pair).left.evaluation
    rules: RuleSet = evaluation.rules
    looked = 0
    for judgement in rules.judgements:
        applied = evaluation.applied(judgement, rules.every_kind)
        if applied is None or judgement.rule.words is not None or len(judgement.scope) < 2:
            continue
        for axis, slot in enumerate(judgement.scope):
            out = best_states(applied, slot) > 0
            if not hasattr(applied.outcome, "margins") or out.sum() < 2:
                continue
            margins = np.nan_to_num(applied.table(applied.outcome.margins), nan=-np.inf)
            best = np.moveaxis(margins, axis, 0).reshape(len(out), -1).max(axis=1)
            assert best[nearest_place(applied, slot, out)] == best[out].max()
            looked += 1
    assert looked > 2
