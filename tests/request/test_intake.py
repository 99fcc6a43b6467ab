from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomli
from pydantic import BaseModel

from configurator.request.intake import Filled, fill_gaps, flow_bounds, process_gaps
from configurator.request.load import load_material, material_files, material_from, process_from
from configurator.units.interval import Basis
from configurator.units.quantity import Quantity

BARE: dict[str, Any] = {
    "schema": 1,
    "name": "bare",
    "title": "A data sheet with one number",
    "trigger": "none",
    "component": {"flow": {"at": "23 degC", "viscosity": "5 Pa*s"}},
}


def _filled(component: dict[str, Any], **keys: Any) -> Filled:
    flow = {"flow": BARE["component"]["flow"]}
    return fill_gaps(material_from(BARE | keys | {"component": flow | component}, "bare.toml"))


def _gap(filled: Filled, field: str) -> tuple[str, Basis | None]:
    (gap,) = [gap for gap in filled.notes if gap.field == field]
    return gap.used, gap.basis


def _leaves(value: object, path: str = "") -> Iterator[tuple[str, object]]:
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _leaves(getattr(value, name), f"{path}.{name}")
    elif isinstance(value, tuple):
        for place, entry in enumerate(value):
            yield from _leaves(entry, f"{path}[{place}]")
    else:
        yield path, value


def _names() -> tuple[str, ...]:
    return material_files(Path(__file__).parents[2] / "catalogs" / "examples")


@pytest.mark.parametrize("name", _names())
def test_nothing_that_was_stated_changes_and_all_that_is_put_in_is_estimated(
    name: str, examples: Path
) -> None:
    stated = load_material(name, folder=examples)
    filled = fill_gaps(stated).material
    before, after = dict(_leaves(stated)), dict(_leaves(filled))
    fields = {gap.field for gap in fill_gaps(stated).notes}

    assert before.keys() == after.keys()
    for path, value in after.items():
        if before[path] == value:
            continue
        assert before[path] is None
        assert not isinstance(value, Quantity) or value.basis is Basis.ESTIMATED
        assert path.removeprefix(".") in fields


@pytest.mark.parametrize("name", _names())
def test_every_gap_says_what_is_missing_what_was_used_and_what_settles_it(
    name: str, examples: Path
) -> None:
    for gap in fill_gaps(load_material(name, folder=examples)).notes:
        assert gap.says
        assert gap.settle_with
        assert (gap.used == "unknown") <= (gap.basis is None)
        assert gap.basis in (None, Basis.ESTIMATED)


def test_filling_twice_adds_nothing(examples: Path) -> None:
    once = fill_gaps(load_material("mast-compound", folder=examples)).material

    assert fill_gaps(once).material == once


def test_a_bare_data_sheet_gets_wide_bounds_and_honest_unknowns() -> None:
    filled = _filled({})

    assert _gap(filled, "component.flow.index")[0].startswith("0.4 to 1:")
    assert _gap(filled, "component.flow.shear_rate")[0].startswith("1 to 10 1/s:")
    assert _gap(filled, "component.flow.activation_energy")[0].startswith("10 to 70 kJ/mol:")
    assert _gap(filled, "component.density") == ("unknown", None)
    assert _gap(filled, "component.constituents") == ("unknown", None)
    assert _gap(filled, "component.flash_point") == ("unknown", None)
    component = filled.material.component
    assert component is not None
    assert component.density is None
    assert flow_bounds(component.flow).estimated


def test_the_filler_widens_a_lone_reading_to_that_of_a_paste() -> None:
    filled = _filled({"filler": {"name": "chalk", "volume_fraction": "20 %"}})

    component = filled.material.component
    assert component is not None
    assert component.flow.index is not None
    assert (component.flow.index.low, component.flow.index.high) == (0.35, 0.7)
    assert flow_bounds(component.flow).thin.values["index"] == 0.35


def test_a_largest_particle_is_two_to_three_medians_or_unknown() -> None:
    def d99(**keys: str) -> Quantity | None:
        component = _filled({"filler": {"name": "chalk"} | keys}).material.component
        assert component is not None
        assert component.filler is not None
        return component.filler.d99

    estimated = d99(d50="8..10 um")
    assert estimated is not None
    assert (estimated.low, estimated.high) == pytest.approx((16e-6, 30e-6))
    assert d99() is None
    stated = d99(d50="8 um", d99="40 um")
    assert stated is not None
    assert stated.basis is not Basis.ESTIMATED


