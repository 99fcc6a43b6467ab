"""What minds moisture or a lack of air: said by the data sheet, or brought by a constituent."""

from __future__ import annotations

import pytest
from part_ways import holding
from small_world import WORLD

from configurator.rules.finding import State

DRY = {"feed.keeps_moisture_out": True, "seal.keeps_moisture_out": True}
NITROGEN = "Dry nitrogen"


def told(changes):
    return " ".join(caution.text for caution in WORLD.having(changes).answer.cautions)


@pytest.mark.parametrize(
    "minds",
    [
        {"material.trigger": "moisture"},
        {"component.sensitive_to": ["moisture"]},
        # Neither trigger nor data sheet says it, but an isocyanate cures with moisture.
        holding("isol", "90 %"),
    ],
    ids=["trigger", "data sheet", "isocyanate"],
)
def test_whatever_minds_moisture_brings_the_caution_on_dry_gas(minds):
    assert NITROGEN in told({**DRY, **minds})
    assert NITROGEN not in told(minds | {"feed.keeps_moisture_out": False})


def test_what_does_not_mind_moisture_brings_no_such_caution():
    assert NITROGEN not in told(DRY)


def test_an_anaerobic_monomer_makes_pockets_and_feeds_without_air_count():
    world = WORLD.having({**holding("anaerol", "90 %"), "process.longest_stop": "3 h"})

    assert world.finding("long stop of an anaerobic material").state is State.MARGINAL
    closed = world.having({"feed.air_over_material": False})
    assert closed.finding("air over an anaerobic material").state is State.MARGINAL
