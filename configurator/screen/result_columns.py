"""Columns of a results file: those of the list first, then ours, each with what it says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from configurator.report.machine import number
from configurator.screen.verdict import Verdict

Value = str | int | float | None
"""What a cell holds; None where there is nothing to say."""

NOT_JUDGED = "not judged"
"""State of a row that was read and cannot be judged, whosever fault it is; the rest goes on."""

PREFIX = "list_"
"""Goes before a column of the list that is called like one of ours."""


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
    ResultColumn("fault", str, "what is wrong with a row that was not read or not judged"),
    ResultColumn("material_sha256", str, "digest of what the material states"),
    ResultColumn("process_sha256", str, "digest of what the process states"),
    ResultColumn("catalog_sha256", str, "digest of the catalog, and of measured heads that apply"),
    ResultColumn("evidence_sha256", str, "digest of the shop's findings; empty without"),
    ResultColumn("rules_sha256", str, "digest of the rulebook"),
    ResultColumn("tool_version", str, "version of headwright"),
)
"""All columns of ours, in their order; a table of the README says the same."""

NAMES: tuple[str, ...] = tuple(column.name for column in RESULT_COLUMNS)


def heads_of(columns: Sequence[str]) -> tuple[str, ...]:
    """Return the heads of a results file for a list with these columns.

    Examples
    --------
    >>> heads_of(["name", "state"])[:3]
    ('name', 'list_state', 'row')
    """
    taken = {*NAMES, *columns}
    kept = []
    for column in columns:
        name = column
        while name in NAMES or (name != column and name in taken):
            name = PREFIX + name
        taken.add(name)
        kept.append(name)
    return (*kept, *NAMES)


def verdict_cells(verdict: Verdict) -> dict[str, Value]:
    """Return what a verdict says, by column; counts exact, the margin in six digits."""
    return {
        "state": verdict.state,
        "builds": verdict.builds,
        "fits": verdict.fits,
        "marginal": verdict.marginal,
        "unproven": verdict.unproven,
        "best_build": verdict.best_build,
        "tightest_margin": number(verdict.margin),
        "tightest_rule": verdict.margin_rule,
        "reason": verdict.reason,
        "measure_first": verdict.measure_first,
    }


def result_cells(cells: Sequence[str], ours: Mapping[str, Value]) -> tuple[Value, ...]:
    """Return one row of a results file; columns of ours that nothing is said of are empty.

    Parameters
    ----------
    cells : sequence of str
        The list's own.
    ours : Mapping[str, Value]
        By the names of `RESULT_COLUMNS`.
    """
    return (*cells, *(ours.get(name) for name in NAMES))