def test_a_filler_content_and_a_crush_pressure_are_never_guessed() -> None:
    filled = _filled({"filler": {"name": "glass bubbles", "hollow": True}})

    assert _gap(filled, "component.filler.volume_fraction") == ("unknown", None)
    assert _gap(filled, "component.filler.crush_pressure") == ("unknown", None)
    component = filled.material.component
    assert component is not None
    assert component.filler is not None
    assert component.filler.volume_fraction is None
    assert component.filler.crush_pressure is None


def test_the_hardness_of_a_filler_nobody_knows_stays_unknown() -> None:
    filled = _filled({"filler": {"name": "moon dust"}})

    assert _gap(filled, "component.filler.mohs") == ("unknown", None)
    assert _gap(filled, "component.filler.shape")[1] is Basis.ESTIMATED


def test_a_density_of_a_known_class_is_bounded() -> None:
    filled = _filled({"constituents": [{"name": "silicone oil", "mass_fraction": "95..100 %"}]})

    assert _gap(filled, "component.density") == (
        "0.97 to 1.05 g/cm^3: usual for silicone",
        Basis.ESTIMATED,
    )


def test_a_warm_point_is_not_replaced_by_an_estimate(examples: Path) -> None:
    filled = fill_gaps(load_material("bearing-oil", folder=examples))

    assert filled.material.component is not None
    assert filled.material.component.flow.activation_energy is None
    assert not [gap for gap in filled.notes if "temperature" in gap.says]


def test_an_unstated_batch_spread_is_said_and_not_invented() -> None:
    filled = _filled({})

    assert _gap(filled, "component.flow.batch_spread") == ("none: batches taken as alike", None)
    assert filled.material.component is not None
    assert filled.material.component.flow.batch_spread is None


def test_both_sides_and_the_mix_of_a_two_part_material_are_looked_at(examples: Path) -> None:
    fields = [
        gap.field for gap in fill_gaps(load_material("bracket-acrylate", folder=examples)).notes
    ]

    assert "a.flow.activation_energy" in fields
    assert "b.flow.index" in fields
    assert fields[-2:] == ["mix.pot_life.definition", "mix.mixed_viscosity"]


@pytest.mark.parametrize(
    ("deposit", "production", "gaps"),
    [
        ({"kind": "dots", "volume": "1 mL", "dispense_time": "1 s"}, {}, 1),
        ({"kind": "potting", "volume": "1 mL", "fill_time": "1 s"}, {}, 1),
        ({"kind": "flow", "flow": "1 mL/s", "shot": "1 mL"}, {}, 1),
        ({"kind": "flow", "flow": "1 mL/s"}, {}, 0),
        ({"kind": "dots", "volume": "1 mL", "dispense_time": "1 s"}, {"cycle_time": "9 s"}, 0),
    ],
)
def test_the_cycle_time_is_asked_for_where_a_mix_stands_between_two_shots(
    deposit: dict[str, str], production: dict[str, str], gaps: int, examples: Path
) -> None:
    tables = tomli.loads((examples / "processes" / "lid-bead.toml").read_text("utf-8"))
    process = process_from(tables | {"deposit": deposit, "production": production}, "own")

    found = [gap for gap in process_gaps(process, two_part=True) if "production" in gap.field]
    assert [gap.field for gap in found] == ["process.production.cycle_time"] * gaps
    assert all(gap.basis is None for gap in found)
    alone = [gap for gap in process_gaps(process, two_part=False) if "production" in gap.field]
    assert [gap.field for gap in alone] == [gap.field for gap in found]
    assert all("how long a container lasts" in gap.says for gap in alone)


def test_a_share_without_an_amount_is_a_gap() -> None:
    filled = _filled({"constituents": [{"name": "silicone oil"}], "complete": True})

    assert _gap(filled, "component.constituents[1].mass_fraction") == ("unknown", None)


def test_the_text_of_an_estimate_says_the_same_as_its_bounds(examples: Path) -> None:
    from configurator.units.quantity import parse

    filled = fill_gaps(load_material("mast-compound", folder=examples)).material
    estimates = [
        value
        for _, value in _leaves(filled)
        if isinstance(value, Quantity) and value.basis is Basis.ESTIMATED
    ]

    assert len(estimates) >= 4
    for quantity in estimates:
        read = parse(quantity.text, quantity.kind)
        assert (read.low, read.high) == pytest.approx((quantity.low, quantity.high), rel=1e-5)
