"""What a catalog states of buying its parts: amounts of money as people write them, and waits."""

from __future__ import annotations

import math
import re

from configurator.catalog.parts import Feed, Part

AMOUNT = re.compile(
    r"(?P<before>[A-Z]{3}|[€$£¥])?\s*(?P<number>\d[\d., ']*?)\s*(?P<after>[A-Z]{3}|[€$£¥])?"
)
"""A number with a currency on one side: a code of ISO 4217, or a sign."""

CENTS = re.compile(r"[.,](\d{1,2})$")
"""One or two digits behind the last point or comma are a fraction, three are thousands."""

CODES = {"€": "EUR", "£": "GBP"}
"""Signs that stand for one currency; those that stand for several are left as they are."""


def money_of(text: str) -> tuple[str, float] | None:
    """Currency and amount of a price; None if the text is not just that.

    >>> money_of("EUR 1.240,50"), money_of("12 €"), money_of("on request")
    (('EUR', 1240.5), ('EUR', 12.0), None)
    """
    said = AMOUNT.fullmatch(text.strip())
    if said is None or (said["before"] is None) == (said["after"] is None):
        return None
    cents = CENTS.search(said["number"])
    whole = said["number"][: cents.start()] if cents else said["number"]
    digits = re.sub(r"\D", "", whole)
    currency = said["before"] or said["after"]
    return CODES.get(currency, currency), float(f"{digits}.{cents[1] if cents else 0}")


def wait_of(part: Part, quantity: int) -> float:
    """How long it takes until enough of a part are there, at most; NaN where nobody states it. [s]

    One dual cartridge is enough for both sides.
    """
    needed = 1 if isinstance(part, Feed) and part.both_sides else quantity
    if part.is_nothing or (part.stock is not None and part.stock.low >= needed):
        return 0.0
    return math.nan if part.delivery is None else part.delivery.high
