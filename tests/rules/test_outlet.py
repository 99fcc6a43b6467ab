"""Bores: dots by volume have a width too, and practice says where a bore is out of the question."""

from __future__ import annotations

from math import radians

import pytest
from small_world import WORLD

from configurator.physics.deposit import dot_height, dot_volume
from configurator.rules.finding import State

FINE, WIDE = "bore fine enough for the deposit", "bore wide enough for the deposit"


def dots(**changes: str):
    """The small world with dots by volume."""
    return WORLD.having({"process.deposit": {"kind": "dots", "dispense_time": "1 s", **changes}})


def volume(millimetres: float, degrees: float) -> str:
    """The volume of a dot so wide, by the cap's own geometry."""
    across = millimetres * 1e-3
    height = dot_height(diameter=across, contact_angle=radians(degrees))
    return f"{float(dot_volume(diameter=across, height=height))!r} m^3"


def test_oil_by_volume_through_a_bore_as_wide_as_its_dot_is_out():
    """A 0.4 uL dot is 0.8 to 2 mm wide: a bore of 2 mm lays none of them."""
    finding = dots(volume="0.4 uL").finding(FINE)
    assert finding.state is State.RULED_OUT


def test_a_volume_that_might_spread_wide_enough_has_to_prove_it():
    finding = dots(volume="8 uL").finding(FINE)
    assert finding.state is State.UNPROVEN
    assert finding.demand == pytest.approx(2 * 1.137 / 2, rel=1e-3)  # a cap of 120 deg, by hand


@pytest.mark.parametrize(
    ("across", "rule", "state"),
    [
        (3.0, FINE, State.FITS),
        (2.999, FINE, State.RULED_OUT),
        (6.0, WIDE, State.FITS),
        (6.01, WIDE, State.MARGINAL),
        (12.01, WIDE, State.RULED_OUT),
    ],
)
@pytest.mark.parametrize("degrees", [30.0, 90.0, 120.0])
def test_a_stated_contact_angle_gives_the_width_that_a_diameter_would(across, rule, state, degrees):
    shaped = dots(diameter=f"{across} mm", contact_angle=f"{degrees} deg")
    poured = dots(volume=volume(across, degrees), contact_angle=f"{degrees} deg")
    assert shaped.finding(rule).state is state
    assert poured.finding(rule).state is state


def test_a_fine_needle_under_a_wide_bead_is_out():
    bead = {"kind": "bead", "width": "4 mm", "contact_angle": "90 deg", "path_speed": "10 mm/s"}
    world = WORLD.having({"process.deposit": bead, "outlet.bore": "0.413 mm"})
    assert world.finding(WIDE).state is State.RULED_OUT


def test_a_volume_without_a_contact_angle_is_a_gap_and_one_with_it_is_none():
    def asked(world):
        return [note.field for note in world.answer.subject.filled.notes if "deposit" in note.field]

    assert asked(dots(volume="8 uL")) == ["process.deposit.contact_angle"]
    assert asked(dots(volume="8 uL", contact_angle="60 deg")) == []
