from __future__ import annotations

from typing import Any

import pytest

from configurator.request.estimates import (
    CHEMISTRIES,
    MINERALS,
    chemistries_of,
    density_for,
    energy_for,
    index_for,
    mineral_of,
    shape_for,
)
from configurator.request.material import Component, Filler, Trigger
from configurator.units.interval import Interval

READING = {"at": "23 degC", "viscosity": "1 Pa*s"}


def _component(*shares: tuple[str, str | None] | str) -> Component:
    listed: list[dict[str, Any]] = []
    for share in shares:
        name, fraction = (share, None) if isinstance(share, str) else share
        listed.append({"name": name} | ({"mass_fraction": fraction} if fraction else {}))
    return Component.model_validate({"flow": READING, "constituents": listed})


def _filler(name: str, **keys: Any) -> Filler:
    return Filler.model_validate({"name": name} | keys)


def _classes(*shares: tuple[str, str | None] | str, trigger: Trigger = "none") -> list[str]:
    return [each.name for each in chemistries_of(_component(*shares), trigger)]


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("liquid bisphenol A epoxy resin", "epoxy resin"),
        ("C12-C14 glycidyl ether", "epoxy resin"),
        ("MDI prepolymer", "polyurethane"),
        ("polymeric MDI", "polyurethane"),
        ("polyether polyol", "polyurethane"),
        ("urethane acrylate", "acrylate"),
        ("epoxy acrylate", "acrylate"),
        ("TPGDA", "acrylate"),
        ("ethyl cyanoacrylate", "acrylate"),
        ("silicone oil", "silicone"),
        ("vinyl-terminated PDMS", "silicone"),
        ("Si-H crosslinker", "silicone"),
        ("isophorone diamine", "amine"),
        ("polyetheramine", "amine"),
        ("polyalphaolefin oil", "oil"),
        ("lithium soap", "grease"),
    ],
)
def test_the_name_of_a_constituent_tells_its_class(name: str, wanted: str) -> None:
    assert _classes(name) == [wanted]


@pytest.mark.parametrize("name", ["polyisobutylene", "dicyandiamide", "acrylic resin", "water"])
def test_other_constituents_tell_no_class(name: str) -> None:
    assert _classes(name) == []


def test_a_soap_in_an_oil_is_a_grease() -> None:
    shares = (("polyalphaolefin oil", "80 %"), ("lithium soap", "10 %"))

    assert _classes(*shares) == ["grease"]


def test_traces_do_not_set_the_class() -> None:
    shares = (("silicone oil", "2 %"), ("MDI prepolymer", "60 %"))

    assert _classes(*shares) == ["polyurethane"]


def test_a_little_oil_in_an_unknown_polymer_does_not_make_an_oil() -> None:
    shares = (("polyisobutylene", "50 %"), ("mineral oil", "20 %"))

    assert _classes(*shares) == []


def test_the_cure_trigger_decides_where_no_constituent_does() -> None:
    assert _classes(trigger="light") == ["acrylate"]
    assert _classes("secret blend", trigger="anaerobic") == ["acrylate"]
    assert _classes(trigger="moisture") == []
    assert _classes("silicone oil", trigger="light") == ["silicone"]


def test_a_mixture_of_classes_gets_the_range_that_covers_both() -> None:
    classes = chemistries_of(_component("epoxy resin", "silicone oil"), "none")

    assert energy_for(classes) == Interval(12e3, 41e3, 70e3)
    assert energy_for(()) == Interval(10e3, 40e3, 70e3)


def test_a_density_is_mixed_with_the_filler_by_volume() -> None:
    silicone = chemistries_of(_component("silicone oil"), "none")
    alumina = _filler("alumina", volume_fraction="60 %")

    density = density_for(silicone, alumina)

    # By hand: 0.6 * 3900 + 0.4 * 970 and 0.6 * 4000 + 0.4 * 1050.
    assert density is not None
    assert (density.low, density.high) == pytest.approx((2728.0, 2820.0))
    assert density_for(silicone, None) == Interval.of(970.0, 1050.0)


@pytest.mark.parametrize(
    "filler",
    [
        _filler("alumina"),
        _filler("moon dust", volume_fraction="20 %"),
        _filler("glass bubbles", volume_fraction="20 %", hollow=True),
    ],
)
def test_a_density_stays_unknown_where_the_filler_is(filler: Filler) -> None:
    silicone = chemistries_of(_component("silicone oil"), "none")

    assert density_for(silicone, filler) is None
    assert density_for((), None) is None


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("alumina", 9, 9),
        ("quartz flour", 7, 7),
        ("fumed silica", 6, 7),
        ("calcium carbonate", 3, 3),
        ("chalk", 3, 3),
        ("aluminium trihydroxide", 3, 3),
        ("alumina trihydrate", 3, 3),
        ("glass fibre", 5.5, 6),
        ("hollow glass spheres", 5.5, 6),
        ("silver flake", 2.5, 3),
        ("PTFE powder", 1, 1),
        ("carbon black", 1, 2),
        ("zinc oxide", 4.5, 4.5),
        ("aluminium nitride", 7, 8),
        ("boron nitride", 1, 2),
        ("aluminium powder", 2.5, 3),
    ],
)
def test_the_name_of_a_filler_tells_its_hardness(name: str, low: float, high: float) -> None:
    mineral = mineral_of(_filler(name))

    assert mineral is not None
    assert (mineral.mohs.low, mineral.mohs.high) == (low, high)


def test_a_name_that_nobody_knows_tells_nothing() -> None:
    assert mineral_of(_filler("moon dust")) is None


def test_hollow_particles_are_never_given_the_density_of_the_solid() -> None:
    mineral = mineral_of(_filler("glass", hollow=True))

    assert mineral is not None
    assert mineral.density is None


@pytest.mark.parametrize(
    ("name", "shape"),
    [
        ("silver flake", "flake"),
        ("glass fiber", "fibre"),
        ("hollow glass spheres", "sphere"),
        ("alumina", "irregular"),
    ],
)
def test_a_shape_is_told_by_the_name_or_taken_as_irregular(name: str, shape: str) -> None:
    assert shape_for(_filler(name)) == shape


@pytest.mark.parametrize(
    ("thixotropic", "fraction", "low", "high"),
    [
        (False, None, 0.4, 1.0),
        (False, "9.9 %", 0.4, 1.0),
        (False, "10 %", 0.35, 0.7),
        (False, "8..12 %", 0.35, 1.0),
        (False, "unstated", 0.35, 1.0),
        (True, None, 0.35, 0.7),
        (True, "2 %", 0.35, 0.7),
    ],
)
def test_the_index_behind_one_viscosity_depends_on_thixotropy_and_filler(
    *, thixotropic: bool, fraction: str | None, low: float, high: float
) -> None:
    keys = {} if fraction == "unstated" else {"volume_fraction": fraction}
    filler = None if fraction is None else _filler("chalk", **keys)

    index = index_for(thixotropic=thixotropic, filler=filler)

    assert (index.low, index.high) == (low, high)


def test_every_range_of_the_tables_is_physical() -> None:
    for chemistry in CHEMISTRIES:
        assert 700.0 < chemistry.density.low <= chemistry.density.high < 1500.0
        assert chemistry.energy is None or 5e3 < chemistry.energy.low < chemistry.energy.high < 1e5
    for mineral in MINERALS:
        assert 1.0 <= mineral.mohs.low <= mineral.mohs.high <= 10.0
        assert mineral.density is None or 1700.0 < mineral.density.low < 11000.0
    assert len({mineral.name for mineral in MINERALS}) == len(MINERALS)
