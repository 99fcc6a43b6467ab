"""What became of the rows: counted, as an exit code, in a line and as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, Self

from configurator.report.machine import json_text, number
from configurator.rules.finding import State
from configurator.screen.chunk import JudgedChunk, Setup
from configurator.screen.digests import rules_digest, shortened, tool_version
from configurator.screen.results import NOT_JUDGED
from configurator.screen.verdict import NOT_READ
from configurator.units.display import plural, spaced

SCHEMA = 1
"""Version of the JSON: grows when a key changes its meaning or goes away."""

FailOn = Literal["never", "none", "marginal", "unproven"]

NO_BUILD = (State.RULED_OUT.words, NOT_READ, NOT_JUDGED)
"""States of a row for which no build was shown."""

STATES = (State.FITS.words, State.MARGINAL.words, State.UNPROVEN.words, *NO_BUILD)
"""All states of a row, from best to worst."""

FAILING: dict[FailOn, frozenset[str]] = {
    "never": frozenset(),
    "none": frozenset(NO_BUILD),
    "unproven": frozenset(STATES[2:]),
    "marginal": frozenset(STATES[1:]),
}
"""States that make the exit code 1, by level."""

BUILDS, NO_BUILDS, BAD_CATALOG, INTERNAL = 0, 1, 3, 70


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of the rows so far."""

    rows: int = 0
    """Rows of the list."""
    counts: Mapping[tuple[str, str], int] = field(default_factory=dict)
    """Result rows by process and state."""
    catalog_faults: int = 0
    program_faults: int = 0
    """Result rows that were not judged, by whose fault that is."""
    reused: int = 0
    """Result rows that were taken over from an earlier run."""
    detours: int = 0
    """Result rows that were judged the long way, because the quick one failed."""
    detour: str = ""
    """How it failed the first time."""

    def plus(self, judged: JudgedChunk) -> Tally:
        """The tally with another chunk."""
        counts = dict(self.counts)
        for key, count in judged.counts.items():
            counts[key] = counts.get(key, 0) + count
        return Tally(
            self.rows + judged.rows,
            counts,
            self.catalog_faults + judged.catalog_faults,
            self.program_faults + judged.program_faults,
            self.reused + judged.reused,
            self.detours + judged.detours,
            self.detour or judged.detour,
        )

    @property
    def results(self) -> int:
        """Result rows: one for each row and process."""
        return sum(self.counts.values())

    @property
    def by_state(self) -> dict[str, int]:
        """Result rows in each state, best first."""
        return {
            state: sum(count for (_, other), count in self.counts.items() if other == state)
            for state in STATES
        }

    def of_process(self, process: str) -> dict[str, int]:
        """Result rows of one process in each state, best first."""
        return {state: self.counts.get((process, state), 0) for state in STATES}

    def exit_code(self, fail_on: FailOn) -> int:
        """Return the exit code of a run that went through.

        It is 1 from a row on without a build for `none`, one whose best build is unproven as well
        for `unproven`, or marginal as well for `marginal`; never for `never`.
        """
        if self.program_faults:
            return INTERNAL
        if self.catalog_faults:
            return BAD_CATALOG
        failing = FAILING[fail_on]
        there = (state for (_, state), count in self.counts.items() if count)
        return NO_BUILDS if any(state in failing for state in there) else BUILDS

    def as_json(self) -> dict[str, Any]:
        """Return the tally as plain data."""
        return {
            "rows": self.rows,
            "counts": {
                process: {
                    state: count for (name, state), count in self.counts.items() if name == process
                }
                for process in dict.fromkeys(name for name, _ in self.counts)
            },
            "catalog_faults": self.catalog_faults,
            "program_faults": self.program_faults,
            "reused": self.reused,
            "detours": self.detours,
            "detour": self.detour,
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        """Read a tally back; anything else than a tally is a ValueError, TypeError or KeyError."""
        return cls(
            int(data["rows"]),
            {
                (str(process), str(state)): int(count)
                for process, states in data["counts"].items()
                for state, count in states.items()
            },
            int(data["catalog_faults"]),
            int(data["program_faults"]),
            int(data["reused"]),
            int(data["detours"]),
            str(data["detour"]),
        )


def rate_of(tally: Tally, seconds: float) -> float | None:
    """Result rows a second; None before any time has passed. [1/s]"""
    return tally.results / seconds if seconds > 0.0 else None


def summary_line(tally: Tally, processes: Sequence[str], seconds: float) -> str:
    """Return a run in one line; the time over all sittings. [s]"""
    states = ", ".join(
        f"{spaced(count)} {state}" for state, count in tally.by_state.items() if count
    )
    asked = plural(tally.rows, "row")
    if len(processes) > 1:
        asked += f" for {len(processes)} processes"
    if tally.reused:
        states += f"; {spaced(tally.reused)} taken over"
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
    """Return a run as JSON of schema 1; time and rows over all sittings, some rows resumed. [s]"""
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
            "reused": tally.reused,
            "detours": tally.detours,
            "resumed_rows": resumed_rows,
            "seconds": number(seconds),
            "results_per_second": number(rate_of(tally, seconds)),
            "exit_code": exit_code,
            "against": against,
        }
    )
