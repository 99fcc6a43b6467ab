"""Columns that a screening adds on request: a build for each purpose, and what to measure first.

Each row is asked for them by itself, as the commands for one material are, and costs as much.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from configurator.errors import HeadwrightError
from configurator.explain.ends import wide_data
from configurator.explain.gap_cost import DataGaps
from configurator.explain.measure import measurements
from configurator.physics.domain import PhysicsDomainError
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.screen.result_columns import MEASURED, PURPOSES, ResultColumn
from configurator.screen.results import Value
from configurator.screen.verdict import build_in_words
from configurator.workshop.answer import Answer
from configurator.workshop.shortlist import shortlist_of
from configurator.workshop.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Extras:
    """Which columns are asked for."""

    purposes: bool = False
    """The best build for each purpose of `headwright shortlist`."""
    questions: int = 0
    """Changed questions that a row may cost for the ranking of `headwright measure`; 0 asks none."""

    @property
    def columns(self) -> tuple[ResultColumn, ...]:
        """Those columns, in their order."""
        return (*(PURPOSES if self.purposes else ()), *(MEASURED if self.questions else ()))

    @property
    def names(self) -> tuple[str, ...]:
        """Their names."""
        return tuple(column.name for column in self.columns)

    def holds(self, told: Mapping[str, Value]) -> bool:
        """Whether an earlier row has all of this, under the same cost."""
        if not all(name in told for name in self.names):
            return False
        asked = told.get("measure_questions") or "0"
        ranked = bool(told.get("measure_ranked"))
        return not self.questions or ranked == (0 < int(str(asked)) <= self.questions)

    def cells(self, material: Material, process: Process, workshop: Workshop) -> dict[str, Value]:
        """What a row says in them; empty where nothing is known, or it was refused."""
        found: dict[str, Value] = dict.fromkeys(self.names, "")
        try:
            answer = workshop.answer(Question(material, process))
            if self.purposes:
                found |= _for_purposes(answer)
            if self.questions:
                found |= self._to_measure(answer)
        except (HeadwrightError, PhysicsDomainError):
            return dict.fromkeys(self.names, "")
        return found

    def _to_measure(self, answer: Answer) -> Iterator[tuple[str, Value]]:
        wide = wide_data(answer.question.material)
        asked = len(DataGaps.of(answer).ends) + sum(len(ends) for _, _, ends in wide)
        yield "measure_questions", str(asked)
        if not 0 < asked <= self.questions:
            return
        useful = measurements(answer).useful
        if not useful:
            yield "measure_ranked", "nothing: no build hangs on what is missing or wide"
            return
        yield "measure_ranked", f"{useful[0].field}: {useful[0].test}"
        yield "measure_settles", str(useful[0].settled)


def _for_purposes(answer: Answer) -> Iterator[tuple[str, Value]]:
    found = shortlist_of(answer)
    if found is None:
        return
    for head in found.heads:
        for purpose in head.purposes:
            if purpose.build is not None:
                yield f"{purpose.name.replace(' ', '_')}_build", build_in_words(purpose.build.parts)
