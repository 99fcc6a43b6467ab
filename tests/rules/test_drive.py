"""The room around a drive, where the material is warmer than it."""

from __future__ import annotations

import pytest
from small_world import WORLD

from configurator.rules.finding import State

HEATED = {"process.temperature": "60 degC", "drive.temperature_high": "50 degC"}


@pytest.mark.parametrize(
    ("room", "state"),
    [
        (None, State.RULED_OUT),
        ("20..30 degC", State.MARGINAL),  # how much of 60 degC comes through to it nobody knows
        ("52 degC", State.RULED_OUT),
    ],
)
def test_a_drive_stands_in_the_room_and_not_in_the_material(room, state):
    found = WORLD.having(HEATED | {"process.room_temperature": room}).finding("drive temperature")
    assert found.state is state
    assert found.reason.endswith("and a head at 60 degC warms it") == (room is not None)
    assert ("without a room_temperature" in found.reason) == (room is None)


def test_stator_and_seal_are_as_warm_as_the_material():
    warm = HEATED | {"process.room_temperature": "20 degC", "seal.temperature_high": "50 degC"}
    assert WORLD.having(warm).finding("temperature of the shaft seal").state is State.RULED_OUT


def test_a_cool_material_leaves_a_drive_to_the_room():
    cool = {"process.temperature": "5 degC", "drive.temperature_low": "10 degC"}
    assert WORLD.having(cool).finding("drive temperature").state is State.RULED_OUT
    room = WORLD.having(cool | {"process.room_temperature": "20 degC"})
    assert room.finding("drive temperature").state is State.FITS
