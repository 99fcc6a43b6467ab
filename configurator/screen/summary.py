"""What a screening comes to: one line for a person, and JSON for a pipeline."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from configurator.report.machine import json_text, number
from configurator.screen.chunk import Setup
from configurator.screen.digests import rules_digest, shortened, tool_version
from configurator.screen.tally import Tally
from configurator.units.display import plural, spaced

SCHEMA = 1
"""Version of the JSON: grows when a key changes its meaning or goes away."""


def rate_of(tally: Tally, seconds: float) -> float | None:
    """Result rows a second; None before any time has passed. [1/s]"""
    return tally.results / seconds if seconds > 0.0 else None


def summary_line(tally: Tally, processes: Sequence[str], seconds: float) -> str:
    """Return a run in one line.

    Parameters
    ----------
    tally : Tally
        What became of the rows.
    processes : sequence of str
        Their names.
    seconds : float
        Time spent over all sittings. [s]
    """
    states = ", ".join(
        f"{spaced(count)} {state}" for state, count in tally.by_state.items() if count
    )
    asked = plural(tally.rows, "row")
    if len(processes) > 1:
        asked += f" for {len(processes)} processes"
    rate = rate_of(tally, seconds)
    pace = "" if rate is None else f", {rate:.3g} results a second"
    return f"{asked}: {states or 'nothing to judge'}; {seconds:.1f} s{pace}"


def summary_json(
    tally: Tally,
    setup: Setup,
    *,
    seconds: float,
    resumed_rows: int,
    exit_code: int,
    against: dict[str, Any] | None = None,
) -> str:
    """Return a run as JSON of schema 1.

    Parameters
    ----------
    tally : Tally
        What became of the rows.
    setup : Setup
        What was asked of them.
    seconds : float
        Time spent over all sittings. [s]
    resumed_rows : int
        Rows that an earlier sitting had done.
    exit_code : int
        Of the command.
    against : dict, optional
        What changed since an earlier run.
    """
    return json_text(
        {
            "schema": SCHEMA,
            "tool_version": tool_version(),
            "rules_sha256": rules_digest(),
            "catalog": {
                "name": setup.workshop.catalog.name,
                "sha256": shortened(setup.workshop.catalog.sha256),
            },
            "evidence_sha256": setup.evidence_digest,
            "rows": tally.rows,
            "results": tally.results,
            "counts": tally.by_state,
            "processes": [
                {
                    "name": process.name,
                    "sha256": digest,
                    "counts": tally.of_process(process.name),
                }
                for process, digest in zip(setup.processes, setup.process_digests, strict=True)
            ],
            "detours": tally.detours,
            "resumed_rows": resumed_rows,
            "seconds": number(seconds),
            "results_per_second": number(rate_of(tally, seconds)),
            "exit_code": exit_code,
            "against": against,
        }
    )
