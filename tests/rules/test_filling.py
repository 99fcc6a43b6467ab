"""Filling of the cavity, and shear on the way."""

from flow_ways import LINE, LONG_LINE, TURNS
from small_world import WORLD
from ways import spelled

from configurator.rules.finding import State

TIGHT = {**LONG_LINE, "process.feed_pressure": spelled(1.1 * LINE, "Pa")}
LEAKING = {
    "cavity.opening_pressure": "0.1 bar",
    "cavity.rated_elastomer.pressure": "4 bar",
    "cavity.rated_elastomer.speed": "60 rpm",
    "cavity.rated_elastomer.efficiency": "50 %",
    "cavity.rated_elastomer.viscosity": "10 Pa*s",
}
"""Opens at a tenth of a bar, and loses half a turn at four bar."""


def demand(changes) -> float:
    (finding,) = WORLD.having(changes).findings("rotor speed the feed can fill")
    assert isinstance(finding.demand, float)
    return finding.demand


def test_what_slips_back_has_to_be_filled_again() -> None:
    assert abs(demand(TIGHT) - TURNS) < 1e-9
    assert demand({**TIGHT, **LEAKING}) > 1.05 * TURNS


def test_the_tip_shears_more_than_the_cavity() -> None:
    world = WORLD.having({"component.shear_rate_max": "500 1/s"})
    (tip,), (cavity,) = (world.findings(f"shear in the {where}") for where in ("tip", "cavity"))

    assert tip.state is State.RULED_OUT
    assert cavity.state is State.FITS
