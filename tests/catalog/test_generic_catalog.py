"""The shipped generic catalog: it reads, it audits clean, and its invented figures are sane."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from pydantic import BaseModel

from configurator.catalog.audit import audit
from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.catalog.parts import (
    SLOTS,
    Body,
    Cavity,
    Drive,
    Feed,
    Mixing,
    Outlet,
    RatedPoint,
    Rotor,
    Seal,
    Size,
    Stator,
    wetted_codes,
)
from configurator.reading import read_toml
from configurator.units.interval import Basis
from configurator.units.quantity import Quantity

CATALOGS = Path(__file__).parents[2] / "catalogs"

LEAST_PARTS = {
    "size": 6,
    "cavity": 18,
    "body": 4,
    "rotor": 7,
    "stator": 8,
    "seal": 6,
    "drive": 14,
    "mixing": 27,
    "outlet": 90,
    "feed": 12,
}

RUBBERS = {"NBR", "HNBR", "EPDM", "FKM", "FFKM", "FEPM", "VMQ", "FVMQ", "EU"}
PLASTICS = {"PE-UHMW", "PTFE", "PEEK", "POM", "PP", "PE-HD", "PA66"}
CERAMICS = {"alumina", "zirconia", "SiC"}
METALS = {"316L", "hardened stainless", "hard chrome", "WC-CoCr", "hard-anodised Al", "Ti"}


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    return load_catalog(CATALOGS / "generic", substances=CATALOGS / "substances")


@pytest.fixture(scope="module")
def cavities(catalog: Catalog) -> tuple[Cavity, ...]:
    return tuple(part for part in catalog.slot("cavity") if isinstance(part, Cavity))


def quantities(model: BaseModel) -> Iterator[Quantity]:
    for field in type(model).model_fields:
        value = getattr(model, field)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Quantity):
                yield item
            elif isinstance(item, BaseModel):
                yield from quantities(item)


def test_it_has_a_name_and_a_digest(catalog: Catalog) -> None:
    assert catalog.name == "generic"
    assert len(catalog.sha256) == 64


def test_an_audit_finds_nothing(catalog: Catalog) -> None:
    assert [note.line() for note in audit(catalog)] == []


@pytest.mark.parametrize("slot", SLOTS)
def test_each_slot_offers_a_choice(catalog: Catalog, slot: str) -> None:
    assert len(catalog.slot(slot)) >= LEAST_PARTS[slot]


def test_every_figure_of_a_part_says_that_it_is_invented_or_where_it_is_from(
    catalog: Catalog,
) -> None:
    allowed = {Basis.INVENTED, Basis.PUBLISHED, Basis.FROM_MEMORY}
    for slot in SLOTS:
        for part in catalog.slot(slot):
            assert {figure.basis for figure in quantities(part)} <= allowed


def test_practice_is_never_called_measured_and_each_single_rule_has_a_note(
    catalog: Catalog,
) -> None:
    figures = [getattr(catalog.practice, field) for field in type(catalog.practice).model_fields]

    assert all(figure.note for figure in figures if isinstance(figure, Quantity))
    assert {figure.basis for figure in quantities(catalog.practice)} <= {
        Basis.PUBLISHED,
        Basis.COMMON_PRACTICE,
        Basis.FROM_MEMORY,
        Basis.INVENTED,
    }


def test_the_wetted_codes_are_those_agreed_upon(catalog: Catalog) -> None:
    used = {code for slot in SLOTS for part in catalog.slot(slot) for _, code in wetted_codes(part)}

    assert used == RUBBERS | PLASTICS | CERAMICS | METALS


def test_displacement_is_that_of_the_geometry_to_one_per_cent(
    cavities: tuple[Cavity, ...],
) -> None:
    for cavity in cavities:
        lengths = (cavity.eccentricity, cavity.rotor_diameter, cavity.pitch)
        geometric = 4 * math.prod(length.nominal for length in lengths)
        assert cavity.displacement.nominal == pytest.approx(geometric, rel=0.01), cavity.name


def test_the_name_of_a_cavity_states_size_millilitres_and_stages(
    cavities: tuple[Cavity, ...],
) -> None:
    for cavity in cavities:
        millilitres = cavity.displacement.nominal * 1e6
        assert cavity.name == f"{cavity.size}-{millilitres:g}-{cavity.stages.nominal:g}s"


def test_each_size_has_short_and_long_stators(cavities: tuple[Cavity, ...]) -> None:
    for size in {cavity.size for cavity in cavities}:
        stages = {cavity.stages.nominal for cavity in cavities if cavity.size == size}
        assert stages == {2, 4}


def test_flows_of_neighbouring_sizes_overlap(
    catalog: Catalog, cavities: tuple[Cavity, ...]
) -> None:
    def flows(size: str) -> tuple[float, float]:
        volumes = [cavity.displacement.nominal for cavity in cavities if cavity.size == size]
        return min(volumes) * 6 / 60, max(volumes) * 120 / 60

    for small, large in pairwise(size.name for size in catalog.slot("size")):
        assert flows(small)[0] < flows(large)[0] < flows(small)[1] < flows(large)[1]


def laminar_gap(cavity: Cavity, point: RatedPoint) -> float:
    """Gap of a slit that leaks what the rated point misses, in metres."""
    ideal = cavity.displacement.nominal * point.speed.nominal
    slip = ideal * (1 - point.efficiency.nominal)
    stage = point.pressure.nominal / cavity.stages.nominal
    resistance = 12 * point.viscosity.nominal * cavity.seal_land.nominal
    return float((resistance * slip / (cavity.seal_width.nominal * stage)) ** (1 / 3))


def test_rated_points_mean_gaps_of_a_few_to_some_tens_of_micrometres(
    cavities: tuple[Cavity, ...],
) -> None:
    for cavity in cavities:
        for point in (cavity.rated_elastomer, cavity.rated_rigid):
            if point is not None:
                assert 0.6 <= point.efficiency.nominal <= 0.98, cavity.name
                assert 2e-6 < laminar_gap(cavity, point) < 4e-5, cavity.name


def test_one_pascal_second_slips_less_than_two_per_cent_at_full_pressure(
    cavities: tuple[Cavity, ...],
) -> None:
    for cavity in cavities:
        point = cavity.rated_elastomer
        opening = cavity.opening_pressure.nominal
        rated = point.pressure.nominal / cavity.stages.nominal
        full = cavity.stage_pressure.nominal
        gap = laminar_gap(cavity, point) * (full - opening) / (rated - opening)
        slip = cavity.seal_width.nominal * gap**3 * full / (12 * 1.0 * cavity.seal_land.nominal)
        assert slip / cavity.displacement.nominal < 0.02, cavity.name


def test_thin_fluids_are_held_below_the_opening_pressure(cavities: tuple[Cavity, ...]) -> None:
    for cavity in cavities:
        assert cavity.stage_pressure_thin.nominal < cavity.opening_pressure.nominal


def test_every_size_can_be_driven_in_an_explosive_atmosphere_and_some_drives_state_nothing(
    catalog: Catalog,
) -> None:
    drives = [part for part in catalog.slot("drive") if isinstance(part, Drive)]
    rated = {size for drive in drives if drive.explosive_atmosphere for size in drive.sizes}

    assert rated == {size.name for size in catalog.slot("size")}
    assert {drive.explosive_atmosphere for drive in drives} == {True, False, None}
    assert {interface for drive in drives for interface in drive.control} == {
        "digital start/stop",
        "0-10 V",
        "step and direction",
        "fieldbus",
    }


@pytest.mark.parametrize("size", ["h1", "h2", "h3", "h4", "h5", "h6"])
def test_every_size_can_keep_moisture_and_light_out(catalog: Catalog, size: str) -> None:
    seals = [part for part in catalog.slot("seal") if isinstance(part, Seal)]
    feeds = [part for part in catalog.slot("feed") if isinstance(part, Feed)]
    joints = {part.name: part.joints for part in catalog.slot("size") if isinstance(part, Size)}
    outlets = [part for part in catalog.slot("outlet") if isinstance(part, Outlet)]

    assert any(seal.keeps_moisture_out for seal in seals if size in seal.sizes)
    fitting = [feed for feed in feeds if size in feed.sizes]
    assert any(feed.keeps_moisture_out and not feed.passes_light for feed in fitting)
    assert any(not tip.passes_light for tip in outlets if tip.joint in joints[size])


@pytest.mark.parametrize("size", ["h1", "h2", "h3"])
@pytest.mark.parametrize("kind", [Body, Rotor, Stator, Seal, Feed])
def test_small_sizes_can_be_built_without_metal(
    catalog: Catalog, size: str, kind: type[Body | Rotor | Stator | Seal | Feed]
) -> None:
    fitting = [
        part for part in catalog.slot(kind.slot) if isinstance(part, kind) and size in part.sizes
    ]

    assert any(METALS.isdisjoint(code for _, code in wetted_codes(part)) for part in fitting)


@pytest.mark.parametrize(("name", "millilitres"), [("ribbon-5x24", 2.65), ("ribbon-7x24", 7.27)])
def test_static_tubes_hold_their_calculated_volume(
    catalog: Catalog, name: str, millilitres: float
) -> None:
    tube = catalog.part("mixing", name)
    assert isinstance(tube, Mixing)
    assert tube.bore is not None
    assert tube.elements is not None
    assert tube.element_aspect is not None
    assert tube.void_share is not None

    length = tube.elements.nominal * tube.element_aspect.nominal * tube.bore.nominal
    volume = tube.void_share.nominal * math.pi / 4 * tube.bore.nominal**2 * length

    assert volume * 1e6 == pytest.approx(millilitres, rel=0.02)


def test_cost_rises_with_the_size(catalog: Catalog, cavities: tuple[Cavity, ...]) -> None:
    sizes = [part for part in catalog.slot("size") if isinstance(part, Size)]
    costs = [
        size.cost_index.nominal
        + min(cavity.cost_index.nominal for cavity in cavities if cavity.size == size.name)
        for size in sizes
    ]

    assert costs == sorted(costs)
    assert all(low < high for low, high in pairwise(costs))


def test_a_remark_on_one_rubber_stands_at_that_rubber_alone(catalog: Catalog) -> None:
    rubbers = {
        code for code, each in catalog.substances.wetted.items() if each.family == "elastomer"
    }
    heard = 0
    for path in sorted((shipped_folder() / "substances").glob("*.toml")):
        for group in read_toml(path)[0].get("verdicts", ()):
            named = {
                code
                for code in rubbers
                if re.search(
                    rf"(?<![A-Za-z0-9-]){re.escape(code)}(?![A-Za-z0-9-])", group.get("note", "")
                )
            }
            if not named or group["basis"] != "from memory":
                continue
            heard += 1
            told = {
                code
                for grade in ("satisfactory", "limited", "not_satisfactory")
                for code in group.get(grade, ())
            }
            assert told & rubbers <= named, (path.name, group)
    assert heard > 5
