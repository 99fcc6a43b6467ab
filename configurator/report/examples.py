"""The shipped materials and processes, as table, JSON or CSV."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from configurator.report.lines import columns, wrapped
from configurator.report.machine import csv_text, json_text
from configurator.report.table import WIDTH
from configurator.request.material import Material
from configurator.request.process import Process

SCHEMA = 1


def examples_table(
    materials: Sequence[Material], processes: Sequence[Process], *, width: int = WIDTH
) -> str:
    """Return the shipped examples as text."""
    blocks = []
    for head, entries in (("Materials", materials), ("Processes", processes)):
        rows = [(f"  {entry.name}", entry.title) for entry in entries]
        laid_out = columns(("", ""), rows, width)
        blocks.append([head, *(line for lines in laid_out[1:] for line in lines)])
    invented = all(entry.invented for entries in (materials, processes) for entry in entries)
    blocks.append(
        wrapped(
            ("All of them are invented. " if invented else "")
            + "To list the builds for one of each: headwright builds MATERIAL PROCESS",
            width,
        )
    )
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def examples_json(materials: Sequence[Material], processes: Sequence[Process]) -> str:
    """Return the shipped examples as JSON."""
    return json_text(
        {
            "schema": SCHEMA,
            "materials": [_example(entry) for entry in materials],
            "processes": [_example(entry) for entry in processes],
        }
    )


def _example(entry: Material | Process) -> dict[str, Any]:
    return {"name": entry.name, "title": entry.title, "invented": entry.invented}


def examples_csv(materials: Sequence[Material], processes: Sequence[Process]) -> str:
    """Return the shipped examples as CSV."""
    rows = [("material", entry.name, entry.title) for entry in materials]
    rows += [("process", entry.name, entry.title) for entry in processes]
    return csv_text(("kind", "name", "title"), rows)
