"""Laws of showing quantities: what is shown reads back, within three figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from configurator.units.dimension import Kind
from configurator.units.display import figures, round3, show, show_value, text_for, unit_for
from configurator.units.interval import Interval
from configurator.units.kinds import KINDS
from configurator.units.quantity import parse

ANY_FLOAT = st.floats(allow_nan=True, allow_infinity=True)
ORDINARY = st.floats(1e-6, 1e8)
PLAIN_KINDS = st.sampled_from([kind for kind in KINDS if not kind.absolute and not kind.whole])


@given(value=ANY_FLOAT)
@settings(max_examples=300)
def test_any_float_is_shown_without_minus_zero_or_nan(value: float) -> None:
    text = figures(value)
    assert "nan" not in text
    assert "inf" not in text
    assert text != "-0"
    assert not text.startswith("-0e")
    for unit in ("uL/min", "bar", "degC", "km"):
        assert "nan" not in show(value, unit)
        assert "inf" not in show(value, unit)


@given(value=ORDINARY, sign=st.sampled_from([1.0, -1.0]))
def test_an_ordinary_number_has_no_exponent_and_is_right_to_three_figures(
    value: float, sign: float
) -> None:
    text = figures(sign * value)
    assert "e" not in text
    assert float(text) == round3(sign * value)
    assert float(text) == pytest.approx(sign * value, rel=5.001e-3)


@given(value=st.floats(-1e300, 1e300))
def test_rounding_twice_is_rounding_once(value: float) -> None:
    once = round3(value)
    assert round3(once) == once
    assert math.copysign(1.0, once) == 1.0 or once < 0


@given(value=ORDINARY, kind=PLAIN_KINDS)
@settings(max_examples=300, deadline=None)
def test_what_is_shown_reads_back_to_three_figures(value: float, kind: Kind) -> None:
    assume(kind.allows(Interval.exact(value * 1.01)))
    # The display writes "N m", which the grammar reads as a product.
    assert parse(show_value(value, kind), kind).nominal == pytest.approx(value, rel=5.001e-3)


@given(ends=st.tuples(ORDINARY, ORDINARY), kind=PLAIN_KINDS)
@settings(max_examples=200, deadline=None)
def test_the_text_of_a_program_reads_back_as_its_bounds(
    ends: tuple[float, float], kind: Kind
) -> None:
    interval = Interval.of(min(ends), max(ends))
    assume(kind.allows(interval.scaled(1.001)))
    back = parse(text_for(interval, kind), kind)
    assert (back.low, back.high) == pytest.approx((interval.low, interval.high), rel=1e-5)


@given(kelvin=st.floats(150.0, 1500.0))
def test_a_temperature_is_shown_in_degrees_and_reads_back(kelvin: float) -> None:
    kind = next(kind for kind in KINDS if kind.absolute)
    assert unit_for(kind, kelvin) == "degC"
    text = show(kelvin, "degC")
    celsius = kelvin - 273.15
    assert parse(text, kind).nominal == pytest.approx(
        kelvin, abs=max(abs(celsius) * 5.001e-3, 1e-6)
    )
