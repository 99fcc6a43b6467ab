"""A head that stands still: what pushes, what weeps, what hangs at the mouth."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from shipped import shipped_catalog
from small_world import WORLD

from configurator.physics.deposit import dot_volume
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.finding import State
from configurator.rules.tip_at_rest import falling_drop, touch_height
from configurator.units.interval import Basis
from configurator.workshop.workshop import Workshop

LONG_LINE = {"feed.line_length": "10 m"}
RIGID = {"stator.kind": "rigid"}
STRONG = {"process.feed_pressure": "40 bar", "feed.pressure_max": "40 bar"}
"""A feed that fills through any of the lines here."""
DOT = {
    "process.deposit": {
        "kind": "dots",
        "diameter": "8 mm",
        "contact_angle": "90 deg",
        "dispense_time": "1 s",
    }
}
PASTE = {
    "component.flow.model": "bingham",
    "component.flow.viscosity": None,
    "component.flow.yield_stress": "200 Pa",
    "component.flow.plastic_viscosity": "10 Pa*s",
}


def test_a_rigid_stator_is_judged_by_what_weeps_and_not_for_holding_nothing():
    world = WORLD.having(LONG_LINE | RIGID)
    assert world.finding("no drip at rest").limit == pytest.approx(2 * 12e5)  # its rating
    assert world.finding("weep at rest").state is State.FITS


def test_a_head_that_leaks_a_sixth_of_its_flow_at_rest_is_out():
    rated = {"efficiency": "1 %", "pressure": "21 bar"}
    wide = {f"cavity.rated_rigid.{name}": value for name, value in rated.items()}
    world = WORLD.having(RIGID | wide | STRONG | {"feed.line_length": "20 m"})
    assert world.finding("weep at rest").state is State.RULED_OUT


def test_an_elastomer_below_its_opening_pressure_weeps_nothing():
    assert WORLD.having(LONG_LINE).finding("weep at rest").demand == 0.0


@pytest.mark.parametrize(
    ("available", "pushes"), [("1 bar", 0.3e5), ("0.1 bar", 0.1e5), ("0 bar", 0.0)]
)
def test_a_feed_is_set_to_some_pressure_even_where_a_thin_liquid_needs_none(available, pushes):
    thin = {"component.flow.viscosity": "1 mPa*s", "process.feed_pressure": available}
    world = WORLD.having(thin | {"practice.feed_least": "0.3 bar"})
    assert world.finding("no drip at rest").demand == pytest.approx(pushes)


@pytest.mark.parametrize(("supply", "pushes"), [("3 bar", 3e5), ("60 bar", 10e5)])
def test_a_feed_pushes_with_no_more_than_is_there_however_much_it_takes_to_fill(supply, pushes):
    """40 m lose some 16 bar; the cartridge stands 10."""
    world = WORLD.having({"feed.line_length": "40 m", "process.feed_pressure": supply})
    assert world.finding("filling of the cavity").demand > 15e5
    assert world.finding("no drip at rest").demand == pytest.approx(pushes)


def test_a_thin_liquid_is_pushed_through_a_rigid_stator_though_its_tip_shuts_off():
    thin = {"component.flow.viscosity": "1 mPa*s", "practice.feed_least": "0.3 bar"}
    world = WORLD.having(RIGID | thin | {"outlet.shut_off_pressure": "2 bar"})
    assert world.finding("weep at rest").demand == 0.0
    assert world.finding("feed pushing through while it runs").state is State.UNPROVEN


def test_the_yield_stress_of_a_paste_holds_in_its_line():
    """Half of 20 bar of the stages, and half of 4 tau L / D = 4 x 200 Pa x 10 m / 10 mm."""
    liquid = WORLD.having(LONG_LINE).finding("no drip at rest")
    paste = WORLD.having(LONG_LINE | PASTE).finding("no drip at rest")
    assert liquid.limit == pytest.approx(10e5)
    assert paste.limit == pytest.approx(10e5 + 0.5 * 4 * 200 * 10 / 10e-3)


REGULATED = {"feed.regulator_drop": "2 bar"}
SHUT = {"outlet.shut_off_pressure": "25 bar"}


def test_a_regulator_keeps_the_loss_of_the_line_from_the_head_and_costs_the_feed_its_drop():
    """Set to what fills the head, 10 % more once nothing flows; a line of 0 m loses nothing."""
    rest, fill = "no drip at rest", "filling of the cavity"
    far, near = (
        WORLD.having(STRONG | {"feed.line_length": each}) for each in ("40 m", "0.000001 m")
    )
    fills_with = near.finding(rest).demand
    assert far.finding(rest).state is State.RULED_OUT
    assert far.having(REGULATED).finding(rest).demand == pytest.approx(1.1 * fills_with)
    assert far.having(REGULATED).finding(rest).state is State.FITS
    pushed = [world.finding(fill).demand for world in (far, far.having(REGULATED))]
    assert pushed[1] - pushed[0] == pytest.approx(2e5)


def test_a_tip_that_shuts_off_holds_what_stages_do_not():
    rest, far = "no drip at rest", WORLD.having(STRONG | {"feed.line_length": "40 m"})
    assert far.having(SHUT).finding(rest).limit == pytest.approx(25e5)
    assert far.having(SHUT).finding(rest).state is State.FITS
    leaking = {"cavity.rated_rigid.efficiency": "1 %", "cavity.rated_rigid.pressure": "21 bar"}
    weeping = WORLD.having(RIGID | leaking | STRONG | {"feed.line_length": "20 m"})
    assert weeping.having(SHUT).finding("weep at rest").demand == 0.0


def invented(**said):
    return {"schema": 1, "name": "invented", "title": "Invented", "invented": True, **said}


STIFF_PASTE = invented(
    trigger="moisture",
    component={
        "density": "1.6 g/cm^3",
        "constituents": [{"name": "vinyl-terminated PDMS", "mass_fraction": "40..60 %"}],
        "flow": {
            "model": "herschel-bulkley",
            "at": "23 degC",
            "yield_stress": "30 Pa",
            "consistency": "600 Pa*s^n",
            "index": "0.8",
            "activation_energy": "15 kJ/mol",
        },
        "filler": {"name": "chalk", "volume_fraction": "30 %", "d99": "20 um", "mohs": "3 Mohs"},
    },
)
BEHIND_A_PUMP = invented(
    tolerance="5 %",
    temperature="18..28 degC",
    feed_pressure="80 bar",
    longest_stop="20 min",
    deposit={"kind": "bead", "width": "5 mm", "contact_angle": "90 deg", "path_speed": "85 mm/s"},
)


def test_a_stiff_paste_behind_a_pump_has_heads_with_a_regulator_or_a_shut_off_alone():
    said, catalog = {"basis": Basis.DATASHEET}, shipped_catalog()
    question = Question(
        Material.model_validate(STIFF_PASTE, context=said),
        Process.model_validate(BEHIND_A_PUMP, context=said),
    )
    regulated = frozenset(each.name for each in catalog.parts["feed"] if each.regulator_drop)
    shutting = frozenset(each.name for each in catalog.parts["outlet"] if each.shut_off_pressure)
    no_pump = frozenset(each.name for each in catalog.parts["feed"] if each.kind != "pail follower")

    def count(feed=frozenset(), **without):
        # The largest head fills at so little pressure that its stages hold it.
        left_out = {"feed": no_pump | feed, "size": frozenset({"h6"}), **without}
        return Workshop(catalog).answer(replace(question, without=left_out)).count

    assert count(feed=regulated) > 0
    assert count(outlet=shutting) > 0
    assert count(feed=regulated, outlet=shutting) == 0


def test_a_thin_liquid_runs_out_of_a_wide_mouth_and_a_paste_does_not():
    """2 (gamma / rho g)^0.5 is 3.5 mm for 30 mN/m."""
    rule, dots = "liquid held at the mouth", WORLD.having(DOT)
    assert dots.having({"outlet.bore": "3.4 mm"}).finding(rule).state is State.FITS
    wide = dots.having({"outlet.bore": "3.6 mm", "outlet.entry_bore": "3.6 mm"})
    assert wide.finding(rule).state is State.MARGINAL
    assert wide.having(PASTE).finding(rule).state is State.FITS


def test_a_thick_liquid_hardly_leaves_a_wide_mouth_in_a_short_stop():
    """10 Pa*s at 8 / 40 s in the tip: 4 x 2 Pa beside the 33 Pa of the surface, against 35 Pa."""
    rule, wide = (
        "liquid held at the mouth",
        {"outlet.bore": "3.6 mm", "outlet.entry_bore": "3.6 mm"},
    )
    world = WORLD.having(DOT | wide | {"process.longest_stop": "40 s"})
    assert world.finding(rule).limit == pytest.approx(4 * 30e-3 / 3.6e-3 + 4 * 10 * 8 / 40)
    assert world.finding(rule).state is State.FITS
    assert world.having({"process.longest_stop": "1 h"}).finding(rule).state is State.MARGINAL


def test_a_flow_is_not_asked_what_its_mouth_holds():
    assert WORLD.findings("liquid held at the mouth") == ()


def shot(microlitres: float):
    """The case of the base build with dots of some volume."""
    dots = {"kind": "dots", "volume": f"{microlitres} uL", "dispense_time": "1 s"}
    return WORLD.having({"process.deposit": dots}).applied[0].case


def test_a_shot_below_the_drop_has_to_touch_and_one_above_it_falls():
    drop = math.pi * 3e-3 * 30e-3 / (1000 * 9.80665)  # Tate by hand
    assert falling_drop(shot(10)).item() == pytest.approx(drop)
    reach = touch_height(shot(10)).item()
    assert dot_volume(diameter=3e-3, height=reach) == pytest.approx(10e-9)
    by_search = brentq(lambda h: math.pi * h * (3 * 1.5e-3**2 + h**2) / 6 - 10e-9, 0.0, 0.1)
    assert reach == pytest.approx(by_search)
    assert np.isnan(touch_height(shot(30))).all()
