"""A filler's share by volume against the constituents by mass, with densities where known."""

from __future__ import annotations

import pytest
from shipped import shipped_catalog

from configurator.chemistry.solids import filler_at_odds
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.screen.judge import Judge
from configurator.units.interval import Basis
from configurator.workshop.workshop import Workshop


def filled(by_volume, *rows, name="alumina", density="2.3 g/cm^3", **more):
    """A silicone with a filler stated by volume, and rows of (constituent, share by mass)."""
    tables = {
        "schema": 1,
        "name": "filled",
        "title": "A filled silicone",
        "trigger": "none",
        "component": {
            "flow": {"model": "newtonian", "viscosity": "10 Pa*s", "at": "23 degC"},
            "filler": {"name": name, "volume_fraction": by_volume},
            "constituents": [{"name": each, "mass_fraction": share} for each, share in rows],
            **({} if density is None else {"density": density}),
            **more,
        },
    }
    return Material.model_validate(tables, context={"basis": Basis.DATASHEET})


def lines(material):
    return [fault.line() for fault in filler_at_odds(material, shipped_catalog().substances)]


FLOW = {
    "schema": 1,
    "name": "plain",
    "title": "A plain flow",
    "deposit": {"kind": "flow", "flow": "10 mL/min"},
    "tolerance": "5 %",
    "temperature": "23 degC",
    "feed_pressure": "5 bar",
}
SILICONE = ("polydimethylsiloxane", "30 %")
ALUMINA = ("alumina", "70 %")
"""70 % by mass of 3.9 to 4.0 g/cm^3 in 2.3 g/cm^3: 0.7 * 2.3 / 3.95 = 41 % by volume."""


def test_a_filler_far_below_what_its_mass_takes_up_is_told_in_one_line():
    (line,) = lines(filled("10 %", ALUMINA, SILICONE))

    for said in ("component.filler.volume_fraction", "10 %", "40", "41", "70 %", "2.3 g/cm^3"):
        assert said in line
    assert "a quarter either way" in line


@pytest.mark.parametrize(
    ("by_volume", "fits"),
    # From 40.25 to 41.28 % follow; a quarter either way reaches from 32.2 to 51.6 %.
    [("32.1 %", False), ("32.3 %", True), ("41 %", True), ("51.5 %", True), ("51.7 %", False)],
)
def test_a_quarter_either_way_is_let_pass(by_volume, fits):
    assert (not lines(filled(by_volume, ALUMINA, SILICONE))) is fits


def test_without_a_density_the_liquid_s_own_bounds_are_taken():
    # 0.7/3.95 over that and 0.3/0.97: some 36 %.
    assert not lines(filled("36 %", ALUMINA, SILICONE, density=None))
    assert lines(filled("70 %", ALUMINA, SILICONE, density=None))


def test_another_filler_that_the_list_does_not_name_may_add_to_it():
    assert not lines(filled("60 %", ("alumina", "20 %"), SILICONE, name="mineral", density=None))


def test_a_filler_that_alone_outweighs_the_whole_is_told_with_densities():
    (line,) = lines(filled("50 %", density="1.2 g/cm^3"))

    assert "at most 30.8 %" in line
    assert "1.2 g/cm^3" in line
    assert not lines(filled("30 %", density="1.2 g/cm^3"))


@pytest.mark.parametrize(
    ("by_volume", "fits"),
    # 70 % by mass are left for alumina of 3.9 g/cm^3 or more in 2.3 g/cm^3: at most 41.3 %,
    # and a quarter more. The alumina alone would stop at 62 %.
    [("51.5 %", True), ("51.7 %", False)],
)
def test_a_filler_and_the_liquids_beside_it_weigh_no_more_than_the_whole(by_volume, fits):
    told = lines(filled(by_volume, SILICONE))

    assert (not told) is fits
    assert all("beside at least 30 % of liquids by mass" in line for line in told)


def test_a_row_that_no_table_knows_may_be_the_filler_itself():
    assert not lines(filled("50 %", ("mineral powder of the maker", "60 %")))


def test_a_list_tells_it_in_the_row_and_judges_the_others():
    process = Process.model_validate(FLOW, context={"basis": Basis.ESTIMATED})
    bad, good = Judge(process, Workshop(shipped_catalog())).verdicts(
        [filled("10 %", ALUMINA, SILICONE), filled("41 %", ALUMINA, SILICONE)]
    )

    assert bad.state == "not read"
    assert "component.filler.volume_fraction" in bad.reason
    assert good.state != "not read"
