"""Numbers are shown in trade units, three figures, without exponents."""

from __future__ import annotations

import math

import pytest

from configurator.units import kinds
from configurator.units.dimension import Kind
from configurator.units.display import (
    figures,
    in_unit,
    quantity_from,
    round3,
    show,
    show_interval,
    show_quantity,
    show_value,
    text_for,
    unit_for,
)
from configurator.units.interval import Basis, Interval
from configurator.units.quantity import parse, read_quantity

EVERY_KIND = pytest.mark.parametrize("kind", kinds.KINDS, ids=lambda kind: kind.name)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (12.345, "12.3"),
        (0.026, "0.026"),
        (1250.0, "1250"),
        (123456.0, "123000"),
        (9.999, "10"),
        (99.96, "100"),
        (0.5, "0.5"),
        (-0.0, "0"),
        (0.0, "0"),
        (-3.14159, "-3.14"),
        (1.5e-7, "1.5e-07"),
        (2.5e10, "2.5e+10"),
        (math.nan, "unknown"),
        (math.inf, "beyond bounds"),
        (-math.inf, "below bounds"),
    ],
)
def test_a_number_has_three_figures_and_no_needless_exponent(value: float, text: str) -> None:
    assert figures(value) == text


@pytest.mark.parametrize("value", [0.0, -0.0, math.inf])
def test_rounding_keeps_zero_and_infinity_and_drops_minus_zero(value: float) -> None:
    assert math.copysign(1.0, round3(value)) == 1.0
    assert round3(value) == value


def test_rounding_is_to_three_figures() -> None:
    assert round3(123456.0) == 123000.0
    assert round3(-0.00123456) == -0.00123
    assert math.isnan(round3(math.nan))


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (1.234e6, "bar", "12.3 bar"),
        (2.6e-8, "mL/rev", "0.026 mL/rev"),
        (296.15, "degC", "23 degC"),
        (273.15, "degC", "0 degC"),
        (296.15, "degF", "73.4 degF"),
        (2.0, "rpm", "120 rpm"),
        (1.5, "N*m", "1.5 N m"),
        (0.45, "", "0.45"),
        (0.45, "1", "0.45"),
        (0.04, "%", "4 %"),
        (math.pi, "deg", "180 deg"),
        (math.nan, "bar", "unknown"),
        (math.inf, "bar", "beyond bounds"),
        (-1e-30, "Pa", "-1e-30 Pa"),
    ],
)
def test_an_si_value_is_shown_in_a_trade_unit(value: float, unit: str, text: str) -> None:
    assert show(value, unit) == text


def test_a_unit_beyond_the_table_is_a_slip_of_the_program() -> None:
    with pytest.raises(ValueError, match="not in the table"):
        show(1.0, "mmHg")
    assert math.isnan(in_unit(math.nan, "bar"))


@pytest.mark.parametrize(
    ("value", "kind", "text"),
    [
        (2e-7, kinds.VOLUME_FLOW, "12 mL/min"),
        (1e-7 / 60, kinds.VOLUME_FLOW, "0.1 mL/min"),
        (0.9e-7 / 60, kinds.VOLUME_FLOW, "90 uL/min"),
        (2e-5, kinds.VOLUME_FLOW, "1.2 L/min"),
        (5e-5, kinds.LENGTH, "50 um"),
        (1.2e-3, kinds.LENGTH, "1.2 mm"),
        (1e-4, kinds.LENGTH, "0.1 mm"),
        (2.0, kinds.LENGTH, "2 m"),
        (0.0, kinds.LENGTH, "0 mm"),
        (6e5, kinds.PRESSURE, "6 bar"),
        (20.0, kinds.PRESSURE, "20 Pa"),
        (8e6, kinds.MODULUS, "8 MPa"),
        (0.005, kinds.VISCOSITY, "5 mPa*s"),
        (20.0, kinds.VISCOSITY, "20 Pa*s"),
        (0.09, kinds.TIME, "90 ms"),
        (90.0, kinds.TIME, "90 s"),
        (1800.0, kinds.TIME, "30 min"),
        (301.15, kinds.TEMPERATURE, "28 degC"),
        (5.0, kinds.TEMPERATURE_DIFFERENCE, "5 K"),
        (2.0, kinds.ROTATION, "120 rpm"),
        (1.5, kinds.TORQUE, "1.5 N m"),
        (0.04, kinds.FRACTION, "4 %"),
        (5e-6, kinds.FRACTION, "5 ppm"),
        (3.0, kinds.COUNT, "3"),
        (math.nan, kinds.PRESSURE, "unknown"),
    ],
)
def test_a_kind_chooses_the_unit_that_suits_the_value(value: float, kind: Kind, text: str) -> None:
    assert show_value(value, kind) == text


@EVERY_KIND
def test_every_unit_that_a_kind_may_be_shown_in_is_of_its_dimension(kind: Kind) -> None:
    for exponent in range(-12, 12):
        unit = unit_for(kind, 10.0**exponent)
        if kind.absolute or not unit:
            continue
        # One of the unit, read back as a text, is the same in SI.
        back = in_unit(parse(f"0.5 {unit}", kind).nominal, unit)
        assert back == pytest.approx(0.5, rel=1e-12)


def test_a_range_has_one_unit_and_its_ends_in_words() -> None:
    assert show_interval(Interval.of(291.15, 301.15), kinds.TEMPERATURE) == "18 to 28 degC"
    assert show_interval(Interval.of(1e5, 2e5), kinds.PRESSURE, "kPa") == "100 to 200 kPa"
    assert show_interval(Interval.of(0.4, 0.5), kinds.FLOW_INDEX) == "0.4 to 0.5"


def test_a_range_whose_ends_look_the_same_is_one_number() -> None:
    assert show_interval(Interval.of(100000.0, 100000.1), kinds.PRESSURE) == "1 bar"


def test_a_quantity_is_shown_with_its_basis() -> None:
    given = read_quantity("20 Pa*s +/- 15 %", kinds.VISCOSITY, Basis.MEASURED)
    assert show_quantity(given) == "17 to 23 Pa*s (measured)"


@EVERY_KIND
def test_the_text_that_the_program_writes_for_an_example_reads_back(kind: Kind) -> None:
    interval = parse(kind.example, kind)
    back = parse(text_for(interval, kind), kind)
    assert back.nominal == pytest.approx(interval.nominal, rel=1e-5)


def test_a_quantity_of_the_program_says_in_text_what_its_bounds_say() -> None:
    made = quantity_from(Interval.of(1000.0, 1400.0), kinds.DENSITY, Basis.ESTIMATED, "by filler")
    assert made.text == "1 to 1.4 g/cm^3"
    assert made.note == "by filler"
    assert parse(made.text, kinds.DENSITY).high == pytest.approx(1400.0)


def test_a_quantity_of_the_program_keeps_the_bounds_of_its_kind() -> None:
    with pytest.raises(ValueError, match="above zero"):
        quantity_from(Interval.exact(0.0), kinds.DENSITY, Basis.ESTIMATED)
