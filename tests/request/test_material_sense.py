"""Each check: refused just beyond the limit, accepted at it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from configurator.errors import Fault
from configurator.request.load import material_from

Spoil = Callable[[dict[str, Any]], None]
FaultsAfter = Callable[[Spoil], tuple[Fault, ...]]


def _put(path: str, value: object) -> Spoil:
    def spoil(tables: dict[str, Any]) -> None:
        *keys, last = path.split(".")
        for key in keys:
            tables = tables[key]
        tables[last] = value

    return spoil


def _flow(**keys: object) -> Spoil:
    return _put("component.flow", {"at": "23 degC"} | keys)


CURVE = [
    {"rate": "1 1/s", "stress": "100 Pa"},
    {"rate": "10 1/s", "stress": "200 Pa"},
    {"rate": "100 1/s", "stress": "400 Pa"},
]
CARREAU = {
    "model": "carreau",
    "zero_viscosity": "9 Pa*s",
    "infinite_viscosity": "2 Pa*s",
    "relaxation_time": "1 s",
    "index": "0.5",
}


@pytest.mark.parametrize(
    ("path", "at_the_limit", "beyond", "says"),
    [
        ("component.flow.at", "250 degC", "251 degC", "-60 degC to 250 degC"),
        ("component.flow.index", "2", "2.01", "at most 2"),
        ("component.flow.index", "0.001", "0", "above"),
        ("component.flow.activation_energy", "200 kJ/mol", "201 kJ/mol", "200 kJ/mol"),
        ("component.flow.batch_spread", "90 %", "91 %", "90 %"),
        ("component.density", "0.05 g/cm^3", "1.4 kg/m^3", "g/cm^3"),
        ("component.density", "23 g/cm^3", "23.1 g/cm^3", "g/cm^3"),
        ("component.flash_point", "500 degC", "501 degC", "500 degC"),
        ("component.filler.volume_fraction", "74 %", "74.1 %", "74 %"),
        ("component.filler.d99", "5 mm", "5.1 mm", "5 mm"),
        ("component.filler.d50", "30 um", "31 um", "at most d99, 30 um"),
        ("component.filler.name", "chalk", " ", "printable"),
    ],
)
def test_a_value_is_accepted_at_its_limit_and_refused_beyond(
    *,
    path: str,
    at_the_limit: str,
    beyond: str,
    says: str,
    sealant: dict[str, Any],
    sealant_faults: FaultsAfter,
) -> None:
    (fault,) = sealant_faults(_put(path, beyond))
    assert (fault.field, fault.given) == (path, beyond)
    assert says in fault.accepted

    _put(path, at_the_limit)(sealant)
    material_from(sealant, "own.toml")


def test_mass_fractions_may_only_add_up_to_everything_at_their_low_ends(
    sealant: dict[str, Any], sealant_faults: FaultsAfter
) -> None:
    def shares(*fractions: str) -> list[dict[str, str]]:
        return [{"name": f"s{f}", "mass_fraction": f} for f in fractions]

    (fault,) = sealant_faults(_put("component.constituents", shares("60 %", "41..50 %")))
    assert fault.field == "component.constituents"
    assert fault.given == "mass fractions of at least 101 %"

    # Thirds and tenths do not add up exactly in binary.
    for good in (shares("60 %", "40..50 %"), shares(*(f"{n}.1 %" for n in range(13)), "20.7 %")):
        _put("component.constituents", good)(sealant)
        material_from(sealant, "own.toml")


def test_complete_needs_constituents_that_can_be_everything(sealant_faults: FaultsAfter) -> None:
    def nothing(tables: dict[str, Any]) -> None:
        tables["component"].update(complete=True, constituents=[])

    def too_little(tables: dict[str, Any]) -> None:
        tables["component"].update(
            complete=True, constituents=[{"name": "oil", "mass_fraction": "80..90 %"}]
        )
        del tables["component"]["filler"]

    (fault,) = sealant_faults(nothing)
    assert fault.field == "component.complete"
    (fault,) = sealant_faults(too_little)
    assert "they reach 90 %" in fault.accepted


def test_a_filler_makes_up_for_constituents_that_do_not_reach_the_whole(
    sealant: dict[str, Any],
) -> None:
    sealant["component"]["complete"] = True

    assert material_from(sealant, "own.toml").component is not None


def test_a_crush_pressure_belongs_to_hollow_particles(
    sealant: dict[str, Any], sealant_faults: FaultsAfter
) -> None:
    (fault,) = sealant_faults(_put("component.filler.crush_pressure", "40 bar"))
    assert fault.accepted == "only with hollow = true"

    sealant["component"]["filler"].update(crush_pressure="40 bar", hollow=True)
    material_from(sealant, "own.toml")

    (fault,) = sealant_faults(
        lambda tables: tables["component"]["filler"].update(crush_pressure="0 bar", hollow=True)
    )
    assert fault.accepted == "above zero"


@pytest.mark.parametrize(
    ("place", "point", "field", "says"),
    [
        (1, {"rate": "1 1/s", "stress": "200 Pa"}, "points[2].rate", "above 1 1/s"),
        (2, {"rate": "2 1/s", "stress": "900 Pa"}, "points[3].rate", "above 10 1/s"),
        (0, {"rate": "1 1/s", "stress": "0 Pa"}, "points[1].stress", "above zero"),
    ],
)
def test_rates_of_a_measured_curve_rise_from_point_to_point(
    place: int, point: dict[str, str], field: str, says: str, sealant_faults: FaultsAfter
) -> None:
    points = [*CURVE]
    points[place] = point

    (fault,) = sealant_faults(_flow(model="points", points=points))

    assert fault.field == f"component.flow.{field}"
    assert says in fault.accepted


def test_viscosities_may_fall_as_long_as_their_stresses_rise(sealant: dict[str, Any]) -> None:
    falling = [
        {"rate": "1 1/s", "viscosity": "100 Pa*s"},
        {"rate": "10 1/s", "viscosity": "11 Pa*s"},
        {"rate": "100 1/s", "viscosity": "2 Pa*s"},
    ]
    _flow(model="points", points=falling)(sealant)

    assert material_from(sealant, "own.toml").component is not None


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"infinite_viscosity": "10 Pa*s"}, "infinite_viscosity"),
        ({"infinite_viscosity": "8..9.1 Pa*s"}, "infinite_viscosity"),
        ({"index": "1.1"}, "index"),
        ({"relaxation_time": "0 s"}, "relaxation_time"),
    ],
)
def test_a_carreau_curve_falls_between_its_plateaus(
    change: dict[str, str], field: str, sealant_faults: FaultsAfter
) -> None:
    (fault,) = sealant_faults(_flow(**(CARREAU | change)))

    assert fault.field == f"component.flow.{field}"


@pytest.mark.parametrize(
    ("warm", "field", "says"),
    [
        ({"viscosity": "3 Pa*s", "at": "24 degC"}, "warm.at", "2 K away"),
        ({"viscosity": "7 Pa*s", "at": "40 degC"}, "warm.viscosity", "below 6 Pa*s"),
        ({"viscosity": "6 Pa*s", "at": "40 degC"}, "warm.viscosity", "below 6 Pa*s"),
        ({"viscosity": "5 Pa*s", "at": "5 degC"}, "warm.viscosity", "above 6 Pa*s"),
        ({"viscosity": "3 Pa*s", "at": "400 degC"}, "warm.at", "250 degC"),
    ],
)
def test_a_warm_point_tells_a_sensitivity(
    warm: dict[str, str], field: str, says: str, sealant_faults: FaultsAfter
) -> None:
    (fault,) = sealant_faults(_flow(model="newtonian", viscosity="6 Pa*s", warm=warm))

    assert fault.field == f"component.flow.{field}"
    assert says in fault.accepted


def test_a_cooler_second_point_is_as_good_as_a_warmer_one(sealant: dict[str, Any]) -> None:
    cool = {"viscosity": "9 Pa*s", "at": "10 degC"}
    _flow(model="newtonian", viscosity="6 Pa*s", warm=cool)(sealant)

    assert material_from(sealant, "own.toml").component is not None


def test_a_warm_point_and_a_shear_rate_belong_to_a_single_viscosity(
    sealant_faults: FaultsAfter,
) -> None:
    def spoil(tables: dict[str, Any]) -> None:
        flow = tables["component"]["flow"]
        del flow["activation_energy"]
        flow.update(warm={"viscosity": "3 Pa*s", "at": "40 degC"}, shear_rate="10 1/s")

    shear_rate, warm = sealant_faults(spoil)

    assert shear_rate.field == "component.flow.shear_rate"
    assert warm.field == "component.flow.warm"
    assert "activation_energy" in warm.accepted


@pytest.mark.parametrize(
    ("path", "at_the_limit", "beyond", "field"),
    [
        ("mix.ratio", ["100", "1"], ["101", "1"], "mix.ratio"),
        ("mix.ratio", ["1", "100"], ["1", "101"], "mix.ratio"),
        ("mix.ratio", ["1", "1"], ["0", "1"], "mix.ratio[1]"),
        ("mix.ratio", ["1", "1"], ["1", "-1"], "mix.ratio[2]"),
        ("mix.ratio_tolerance", "50 %", "51 %", "mix.ratio_tolerance"),
        ("mix.ratio_tolerance", "0.1 %", "0 %", "mix.ratio_tolerance"),
        ("mix.pot_life.value", "1 s", "0 s", "mix.pot_life.value"),
        ("mix.pot_life.at", "250 degC", "251 degC", "mix.pot_life.at"),
        ("b.density", "1 g/cm^3", "1 kg/m^3", "b.density"),
        # Half of 0.35 Pa*s - 10 %.
        ("mix.mixed_viscosity", "0.1576 Pa*s", "0.1574 Pa*s", "mix.mixed_viscosity"),
    ],
)
def test_a_mix_is_accepted_at_its_limit_and_refused_beyond(
    *,
    path: str,
    at_the_limit: object,
    beyond: object,
    field: str,
    potting: dict[str, Any],
    potting_faults: FaultsAfter,
) -> None:
    (fault,) = potting_faults(_put(path, beyond))
    assert fault.field == field

    _put(path, at_the_limit)(potting)
    material_from(potting, "own.toml")


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda tables: tables.pop("b"), "[a], [b] and [mix]"),
        (lambda tables: tables.pop("mix"), "[a], [b] and [mix]"),
        (lambda tables: tables.update(component=tables["a"]), "no [a], [b] or [mix]"),
        (lambda tables: tables.update(trigger="moisture"), "has trigger two-part"),
    ],
)
def test_a_two_part_material_has_two_parts_and_a_mix(
    spoil: Spoil, says: str, potting_faults: FaultsAfter
) -> None:
    (fault,) = potting_faults(spoil)

    assert says in fault.accepted


def test_a_one_part_material_cannot_cure_by_mixing(sealant_faults: FaultsAfter) -> None:
    (fault,) = sealant_faults(_put("trigger", "two-part"))

    assert "needs [a], [b] and [mix]" in fault.accepted
