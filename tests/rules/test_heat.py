"""Material that is heated or cooled in the head, and stands in the room before it."""

from __future__ import annotations

import pytest
from shipped import shipped_answer
from small_world import WORLD

from configurator.rules.finding import State

RULE = "temperature kept by the feed"
HOT = WORLD.having(
    {"process.temperature": "45..50 degC", "process.room_temperature": "18..30 degC"}
)


@pytest.mark.parametrize(
    ("heated", "state"),
    [(None, State.UNPROVEN), (True, State.FITS), (False, State.RULED_OUT)],
)
def test_a_feed_in_the_room_keeps_no_material_hot_unless_the_catalog_says_so(heated, state):
    finding = HOT.having({"feed.heated": heated}).finding(RULE)
    assert finding.state is state
    if heated is None:
        assert "nobody says that feed cartridge" in finding.reason


def test_a_cold_room_counts_beside_a_head_at_room_temperature():
    cold = {"process.temperature": "20..28 degC", "process.room_temperature": "0..5 degC"}
    assert WORLD.having(cold).finding(RULE).state is State.UNPROVEN


def test_a_heated_feed_keeps_nothing_cool():
    cool = {"process.temperature": "5..8 degC", "process.room_temperature": "18..30 degC"}
    assert WORLD.having(cool | {"feed.heated": True}).finding(RULE).state is State.UNPROVEN


@pytest.mark.parametrize("room", [None, "18..30 degC", "10..38 degC"])
def test_nothing_is_asked_of_a_room_as_warm_as_the_head_or_little_off(room):
    near = {"process.temperature": "20..28 degC", "process.room_temperature": room}
    assert not WORLD.having(near).findings(RULE)


def test_the_shipped_catalog_has_heated_feeds():
    feeds = shipped_answer("lid-sealant", "lid-bead").subject.catalog.parts["feed"]
    assert {each.kind for each in feeds if each.heated} >= {"pressure pot", "pail follower"}
