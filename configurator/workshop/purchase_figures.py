"""Figures of buying a build: what its parts cost, and when the last of them is there."""

from __future__ import annotations

import numpy as np

from configurator.catalog.parts import PAIR, Feed, Part
from configurator.catalog.purchase import money_of, wait_of
from configurator.rules.case import Case
from configurator.rules.frame import Floats, Frame

DAY = 86_400.0


def price_terms(case: Case) -> list[Floats]:
    """Prices of the parts, the sum of which puts builds in order.

    A part without a price counts for more than all that have one, so that builds stand by how
    many of their parts lack one, and then by what the others cost together.
    """
    prices = _prices(case.frame)
    dearest = 1.0 + sum(max(each[~np.isnan(each)], default=0.0) for each in prices.values())
    filled = {slot: np.where(np.isnan(each), dearest, each) for slot, each in prices.items()}
    return [np.asarray(case.frame.place(slot, each)) for slot, each in filled.items()]


def price(case: Case) -> Floats:
    """Price of all parts in the one currency of the catalog; NaN where a part states none."""
    placed = (case.frame.place(slot, each) for slot, each in _prices(case.frame).items())
    return np.asarray(sum(placed, np.asarray(0.0)))


def _prices(frame: Frame) -> dict[str, Floats]:
    """One price a part of each slot; all NaN where two currencies would be added up."""
    money = {slot: [_money(part) for part in parts] for slot, parts in frame.parts.items()}
    currencies = {currency for each in money.values() for currency, _ in each if currency}
    unlike = np.nan if len(currencies) > 1 else 0.0
    return {slot: np.array([amount + unlike for _, amount in each]) for slot, each in money.items()}


def _money(part: Part) -> tuple[str, float]:
    """Of a part in one slot: a dual cartridge stands in two."""
    currency, amount = money_of(part.price) or ("", 0.0 if part.is_nothing else np.nan)
    return currency, amount / (PAIR if isinstance(part, Feed) and part.both_sides else 1)


def deliveries(case: Case) -> list[Floats]:
    """Delivery times of the parts in days, the longest of which is that of the build.

    Of what both sides hold alike the stock has to cover two.
    """
    frame = case.frame
    found = [frame.numbers(slot, lambda part: wait_of(part, 1) / DAY) for slot in frame.slots]
    pairs = [(slot, "b" + slot[1:]) for slot in frame.slots if slot.startswith("a.")]
    return found + [_of_two(frame, *pair) for pair in pairs]


def _of_two(frame: Frame, slot: str, other: str) -> Floats:
    """Until two of a part are there where both sides hold it; no time where they do not."""
    names = sorted({part.name for each in (slot, other) for part in frame.parts[each]})
    here = frame.numbers(slot, lambda part: names.index(part.name))
    there = frame.numbers(other, lambda part: names.index(part.name))
    wait = frame.numbers(slot, lambda part: wait_of(part, PAIR) / DAY)
    return np.where(here == there, wait, 0.0)


def delivery(case: Case) -> Floats:
    """Days until the last part is there; NaN where a part states neither enough stock nor a time."""
    return np.asarray(np.maximum.reduce(np.broadcast_arrays(*deliveries(case))))
