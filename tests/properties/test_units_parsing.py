"""Laws of reading quantities, for any text and any unit of a dimension."""

from __future__ import annotations

import string
from fractions import Fraction
from functools import cache

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from configurator.units import kinds
from configurator.units.dimension import Kind, Unit
from configurator.units.grammar import UnreadableError, read_phrase, read_unit
from configurator.units.interval import Interval
from configurator.units.kinds import KINDS
from configurator.units.quantity import UnitFault, parse
from configurator.units.spellings import SPELLINGS

ANY_KIND = st.sampled_from(KINDS)
ATOMS = [name for name, row in SPELLINGS.items() if row.pint is not None and not row.unit.offset]
PIECES = st.sampled_from(
    [
        *SPELLINGS,
        *"0123456789.,+-*/^%()[]{} ",
        "..",
        "+/-",
        " to ",
        "**",
        "^n",
        "1e",
        "nan",
        "inf",
        "\N{MICRO SIGN}",
        "\N{DEGREE SIGN}C",
        "\N{SUPERSCRIPT TWO}",
        "\x00",
        "\u202e",
        "\n",
        "__",
    ]
)


@cache
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry(cache_folder=None)


def from_table(text: str) -> Unit:
    return read_unit(text, lambda _name: None)


def parsed(text: str, kind: Kind) -> Interval | UnitFault:
    """Return the interval or the fault; any other exception fails the test."""
    try:
        return parse(text, kind)
    except UnitFault as fault:
        return fault


def refused_or_within_bounds(text: str, kind: Kind) -> None:
    found = parsed(text, kind)
    if isinstance(found, UnitFault):
        assert found.given == text
        assert found.accepted
        assert found.hint
    else:
        assert found.low <= found.nominal <= found.high
        assert kind.allows(found)


@given(text=st.text(max_size=250), kind=ANY_KIND)
@settings(max_examples=300, deadline=None)
def test_any_text_is_a_quantity_or_a_unit_fault(text: str, kind: Kind) -> None:
    refused_or_within_bounds(text, kind)


@given(pieces=st.lists(PIECES, max_size=30), kind=ANY_KIND)
@settings(max_examples=600, deadline=None)
def test_any_text_of_almost_right_pieces_is_a_quantity_or_a_unit_fault(
    pieces: list[str], kind: Kind
) -> None:
    refused_or_within_bounds("".join(pieces), kind)


@given(character=st.sampled_from(string.printable), count=st.integers(100, 200), kind=ANY_KIND)
@settings(max_examples=150, deadline=2000)
def test_a_long_row_of_one_sign_is_refused_without_hanging(
    character: str, count: int, kind: Kind
) -> None:
    refused_or_within_bounds(f"1{character * (count - 1)}", kind)


@given(
    value=st.decimals("1e-9", "1e9", places=9).filter(lambda value: value > 0),
    names=st.lists(
        st.tuples(st.sampled_from("*/"), st.sampled_from(ATOMS)), min_size=1, max_size=4
    ),
)
@settings(max_examples=200, deadline=None)
def test_any_product_of_units_has_the_factor_of_pint(
    value: object, names: list[tuple[str, str]]
) -> None:
    text = "1" + "".join(join + name for join, name in names)
    ours = from_table(text if names[0][0] == "/" else text[2:])
    quantity = registry().Quantity(float(str(value)))
    for join, name in names:
        unit = registry().Quantity(1.0, str(SPELLINGS[name].pint))
        quantity = quantity * unit if join == "*" else quantity / unit
    powers = dict(ours.dimension.powers)
    # Pint counts a turn in radians and a mass in grams.
    scale = 6.283185307179586 ** powers.get("turn", 0.0) * 1000 ** powers.get("mass", 0.0)
    expected = quantity.to_root_units().magnitude
    assert float(Fraction(str(value)) * ours.factor) * scale == pytest.approx(expected, rel=1e-11)


@given(
    numbers=st.lists(st.decimals("0.001", "1000", places=3), min_size=2, max_size=2, unique=True),
    kind=st.sampled_from([kind for kind in KINDS if kind.units and not kind.absolute]),
    data=st.data(),
)
@settings(max_examples=200, deadline=None)
def test_a_range_spans_what_its_ends_say_alone(
    numbers: list[object], kind: Kind, data: st.DataObject
) -> None:
    unit = data.draw(st.sampled_from(kind.units))
    low, high = sorted(numbers, key=lambda number: Fraction(str(number)))
    ends = [parsed(f"{number} {unit}", kind) for number in (low, high)]
    assume(not any(isinstance(end, UnitFault) for end in ends))
    both = parse(f"{low}..{high} {unit}", kind)
    assert [Interval.exact(both.low), Interval.exact(both.high)] == ends
    assert parse(f"{low} {unit} .. {high} {unit}", kind) == both
    assert parse(f"{low} to {high} {unit}", kind) == both


@given(
    ends=st.lists(st.floats(-1e9, 1e9), min_size=2, max_size=2),
    join=st.sampled_from(["..", " .. ", " to "]),
)
@settings(max_examples=200, deadline=None)
def test_a_range_may_have_any_signs_and_exponents(ends: list[float], join: str) -> None:
    assume(all(end == 0 or abs(end) > 1e-20 for end in ends))
    low, high = sorted(ends)
    for kind, unit in ((kinds.TEMPERATURE_DIFFERENCE, " K"), (kinds.NUMBER, "")):
        interval = parse(f"{low!r}{join}{high!r}{unit}", kind)
        assert (interval.low, interval.high) == (low, high)


@given(value=st.decimals("0.01", "100", places=2), percent=st.integers(0, 99))
@settings(deadline=None)
def test_a_relative_and_an_absolute_tolerance_agree(value: object, percent: int) -> None:
    exact = Fraction(str(value))
    half = exact * percent / 100
    relative = parse(f"{value} Pa*s +/- {percent} %", kinds.VISCOSITY)
    absolute = parse(f"{value} Pa*s +/- {float(half):.4f} Pa*s", kinds.VISCOSITY)
    assert (relative.low, relative.high) == (float(exact - half), float(exact + half))
    assert absolute == relative


@given(whole=st.integers(0, 999), decimals=st.integers(0, 99999), kind=ANY_KIND)
@settings(deadline=None)
def test_a_comma_decimal_is_never_read(whole: int, decimals: int, kind: Kind) -> None:
    for unit in ("", *kind.units):
        text = f"{whole},{decimals} {unit}".strip()
        found = parsed(text, kind)
        assert isinstance(found, UnitFault)
        assert "point" in found.hint or found.hint == f"write {text.replace(',', '.')}"


@given(value=st.decimals("-1e6", "1e6", places=6))
@settings(deadline=None)
def test_the_scales_of_temperature_agree_with_pint(value: object) -> None:
    for unit in ("degC", "degF", "K"):
        theirs = registry().Quantity(float(str(value)), unit).to("kelvin").magnitude
        amount = read_phrase(f"{value} {unit}").first
        ours = from_table(unit)
        assert float(amount.number * ours.factor + ours.offset) == pytest.approx(
            theirs, abs=1e-9, rel=1e-12
        )


@given(name=st.text(string.ascii_letters + "%_", min_size=1, max_size=30))
@settings(max_examples=200, deadline=None)
def test_any_name_is_a_unit_of_the_table_or_refused(name: str) -> None:
    if name in SPELLINGS:
        assert from_table(name) == SPELLINGS[name].unit
    else:
        with pytest.raises(UnreadableError, match=r"."):
            from_table(name)
