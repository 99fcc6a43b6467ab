"""Columns that a screening writes behind those of the list, and what each of them says."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ResultColumn:
    """One column that a screening adds to those of the list."""

    name: str
    """As in the head of the file."""
    kind: type[int | float | str]
    """`int`, `float` or `str`."""
    says: str
    """What it holds, in a line."""


RESULT_COLUMNS: tuple[ResultColumn, ...] = (
    ResultColumn("row", int, "number of the row in the list, from 1"),
    ResultColumn("line", int, "line of the list on which the row begins"),
    ResultColumn("process", str, "name of the process"),
    ResultColumn("material_name", str, "name of the material"),
    ResultColumn(
        "state",
        str,
        "of the best build: `fits`, `marginal`, `unproven`; `ruled out` if there is none; "
        "`not read` if the row could not be read, `not judged` if it could and nothing came of it",
    ),
    ResultColumn("builds", int, "builds that are not ruled out, exact"),
    ResultColumn("fits", int, "builds that fit"),
    ResultColumn("marginal", int, "builds that are marginal"),
    ResultColumn("unproven", int, "builds that are unproven"),
    ResultColumn("best_build", str, "first build of `headwright builds`, as `size=h3, cavity=...`"),
    ResultColumn("tightest_margin", float, "least margin of that build, as a share of the limit"),
    ResultColumn("tightest_rule", str, "rule that leaves it"),
    ResultColumn("reason", str, "why the best build does not fit, or why there is none"),
    ResultColumn("measure_first", str, "test that would settle that reason"),
    ResultColumn(
        "fault",
        str,
        "what is wrong with a row that was not read or not judged; where it stands is `row` and `line`",
    ),
    ResultColumn("material_sha256", str, "digest of what the material states"),
    ResultColumn("process_sha256", str, "digest of what the process states"),
    ResultColumn(
        "catalog_sha256",
        str,
        "digest of what a row rests on in the catalog, without mixers for one part, and of measured "
        "heads that apply",
    ),
    ResultColumn("evidence_sha256", str, "digest of the shop's findings; empty without"),
    ResultColumn("rules_sha256", str, "digest of the rulebook"),
    ResultColumn("tool_version", str, "version of headwright"),
)
"""All columns of ours, in their order; a table of docs/reference/lists.md says the same."""

PURPOSES: tuple[ResultColumn, ...] = tuple(
    ResultColumn(
        f"{purpose}_build", str, f"build of `headwright shortlist` for {purpose.replace('_', ' ')}"
    )
    for purpose in (
        *("least_cost", "longest_life", "most_accurate"),
        *("most_robust", "least_waste", "lightest"),
    )
)
"""Columns of `--purposes`, behind all others."""

MEASURED: tuple[ResultColumn, ...] = (
    ResultColumn(
        "measure_ranked", str, "first test of `headwright measure`; empty beyond the cost"
    ),
    ResultColumn("measure_settles", str, "unproven builds that it settles, whatever comes of it"),
    ResultColumn("measure_questions", str, "changed questions that the ranking of the row takes"),
)
"""Columns of `--measure`, behind all others; as text."""

NAMES: tuple[str, ...] = tuple(column.name for column in RESULT_COLUMNS)
KINDS = {column.name: column.kind for column in RESULT_COLUMNS}
"""What each column of ours holds; all others hold text."""

COUNTS = tuple(column.name for column in RESULT_COLUMNS if column.kind is int)
"""Columns that hold whole numbers."""
