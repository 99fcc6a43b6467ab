"""The parts of a build as they are bought: the table of the sheet, and the list for purchasing."""

from __future__ import annotations

from configurator.report.machine import csv_text
from configurator.report.sheet_data import SheetData, slot_words
from configurator.units.display import figures

BUYING = {
    "order_text": "column_order",
    "price": "column_price",
    "delivery": "column_delivery",
    "stock": "column_stock",
}
"""What the parts for purchasing say beside what they are, with the heads of their columns."""


def part_table(data: SheetData) -> tuple[list[str], list[list[str]], list[int]]:
    """Heads, rows and columns of numbers; what no part of the build states has no column."""
    bought = data.bought
    optional = [name for name in BUYING if any(each.stated[name] for each in bought)]
    heads = ["column_slot", "column_quantity", "column_part", "column_title"]
    rows = [
        [
            ", ".join(slot_words(slot, data.say) for slot in each.slots),
            str(each.quantity),
            each.part.name,
            each.part.title,
            *(each.stated[name] for name in optional),
            figures(each.part.cost_index.nominal),
        ]
        for each in bought
    ]
    heads += [BUYING[name] for name in optional]
    return [*heads, "column_cost"], rows, [1, 4 + len(optional)]


def longest_wait(data: SheetData) -> str:
    """Until when the whole head is there; empty where the catalog states nothing of it."""
    waits = [(each.wait, each) for each in data.bought if each.wait is not None]
    unstated = len(data.bought) - len(waits)
    if not waits:
        return ""
    longest, last = max(waits, key=lambda wait: wait[0])
    part = f"{', '.join(slot_words(slot, data.say) for slot in last.slots)} {last.part.name}"
    told = (
        data.say("all_in_stock")
        if longest == 0.0
        else data.say("longest_delivery", part=part, delivery=last.stated["delivery"])
    )
    rest = data.say("delivery_unstated", count=unstated)
    return f"{told}; {rest}" if unstated else told


def parts_csv(data: SheetData) -> str:
    """Return the parts for purchasing, a row each."""
    return csv_text(
        ("slots", "part", "title", "quantity", *BUYING, "cost_index"),
        (
            (
                " ".join(each.slots),
                each.part.name,
                each.part.title,
                float(each.quantity),
                *(each.stated[name] for name in BUYING),
                each.part.cost_index.nominal,
            )
            for each in data.bought
        ),
    )
