"""What buying a part takes: a price that adds up, and how long one waits for it."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator

from configurator.catalog.catalog import Catalog
from configurator.catalog.checking import Check, Finding, where_of
from configurator.catalog.parts import PAIR, SHARED_SLOTS, Feed, Mixing, Part

PRICE = re.compile(
    r"(?P<before>[^\d\s.,'-]{1,4})?\s*"
    r"(?P<whole>\d+|\d{1,3}(?:(?P<apart>[ '.,])\d{3})(?:(?P=apart)\d{3})*)"
    r"(?:(?P<point>[.,])(?P<cents>\d{1,2}|-))?\s*"
    r"(?P<after>[^\d\s.,'-]{1,4})?"
)
"""An amount and its currency, before or after it; 1.234 alone may be two amounts and is none."""

DAY = 86400.0


def price_of_part(part: Part) -> tuple[float, str] | None:
    """Return amount and currency of a part; None where none can be read. Nothing costs nothing."""
    if isinstance(part, Mixing) and part.kind == "none":
        return 0.0, ""
    found = PRICE.fullmatch(part.price.strip())
    if found is None or (found["before"] and found["after"]):
        return None
    apart, point = found["apart"], found["point"]
    if apart is not None and apart in ".," and (point is None or point == apart):
        return None
    whole = int(re.sub(r"\D", "", found["whole"]))
    cents = (found["cents"] or "").replace("-", "")
    return whole + int(cents.ljust(2, "0") or 0) / 100, found["before"] or found["after"] or ""


def currencies(parts: Iterable[Part]) -> list[str]:
    """Return every currency of the amounts that are not naught, the commonest first."""
    stated = (price_of_part(part) for part in parts)
    counted = Counter(each[1] for each in stated if each is not None and each != (0.0, ""))
    return [currency for currency, _ in counted.most_common()]


def amount(part: Part) -> float:
    """Return what a part costs in its place, NaN where no price can be read.

    A dual cartridge stands in two places and is bought once.
    """
    stated = price_of_part(part)
    dual = isinstance(part, Feed) and part.second_capacity is not None
    return math.nan if stated is None else stated[0] * (0.5 if dual else 1.0)


def wait_in_days(slot: str, part: Part) -> float:
    """Return how long it takes until a part is there, at most; NaN where nobody states it.

    Of what both sides of a two-part head may hold, two have to lie on the shelf.
    """
    if isinstance(part, Mixing) and part.kind == "none":
        return 0.0
    dual = isinstance(part, Feed) and part.second_capacity is not None
    needed = 1 if dual or "." not in slot or slot in SHARED_SLOTS else PAIR
    if part.stock is not None and part.stock.low >= needed:
        return 0.0
    return math.nan if part.delivery is None else part.delivery.high / DAY


def _prices_unread(catalog: Catalog) -> Iterator[Finding]:
    every = [part for parts in catalog.parts.values() for part in parts]
    others = currencies(every)[1:]
    for part in every:
        stated = price_of_part(part)
        if part.price and stated is None:
            text = (
                f"{part.price} is no one amount with its currency, as 12.50 EUR: counts as unknown"
            )
            yield where_of(part), "price", text
        elif stated is not None and stated[0] and stated[1] in others:
            text = f"{part.price} and {currencies(every)[0]}: builds are compared in one currency"
            yield where_of(part), "price", text


CHECKS: tuple[Check, ...] = (Check("prices add up", "warning", _prices_unread),)
