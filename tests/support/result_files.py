"""Results files made by hand: rows with easy values, written as a run writes them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from configurator.screen.chunk import heads_of
from configurator.screen.parquet import write_parquet
from configurator.screen.result_columns import KINDS, NAMES
from configurator.screen.results import SUFFIXES, head_bytes, result_cells, rows_bytes

COLUMNS = ("name", "lot")

Row = dict[str, Any]

BASE: Row = {
    "name": "Paste",
    "lot": "=L1",
    "row": 1,
    "line": 2,
    "process": "pour",
    "material_name": "paste",
    "state": "marginal",
    "builds": 12 * 10**20,
    "fits": 0,
    "marginal": 5,
    "unproven": 12 * 10**20 - 5,
    "best_build": "size=small, cavity=one-ml",
    "tightest_margin": -0.125,
    "tightest_rule": "volume error",
    "reason": "+volume error: off by 5 %\tor so",
    "measure_first": "",
    "fault": None,
    "material_sha256": "aaaaaaaaaaaa",
    "process_sha256": "bbbbbbbbbbbb",
    "catalog_sha256": "cccccccccccc",
    "evidence_sha256": "",
    "rules_sha256": "dddddddddddd",
    "tool_version": "0.1.0",
}


def row(**changes: Any) -> Row:
    """The base row with some columns changed."""
    return {**BASE, **changes}


def unread(**changes: Any) -> Row:
    """A row that could not be read."""
    nothing = dict.fromkeys(("material_name", "material_sha256", *OUTCOME))
    return row(**{**nothing, "state": "not read", "fault": "line 2: no flow", **changes})


OUTCOME = (
    "builds",
    "fits",
    "marginal",
    "unproven",
    "best_build",
    "tightest_margin",
    "tightest_rule",
    "reason",
    "measure_first",
)


def numbered(rows: Iterable[Mapping[str, Any]]) -> list[Row]:
    """Rows with the numbers that their places give them."""
    return [
        {**each, "row": number, "line": number + 1} for number, each in enumerate(rows, start=1)
    ]


def written(
    path: Path, rows: Sequence[Mapping[str, Any]], columns: Sequence[str] = COLUMNS
) -> Path:
    """Write rows as a run would, in the form of the file's suffix."""
    heads = heads_of(columns)
    form = SUFFIXES[path.suffix]
    cells = [
        result_cells(
            [str(each.get(column, "")) for column in columns],
            {name: each.get(name) for name in NAMES},
        )
        for each in rows
    ]
    if form == "parquet":
        lines = path.with_suffix(".lines")
        lines.write_bytes(rows_bytes("jsonl", heads, cells))
        write_parquet(lines, path, {head: KINDS.get(head, str) for head in heads})
        return path
    path.write_bytes(head_bytes(form, heads) + rows_bytes(form, heads, cells))
    return path


STATES = ["fits", "marginal", "unproven", "ruled out", "not read", "not judged"]


@st.composite
def result_rows(draw: st.DrawFn, *, most: int = 8) -> list[Row]:
    """Rows of a few names, so that some share one, and of few values, so that some are equal."""
    rows = []
    for _ in range(draw(st.integers(0, most))):
        state = draw(st.sampled_from(STATES))
        name = draw(st.sampled_from(["Paste", "Paste", "Glue (grey)", "glue-grey", "", "Oil"]))
        if state == "not read":
            rows.append(unread(name=name, process=draw(PROCESSES), fault=draw(FAULTS)))
            continue
        rows.append(
            row(
                name=name,
                state=state,
                process=draw(PROCESSES),
                builds=draw(st.sampled_from([0, 7, 10**21])),
                reason=draw(st.sampled_from(["", "=1+1", "-off by 5 %", "two\nlines"])),
                material_sha256=draw(st.sampled_from(["a" * 12, "b" * 12])),
                catalog_sha256=draw(st.sampled_from(["c" * 12, "d" * 12])),
                rules_sha256=draw(st.sampled_from(["e" * 12, "e" * 12, "f" * 12])),
                lot=draw(st.sampled_from(["", "=L1", "7"])),
            )
        )
    numbers = numbered(rows)
    for each in numbers:
        if each["state"] != "not read":
            short = {"Paste": "paste", "Glue (grey)": "glue-grey", "Oil": "oil"}
            given = each["name"]
            each["material_name"] = short.get(given, given) or f"row-{each['row']}"
    return numbers


PROCESSES = st.sampled_from(["pour", "pour", "dots"])
FAULTS = st.sampled_from(["line 2: no flow", "line 2: 'many'"])
