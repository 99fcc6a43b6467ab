"""Shipped materials judged in batches: no row takes the long way, and none knows its company."""

from __future__ import annotations

import gc
from dataclasses import replace

import pytest
from shipped import EXAMPLES, shipped_catalog

from configurator.request.load import load_material, load_process
from configurator.request.material import Material
from configurator.rules import categorical
from configurator.screen import judge as judging
from configurator.screen.judge import Judge
from configurator.screen.verdict import Verdict, verdict_on
from configurator.workshop.workshop import Workshop

ONE_PART = ("bearing-oil", "cap-gel", "hinge-grease", "lens-adhesive", "lid-sealant", "scale-ink")
TWO_PART = ("bay-potting", "bracket-acrylate", "cable-cast", "hull-paste", "void-filler")
"""Some with estimated spreads and some without, thick and thin, so that few sizes serve all."""


def materials(names: tuple[str, ...]) -> list[Material]:
    return [load_material(name, folder=EXAMPLES) for name in names]


def refused(*_: object) -> Verdict:
    pytest.fail("a row was judged by itself")


@pytest.mark.parametrize(
    ("names", "process"),
    [(ONE_PART, "lens-ring"), (TWO_PART, "regulator-pads"), (TWO_PART, "cap-dots")],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_batch_gives_the_rows_of_each_material_by_itself(names, process, monkeypatch):
    asked, shop = load_process(process, folder=EXAMPLES), Workshop(shipped_catalog())
    alone = [verdict_on(each, asked, shop) for each in materials(names)]
    monkeypatch.setattr(judging, "verdict_on", refused)

    together = Judge(asked, shop).verdicts(materials(names))

    for quick, slow in zip(together, alone, strict=True):
        assert replace(quick, margin=None) == replace(slow, margin=None)
        if slow.margin is not None:
            assert quick.margin == pytest.approx(slow.margin, rel=1e-9)


def test_the_reason_of_a_row_without_builds_is_the_nearest_miss():
    """Grit wants a large cavity and the shot a small one: either alone would mislead."""
    asked = load_process("cap-dots", folder=EXAMPLES)

    (row,) = Judge(asked, Workshop(shipped_catalog())).verdicts(materials(("thermal-paste",)))

    assert row.state == "ruled out"
    assert row.reason.startswith("largest particle against the cavity: the largest particle is 90")
    assert "; shot in rotor turns: the smallest shot is 0.0" in row.reason


@pytest.mark.parametrize("names", [ONE_PART, TWO_PART], ids=["one-part", "two-part"])
def test_what_a_batch_worked_out_is_let_go_with_it(names):
    """In circles of objects its tables would wait for a look for garbage, batch upon batch."""
    judge = Judge(load_process("hull-seam", folder=EXAMPLES), Workshop(shipped_catalog()))
    listed = materials(names)
    gc.collect()
    gc.disable()
    try:
        judge.verdicts(listed)
        gc.set_debug(gc.DEBUG_SAVEALL)
        gc.collect()
        left = {type(each) for each in gc.garbage}
    finally:
        gc.set_debug(0)
        gc.garbage.clear()
        gc.enable()

    assert not [each for each in left if each.__module__.startswith("configurator")]


@pytest.mark.parametrize("most", [1, 4, 7])
@pytest.mark.parametrize("names", [ONE_PART, TWO_PART], ids=["one-part", "two-part"])
def test_a_long_list_forgets_what_it_kept_and_mixes_nothing_up(names, most, monkeypatch):
    """What was forgotten got the numbers of others: of 5,000 rows some fitted that nobody had named."""
    asked, shop = load_process("cap-dots", folder=EXAMPLES), Workshop(shipped_catalog())
    alone = [verdict_on(each, asked, shop) for each in materials(names)]
    monkeypatch.setattr(judging, "verdict_on", refused)
    monkeypatch.setattr(categorical, "MOST_KEPT", most)
    judge = Judge(asked, shop)

    for _ in range(2):
        for quick, slow in zip(judge.verdicts(materials(names)), alone, strict=True):
            assert replace(quick, margin=None) == replace(slow, margin=None)
