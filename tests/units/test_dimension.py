"""Dimensions multiply exactly, and turns and angles do not vanish."""

from __future__ import annotations

import math
from fractions import Fraction

from configurator.units.dimension import PLAIN, Dimension, Unit

LENGTH = Dimension.of(length=1)


def test_a_dimension_divided_by_itself_is_a_plain_number() -> None:
    assert (LENGTH * LENGTH**-1).powers == ()
    assert str(Dimension()) == "a plain number"


def test_the_order_of_factors_does_not_matter() -> None:
    time = Dimension.of(time=-1)
    assert LENGTH * time == time * LENGTH == Dimension.of(time=-1, length=1)


def test_powers_are_written_out() -> None:
    assert str(Dimension.of(mass=1, length=-1, time=-2)) == "mass/length/time^2"
    assert str(Dimension.of(time=-1)) == "1/time"
    assert str(Dimension.of(mass=0.5)) == "mass^0.5"


def test_a_turn_is_not_a_plain_number() -> None:
    assert Dimension.of(turn=1, time=-1) != Dimension.of(time=-1)


def test_whole_powers_of_a_factor_are_exact() -> None:
    third = Unit(LENGTH, Fraction(1, 3))
    assert third**3 == Unit(LENGTH**3, Fraction(1, 27))
    assert third**-1 == Unit(LENGTH**-1, Fraction(3))


def test_the_root_of_a_square_is_exact_and_others_are_floats() -> None:
    assert (Unit(LENGTH, Fraction(10**6)) ** 0.5).factor == 1000
    assert (Unit(LENGTH, Fraction(4, 9)) ** -0.5).factor == Fraction(3, 2)
    assert float((Unit(LENGTH, Fraction(2)) ** 1.5).factor) == math.sqrt(2) ** 3


def test_a_product_has_no_offset() -> None:
    celsius = Unit(Dimension.of(temperature=1), Fraction(1), Fraction("273.15"))
    assert (PLAIN * celsius).offset == 0
    assert celsius**1 == celsius
    assert (celsius**-1).offset == 0
