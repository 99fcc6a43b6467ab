"""Factors of the trade's units against pint and against figures that were written down.

Oracle: pint, its default registry. The rows of ``PINNED`` are what pint 0.25 gave when it was
run, to the digits noted then; each also follows from the definitions of the International System
of Units and of the international yard and pound.
"""

from __future__ import annotations

import math

import pint
import pytest

from configurator.units import kinds
from configurator.units.dimension import Kind
from configurator.units.quantity import UnitFault, parse
from configurator.units.spellings import SPELLINGS, Spelling

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)

PINNED = [
    ("1 psi", kinds.PRESSURE, 6894.757),
    ("1 floz", kinds.VOLUME, 29.57353e-6),
    ("1 gal/h", kinds.VOLUME_FLOW, 63.0902e-6 / 60),
    ("1 lbf*in", kinds.TORQUE, 0.112985),
    ("1 cSt", kinds.KINEMATIC_VISCOSITY, 1e-6),
    ("1 P", kinds.VISCOSITY, 0.1),
    ("1 mL/min", kinds.VOLUME_FLOW, 1.66667e-8),
]

IN_PINT = {name: spelling for name, spelling in SPELLINGS.items() if spelling.pint is not None}


@pytest.mark.parametrize(("text", "kind", "si"), PINNED)
def test_a_unit_has_the_factor_that_was_noted_from_pint(text: str, kind: Kind, si: float) -> None:
    assert parse(text, kind).nominal == pytest.approx(si, rel=5e-6)


@pytest.mark.parametrize(("name", "spelling"), IN_PINT.items(), ids=IN_PINT)
def test_every_spelling_has_the_factor_and_offset_of_pint(name: str, spelling: Spelling) -> None:
    assert spelling.pint is not None
    unit = spelling.unit
    one, zero = (REGISTRY.Quantity(value, spelling.pint).to_root_units() for value in (1.0, 0.0))
    powers = dict(unit.dimension.powers)
    # Pint counts a turn in radians and a mass in grams.
    scale = (2 * math.pi) ** powers.get("turn", 0.0) * 1000 ** powers.get("mass", 0.0)
    expected = [float(unit.factor + unit.offset) * scale, float(unit.offset) * scale]
    assert [one.magnitude, zero.magnitude] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("name", "spelling"), IN_PINT.items(), ids=IN_PINT)
def test_every_spelling_has_the_dimension_of_pint(name: str, spelling: Spelling) -> None:
    assert spelling.pint is not None
    own = {f"[{base}]": power for base, power in spelling.unit.dimension.powers}
    named = {"[amount]": "[substance]"}
    # Pint has no dimension for turns and angles, which is why ours are kept apart.
    expected = {
        named.get(base, base): power
        for base, power in own.items()
        if base not in ("[turn]", "[angle]")
    }
    assert dict(REGISTRY.Quantity(1.0, spelling.pint).dimensionality) == expected


def test_the_hardness_scales_are_all_that_pint_does_not_check() -> None:
    assert SPELLINGS.keys() - IN_PINT.keys() == {"HV", "Mohs", "mohs"}


def test_pint_takes_a_mil_for_an_angle_and_so_we_refuse_it() -> None:
    assert REGISTRY.Quantity(1.0, "mil").dimensionless
    with pytest.raises(UnitFault, match="write thou or um"):
        parse("1 mil", kinds.LENGTH)
    assert parse("1 thou", kinds.LENGTH).nominal == pytest.approx(25.4e-6, rel=1e-15)


def test_pint_refuses_degrees_as_text_and_we_read_them() -> None:
    with pytest.raises(pint.OffsetUnitCalculusError):
        REGISTRY("25 degC")
    ours = parse("25 degC", kinds.TEMPERATURE).nominal
    assert ours == pytest.approx(REGISTRY.Quantity(25, "degC").to("kelvin").magnitude, rel=1e-15)


def test_pint_takes_a_turn_for_radians_and_we_keep_turns() -> None:
    assert REGISTRY.Quantity(60.0, "rpm").to("1/s").magnitude == pytest.approx(2 * math.pi)
    assert parse("60 rpm", kinds.ROTATION).nominal == 1.0
