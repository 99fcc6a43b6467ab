"""The table of spellings is well formed; its factors are held against pint elsewhere."""

from __future__ import annotations

import re

import pytest

from configurator.units.grammar import UnreadableError, read_unit
from configurator.units.spellings import REFUSED, SPELLINGS


def nothing_else(name: str) -> None:
    raise AssertionError(f"{name} was looked up beyond the table")


@pytest.mark.parametrize("name", SPELLINGS)
def test_every_spelling_is_one_name_of_the_grammar(name: str) -> None:
    assert read_unit(name, nothing_else) == SPELLINGS[name].unit


@pytest.mark.parametrize("name", REFUSED)
def test_every_refused_name_is_refused_with_its_reason(name: str) -> None:
    with pytest.raises(UnreadableError, match=re.escape(REFUSED[name])):
        read_unit(name, nothing_else)


@pytest.mark.parametrize("name", ["mil", "gauge", "C", "ton"])
def test_a_refused_name_is_refused_inside_a_product_too(name: str) -> None:
    with pytest.raises(UnreadableError, match=re.escape(REFUSED[name])):
        read_unit(f"N*{name}/s", nothing_else)


def test_no_name_is_both_known_and_refused() -> None:
    assert not SPELLINGS.keys() & REFUSED.keys()


def test_factors_are_positive_and_only_temperatures_have_an_offset() -> None:
    assert all(spelling.unit.factor > 0 for spelling in SPELLINGS.values())
    offset = {name for name, spelling in SPELLINGS.items() if spelling.unit.offset}
    assert offset == {"degC", "degF"}
