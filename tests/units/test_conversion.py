"""Phrases become intervals of one kind, exactly."""

from __future__ import annotations

import pytest

from configurator.units import kinds
from configurator.units.conversion import interval_of
from configurator.units.dimension import Kind, Unit
from configurator.units.grammar import UnreadableError, read_phrase, read_unit
from configurator.units.interval import Interval


def from_table(text: str) -> Unit:
    return read_unit(text, lambda _name: None)


def converted(text: str, kind: Kind) -> Interval:
    return interval_of(read_phrase(text), kind, from_table)


@pytest.mark.parametrize(
    ("text", "kind", "low", "nominal", "high"),
    [
        ("18..28 degC", kinds.TEMPERATURE, 291.15, 296.15, 301.15),
        ("23 degC +/- 2 degC", kinds.TEMPERATURE, 294.15, 296.15, 298.15),
        ("23 degC +/- 2 K", kinds.TEMPERATURE, 294.15, 296.15, 298.15),
        ("296.15 K", kinds.TEMPERATURE, 296.15, 296.15, 296.15),
        ("73.4 degF +/- 1.8 degF", kinds.TEMPERATURE, 295.15, 296.15, 297.15),
        ("5 degC", kinds.TEMPERATURE_DIFFERENCE, 5.0, 5.0, 5.0),
        ("9 degF", kinds.TEMPERATURE_DIFFERENCE, 5.0, 5.0, 5.0),
        ("20 Pa*s +/- 15 %", kinds.VISCOSITY, 17.0, 20.0, 23.0),
        ("20 Pa*s +/- 2000 cP", kinds.VISCOSITY, 18.0, 20.0, 22.0),
        ("500 mL/min .. 1.2 L/min", kinds.VOLUME_FLOW, 5e-4 / 60, 8.5e-4 / 60, 2e-5),
        ("3..6", kinds.COUNT, 3.0, 4.0, 6.0),
        ("0.4..0.5", kinds.FLOW_INDEX, 0.4, 0.45, 0.5),
        ("120 rpm", kinds.ROTATION, 2.0, 2.0, 2.0),
        ("2 1/s", kinds.ROTATION, 2.0, 2.0, 2.0),
        ("2 Hz", kinds.ROTATION, 2.0, 2.0, 2.0),
        ("0.8 mL", kinds.DISPLACEMENT, 8e-7, 8e-7, 8e-7),
        ("0.8 mL/rev", kinds.DISPLACEMENT, 8e-7, 8e-7, 8e-7),
        ("160 Pa*s^n", kinds.CONSISTENCY, 160.0, 160.0, 160.0),
        ("18 MPa^0.5", kinds.SOLUBILITY_PARAMETER, 18000.0, 18000.0, 18000.0),
        ("-4 % .. 12 %", kinds.RELATIVE_CHANGE, -0.04, 0.04, 0.12),
    ],
)
def test_a_text_becomes_the_interval_that_it_says(
    text: str, kind: Kind, low: float, nominal: float, high: float
) -> None:
    # Exact equality: the arithmetic is done in fractions and rounded once.
    found = converted(text, kind)
    assert (found.low, found.high) == (low, high)
    assert found.nominal == pytest.approx(nominal, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "reason"),
    [
        ("6", kinds.PRESSURE, "write a unit, for example"),
        ("6 mL", kinds.PRESSURE, "mL is a volume, not a pressure"),
        ("6 bar +/- 2 s", kinds.PRESSURE, "s is a time, not a pressure"),
        ("120 rpm", kinds.SHEAR_RATE, "a speed of rotation, not a shear rate"),
        ("0.45 mm", kinds.NUMBER, "a number has no unit"),
        ("40 cSt", kinds.VISCOSITY, "needs the density"),
        ("160 Pa*s", kinds.CONSISTENCY, r"write Pa\*s\^n"),
        ("28..18 degC", kinds.TEMPERATURE, "reversed"),
        ("20 s +/- -2 s", kinds.TIME, "a tolerance is not negative"),
        ("23 degC +/- 5 %", kinds.TEMPERATURE, "two meanings"),
        ("20 % +/- 5 %", kinds.FRACTION, "two meanings"),
        ("20 +/- 15 %", kinds.VISCOSITY, "write a unit"),
        ("0.04", kinds.FRACTION, "write a unit"),
    ],
)
def test_what_does_not_fit_is_refused_with_a_reason(text: str, kind: Kind, reason: str) -> None:
    with pytest.raises(UnreadableError, match=reason):
        converted(text, kind)


def test_one_flow_written_in_four_ways_is_one_float() -> None:
    ways = ("0.72 L/min", "12 mL/s", "0.012 L/s", "43.2 L/h")
    assert {converted(text, kinds.VOLUME_FLOW).nominal for text in ways} == {1.2e-5}


def test_an_angle_and_an_angular_rate_differ_by_two_pi_from_turns() -> None:
    assert converted("1 rev", kinds.ANGLE).nominal == pytest.approx(6.283185307179586)
    assert converted("180 deg", kinds.ANGLE).nominal == pytest.approx(3.141592653589793)
    assert converted("720 deg/s", kinds.ROTATION).nominal == pytest.approx(2.0, rel=1e-15)
