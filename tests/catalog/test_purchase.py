"""Prices as people write them, and how long it takes until enough of a part are there."""

from __future__ import annotations

import math

import pytest
from small_world import World

from configurator.catalog.purchase import money_of, wait_of

DAY = 86_400.0


@pytest.mark.parametrize(
    ("text", "currency", "amount"),
    [
        ("120 EUR", "EUR", 120.0),
        ("EUR 1.240,50", "EUR", 1240.5),
        ("€1,240.5", "EUR", 1240.5),
        ("1 240,50 €", "EUR", 1240.5),
        ("CHF 1'240.50", "CHF", 1240.5),
        ("1,240 USD", "USD", 1240.0),
        ("$ 12.40", "$", 12.4),
        ("0.95 GBP", "GBP", 0.95),
    ],
)
def test_a_price_is_read_as_people_write_it(text, currency, amount):
    assert money_of(text) == (currency, amount)


@pytest.mark.parametrize("text", ["", "on request", "12", "EUR", "EUR 12 USD", "12 EUR each", "x"])
def test_what_is_not_one_amount_in_one_currency_is_no_price(text):
    assert money_of(text) is None


@pytest.mark.parametrize(
    ("changes", "one", "two"),
    [
        ({}, math.nan, math.nan),
        ({"delivery": "3..5 days"}, 5.0, 5.0),
        ({"delivery": "3 days", "stock": 1}, 0.0, 3.0),
        ({"stock": 1}, 0.0, math.nan),
        ({"stock": 2}, 0.0, 0.0),
        ({"stock": 0, "delivery": "2 weeks"}, 14.0, 14.0),
    ],
)
def test_the_stock_is_taken_before_anything_is_waited_for(changes, one, two):
    world = World().having({f"seal.{name}": value for name, value in changes.items()})
    seal = world.catalog.slot("seal")[0]

    found = [wait_of(seal, quantity) / DAY for quantity in (1, 2)]

    assert found == pytest.approx([one, two], nan_ok=True)


def test_one_dual_cartridge_is_enough_for_both_sides():
    changes = {"kind": "dual cartridge", "second_capacity": "300 mL", "stock": 1}
    world = World().having({f"feed.{name}": value for name, value in changes.items()})

    assert wait_of(world.catalog.slot("feed")[0], 2) == 0.0
