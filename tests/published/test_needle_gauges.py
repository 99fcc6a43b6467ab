"""Needle bores of the generic catalog against a published chart and two further oracles.

Oracles: the needle gauge chart of a free encyclopaedia (bores, walls), the Birmingham gauge in
`fluids` (outside diameters), and least bores of ISO 9626 as quoted in an open article.
"""

from __future__ import annotations

import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from fluids.piping import t_from_gauge

from configurator.catalog.load import load_catalog
from configurator.catalog.parts import Outlet
from configurator.units.interval import Basis

DATA = tomllib.loads(Path(__file__).with_name("needle_gauges.toml").read_text("utf-8"))
ROWS: list[dict[str, Any]] = DATA["chart"]["row"]
CATALOGS = Path(__file__).parents[2] / "catalogs"
MM = 1e-3


@pytest.fixture(scope="module")
def gauged() -> tuple[Outlet, ...]:
    catalog = load_catalog(CATALOGS / "generic", substances=CATALOGS / "substances")
    return tuple(
        outlet
        for outlet in catalog.slot("outlet")
        if isinstance(outlet, Outlet) and outlet.gauge is not None
    )


def gauge_of(outlet: Outlet) -> int:
    assert outlet.gauge is not None
    return int(outlet.gauge.nominal)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['gauge']}g")
def test_needle_and_taper_bores_equal_the_chart(
    gauged: tuple[Outlet, ...], row: dict[str, Any]
) -> None:
    tips = [outlet for outlet in gauged if gauge_of(outlet) == row["gauge"]]

    assert [tip.kind for tip in tips].count("needle") >= 3
    for tip in tips:
        assert tip.bore.nominal == pytest.approx(row["bore"] * MM, abs=1e-12)
        assert tip.bore.basis is Basis.PUBLISHED
        assert DATA["chart"]["source"].startswith(tip.bore.note)


@pytest.mark.parametrize(
    "row", [*ROWS, DATA["chart"]["outside_only"]], ids=lambda row: row["gauge"]
)
def test_needle_outside_diameters_equal_the_chart(
    gauged: tuple[Outlet, ...], row: dict[str, Any]
) -> None:
    needles = [tip for tip in gauged if tip.kind == "needle" and gauge_of(tip) == row["gauge"]]

    assert needles
    for needle in needles:
        assert needle.outside_diameter.nominal == pytest.approx(row["outside"] * MM, abs=1e-12)


def test_every_gauge_of_the_catalog_has_a_published_or_a_recalled_row(
    gauged: tuple[Outlet, ...],
) -> None:
    known = {row["gauge"] for row in ROWS} | {DATA["recalled"]["gauge"]}

    assert {gauge_of(outlet) for outlet in gauged} == known == set(range(14, 33))


def test_a_recalled_bore_is_never_called_published(gauged: tuple[Outlet, ...]) -> None:
    recalled = DATA["recalled"]
    needles = [outlet for outlet in gauged if gauge_of(outlet) == recalled["gauge"]]

    assert needles
    for needle in needles:
        assert needle.bore.nominal == pytest.approx(recalled["bore"] * MM, abs=1e-12)
        assert needle.bore.basis is Basis.FROM_MEMORY


@pytest.mark.parametrize(
    "row", [*ROWS, DATA["chart"]["outside_only"]], ids=lambda row: row["gauge"]
)
def test_outside_diameters_follow_the_birmingham_gauge(row: dict[str, Any]) -> None:
    birmingham = t_from_gauge(row["gauge"], SI=True, schedule="BWG")

    assert row["outside"] * MM == pytest.approx(birmingham, rel=DATA["birmingham"]["tolerance"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['gauge']}g")
def test_bore_is_the_outside_diameter_less_two_walls(row: dict[str, Any]) -> None:
    bore = row["outside"] - 2 * row["wall"]

    assert row["bore"] == pytest.approx(bore, abs=DATA["chart"]["tolerance"])


def test_needles_get_thinner_with_the_gauge_and_two_pairs_share_a_bore() -> None:
    shared = []
    for thick, thin in pairwise(ROWS):
        assert thin["outside"] < thick["outside"]
        assert thin["bore"] <= thick["bore"]
        if thin["bore"] == thick["bore"]:
            shared.append((thick["gauge"], thin["gauge"]))

    assert shared == [(25, 26), (28, 29)]


def test_the_least_bore_of_gauge_30_doubles_the_laminar_loss_of_the_nominal_one(
    gauged: tuple[Outlet, ...],
) -> None:
    needle = next(outlet for outlet in gauged if gauge_of(outlet) == 30)
    least = next(row for row in DATA["least_bore"]["row"] if row["gauge"] == 30)

    ratio = (needle.bore.nominal / (least["regular"] * MM)) ** 4

    assert ratio == pytest.approx(2.04, rel=0.01)


@pytest.mark.parametrize("row", DATA["least_bore"]["row"], ids=lambda row: row["gauge"])
def test_thinner_walls_leave_a_wider_least_bore(row: dict[str, Any]) -> None:
    bores = [row[wall] for wall in ("regular", "thin", "extra_thin", "ultra_thin")]

    assert bores == sorted(set(bores))


@pytest.mark.parametrize("table", ["chart", "recalled", "least_bore", "birmingham"])
def test_every_table_names_its_source(table: str) -> None:
    assert len(DATA[table]["source"]) > 10
