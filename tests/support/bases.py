"""What the outside values in `tests/published` rest on, counted.

`python tests/support/bases.py` writes the table in docs/reference/oracles.md anew.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "tests" / "published"
ORACLES = ROOT / "docs" / "reference" / "oracles.md"
BASES = ("measured", "printed", "outside library", "computed by us", "from memory")
MARKER = "<!-- table: bases -->"

SAME = {"excerpt": "printed", "regulation": "printed"}
"""What a fact says of how it was seen, where it does not say what it rests on."""


def _rows(tables: Any) -> Iterator[str]:
    """The basis of each table that has one, and of each row under a chart."""
    for table in tables if isinstance(tables, list) else [tables]:
        if "basis" in table:
            yield SAME.get(table["basis"], table["basis"])
        elif "row" in table:
            yield from ["printed"] * len(table["row"])


def counted() -> dict[str, Counter[str]]:
    """Rows by basis, for each file of outside values."""
    found = {}
    for path in sorted(FOLDER.glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        found[path.name] = Counter(basis for tables in data.values() for basis in _rows(tables))
    return found


def table() -> str:
    """The counts as a table of docs/reference/oracles.md."""
    files = counted()
    lines = [f"| File | {' | '.join(BASES)} |", f"| --- |{' --- |' * len(BASES)}"]
    lines += [
        f"| `{name}` | {' | '.join(str(rows[basis]) for basis in BASES)} |"
        for name, rows in files.items()
    ]
    return "\n".join(lines)


def standing() -> str:
    """The table as docs/reference/oracles.md has it."""
    _, _, behind = ORACLES.read_text(encoding="utf-8").partition(f"{MARKER}\n")
    return behind.partition("\n\n")[0]


if __name__ == "__main__":
    text = ORACLES.read_text(encoding="utf-8")
    ORACLES.write_text(text.replace(standing(), table()), encoding="utf-8")
