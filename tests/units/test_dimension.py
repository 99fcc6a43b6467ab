"""Dimensions, units and kinds of quantity."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from configurator.units import kinds
from configurator.units.dimension import PLAIN, Dimension, Kind, Unit
from configurator.units.interval import Interval
from configurator.units.kinds import KINDS, dimension_in_words
from configurator.units.quantity import UnitFault, parse

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


WITH_UNIT = [kind for kind in KINDS if not kind.bare and not kind.per_cent]
WITH_MAXIMUM = [kind for kind in KINDS if kind.maximum is not None]
EVERY_KIND = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)


@EVERY_KIND
def test_a_kind_accepts_its_own_example(kind: Kind) -> None:
    assert kind.allows(parse(kind.example, kind))


@pytest.mark.parametrize("kind", WITH_UNIT, ids=lambda kind: kind.name)
def test_the_si_unit_of_a_kind_has_factor_one(kind: Kind) -> None:
    assert parse(f"1 {kind.unit}", kind) == Interval.exact(1.0)


@EVERY_KIND
def test_every_listed_unit_of_a_kind_fits_it(kind: Kind) -> None:
    for unit in kind.units:
        parse(f"0.5 {unit}", replace(kind, minimum=None, maximum=None))


@EVERY_KIND
def test_a_kind_says_what_it_accepts_with_its_example(kind: Kind) -> None:
    assert kind.example in kind.accepted
    assert kind.name in kind.accepted


@EVERY_KIND
def test_a_negative_value_is_refused_exactly_where_it_is_impossible(kind: Kind) -> None:
    may_be_negative = {"temperature difference", "relative change", "number"}
    negative = Interval.exact(-0.5) if not kind.whole else Interval.exact(-1.0)
    assert kind.allows(negative) == (kind.name in may_be_negative)


@EVERY_KIND
def test_zero_is_refused_where_the_kind_is_positive(kind: Kind) -> None:
    assert kind.allows(Interval.exact(0.0)) != kind.positive


@pytest.mark.parametrize("kind", WITH_MAXIMUM, ids=lambda kind: kind.name)
def test_a_value_at_the_maximum_is_allowed_and_above_it_refused(kind: Kind) -> None:
    assert kind.maximum is not None
    assert kind.allows(Interval.exact(kind.maximum))
    assert not kind.allows(Interval.exact(kind.maximum * 2))


@EVERY_KIND
def test_bounds_are_said_in_words(kind: Kind) -> None:
    bounded = kind.positive or kind.nonnegative or kind.minimum is not None
    assert bool(kind.bounds_in_words) == bounded


def test_names_of_kinds_are_unique() -> None:
    assert len({kind.name for kind in KINDS}) == len(KINDS)


def test_articles_follow_the_sound_of_the_name() -> None:
    assert kinds.AREA.a_name == "an area"
    assert kinds.PRESSURE.a_name == "a pressure"


def test_bounds_without_words_of_their_own_are_given_in_si() -> None:
    kind = replace(kinds.NUMBER, name="slope", minimum=-2.0, maximum=3.0, unit="Pa")
    assert kind.bounds_in_words == "at least -2 Pa and at most 3 Pa"
    with pytest.raises(UnitFault, match="at least -2 Pa"):
        parse("-2.5", kind)


def test_a_count_is_whole() -> None:
    assert kinds.COUNT.allows(Interval(1.0, 2.0, 3.0))
    assert not kinds.COUNT.allows(Interval.exact(2.5))


def test_a_dimension_without_a_name_is_described_by_its_powers() -> None:
    assert dimension_in_words(Dimension.of(length=4)) == "length^4"
    assert dimension_in_words(Dimension()) == "a plain number"
    assert dimension_in_words(kinds.VOLUME_FLOW.dimension) == "a volume flow"
