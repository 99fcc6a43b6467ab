"""What became of the rows: counts by process and state, and the exit code that follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, Self

from configurator.rules.finding import State
from configurator.screen.chunk import JudgedChunk
from configurator.screen.result_columns import NOT_JUDGED
from configurator.screen.verdict import NOT_READ

FailOn = Literal["none", "marginal", "unproven"]

NO_BUILD = (State.RULED_OUT.words, NOT_READ, NOT_JUDGED)
"""States of a row for which no build was shown."""

STATES = (State.FITS.words, State.MARGINAL.words, State.UNPROVEN.words, *NO_BUILD)
"""All states of a row, from best to worst."""

FAILING: dict[FailOn, frozenset[str]] = {
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
    detours: int = 0
    """Result rows that were judged the long way, because the quick one failed."""
    detour: str = ""
    """How it failed the first time."""

    def plus(self, judged: JudgedChunk) -> Tally:
        """The tally with another chunk."""
        counts = dict(self.counts)
        for key, number in judged.counts.items():
            counts[key] = counts.get(key, 0) + number
        return Tally(
            self.rows + judged.rows,
            counts,
            self.catalog_faults + judged.catalog_faults,
            self.program_faults + judged.program_faults,
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
            state: sum(number for (_, other), number in self.counts.items() if other == state)
            for state in STATES
        }

    def of_process(self, process: str) -> dict[str, int]:
        """Result rows of one process in each state, best first."""
        return {state: self.counts.get((process, state), 0) for state in STATES}

    def exit_code(self, fail_on: FailOn) -> int:
        """Return the exit code of a run that went through.

        Parameters
        ----------
        fail_on : str
            From which state on a row makes it 1: `none`, rows without a build; `unproven`,
            also those whose best build is unproven; `marginal`, also those where it is
            marginal.
        """
        if self.program_faults:
            return INTERNAL
        if self.catalog_faults:
            return BAD_CATALOG
        failing = FAILING[fail_on]
        return NO_BUILDS if any(state in failing for _, state in self._there()) else BUILDS

    def _there(self) -> list[tuple[str, str]]:
        return [key for key, number in self.counts.items() if number]

    def as_json(self) -> dict[str, Any]:
        """Return the tally as plain data."""
        return {
            "rows": self.rows,
            "counts": {
                process: {
                    state: number
                    for (name, state), number in self.counts.items()
                    if name == process
                }
                for process in dict.fromkeys(name for name, _ in self.counts)
            },
            "catalog_faults": self.catalog_faults,
            "program_faults": self.program_faults,
            "detours": self.detours,
            "detour": self.detour,
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        """Read a tally back; anything else than a tally is a ValueError, TypeError or KeyError."""
        return cls(
            int(data["rows"]),
            {
                (str(process), str(state)): int(number)
                for process, states in data["counts"].items()
                for state, number in states.items()
            },
            int(data["catalog_faults"]),
            int(data["program_faults"]),
            int(data["detours"]),
            str(data["detour"]),
        )
