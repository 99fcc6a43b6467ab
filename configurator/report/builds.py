"""Builds of an answer: which page of them, the JSON of schema 1, and one CSV row a build."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from configurator.chemistry.cautions import Caution
from configurator.engine.pareto import Progress
from configurator.report.machine import answer_json, csv_text, data_of, number
from configurator.rules.finding import LISTED, Finding
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES, Figure
from configurator.workshop.heads import ListedHead, heads_of, is_exchanged
from configurator.workshop.told import Choice, RankedBuild

DEFAULT_LIMIT = 20


@dataclass(frozen=True)
class Page:
    """Some of an answer's builds, best first."""

    answer: Answer
    builds: tuple[RankedBuild, ...]
    offset: int
    """How many builds stand before them."""
    traded: tuple[Figure, ...] = ()
    """Figures of a trade-off, of which the builds are the Pareto front; else empty."""
    front: int = 0
    """Builds of the whole trade-off."""
    heads: tuple[ListedHead, ...] = ()
    """Heads of the answer, where these are listed."""

    @property
    def total(self) -> int:
        """Builds on all pages together."""
        return self.front if self.traded else self.answer.listed

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What people have to mind, with what the heaviest build shown brings to it."""
        return self.answer.cautions_of(*self.builds)

    @property
    def sort(self) -> Figure:
        """What orders builds of the same state, or those of a trade-off."""
        return self.traded[0] if self.traded else self.answer.order

    @property
    def more(self) -> int:
        """Builds after this page."""
        return max(self.total - self.offset - len(self.builds), 0)

    @property
    def hidden(self) -> int:
        """Builds that are left out for not being shown to fit."""
        return self.answer.count - self.answer.listed

    @property
    def shown(self) -> tuple[Figure, ...]:
        """Figures that the list is about beside the usual ones."""
        return self.traded or (() if self.sort.of_finding else (self.sort,))


def page_of(answer: Answer, *, offset: int = 0, limit: int = DEFAULT_LIMIT) -> Page:
    """Take one page out of an answer: so many builds are passed over, and so many shown at most."""
    return Page(answer, answer.builds(offset=offset, limit=limit), offset)


def heads_page(answer: Answer, *, offset: int = 0, limit: int = DEFAULT_LIMIT) -> Page:
    """The same of heads; what is told at length is told of their first builds."""
    heads = heads_of(answer, offset=offset, limit=limit)
    return Page(answer, tuple(head.best for head in heads), offset, heads=heads)


def front_page(
    answer: Answer,
    traded: Sequence[Figure],
    *,
    limit: int = DEFAULT_LIMIT,
    progress: Progress | None = None,
) -> Page:
    """Take the builds of a trade-off of two to four figures, in the order of the first."""
    front = answer.front(traded, progress=progress)
    return Page(answer, front[:limit], 0, tuple(traded), len(front))


def builds_json(page: Page) -> str:
    """Return an answer as JSON, its builds those of the page."""
    answer = page.answer
    return answer_json(
        **question_data(answer),
        considered=answer.considered,
        count=answer.count,
        counts={level.words: answer.counts[level] for level in LISTED},
        choices={
            slot: [_choice(choice) for choice in choices]
            for slot, choices in answer.choices.items()
        },
        builds=[_build(build) for build in page.builds],
        heads=[head_data(head) for head in page.heads],
        cautions=[data_of(caution, "topic", "text") for caution in page.cautions],
        gaps=[
            data_of(gap, "field", "says", "used", "basis", "settle_with")
            for gap in answer.subject.filled.notes
        ],
    )


def question_data(answer: Answer) -> dict[str, Any]:
    """Return which catalog, material and process an answer is about."""
    question, catalog = answer.subject.question, answer.subject.catalog
    return {
        "catalog": data_of(catalog, "name", "sha256"),
        "material": data_of(question.material, "name"),
        "process": data_of(question.process, "name"),
    }


def build_data(build: RankedBuild) -> dict[str, Any]:
    """Return which build this is; no rank where it was named by its parts."""
    return {
        "rank": build.rank or None,
        "state": build.state.words,
        "parts": {slot: part.name for slot, part in build.parts.items()},
    }


def _choice(choice: Choice) -> dict[str, Any]:
    return {
        "part": choice.part.name,
        "state": choice.state.words,
        "builds": choice.builds,
        "reasons": [finding_data(reason) for reason in choice.reasons],
        "blocked_by": list(choice.blocked),
    }


def _build(build: RankedBuild) -> dict[str, Any]:
    return {
        "rank": build.rank,
        "parts": {slot: part.name for slot, part in build.parts.items()},
        "state": build.state.words,
        "figures": {name: number(value) for name, value in build.figures.items()},
        "error_budget": {
            "dominant": build.leading_error(weighed=True),
            "dominant_unweighed": build.leading_error(weighed=False),
            "shares_pct": {
                name: _percent(part.weighed) for name, part in build.error_budget.items()
            },
            "shares_unweighed_pct": {
                name: _percent(part.before) for name, part in build.error_budget.items()
            },
            "basis": {name: part.basis.value for name, part in build.error_budget.items()},
        },
        "findings": [finding_data(finding) for finding in build.findings],
    }


def head_data(head: ListedHead) -> dict[str, Any]:
    """Return one head as data."""
    best = head.best
    return {
        "rank": head.rank,
        "first_build": best.rank or None,
        "state": best.state.words,
        "parts": {s: part.name for s, part in best.parts.items() if not is_exchanged(s)},
        "folded": {slot: list(names) for slot, names in head.folded.items()},
        "builds": head.builds,
    }


def _percent(share: float | None) -> float | None:
    return number(None if share is None else share * 100.0)


def finding_data(finding: Finding) -> dict[str, Any]:
    """Return one finding as data."""
    return {
        "rule": finding.rule,
        "state": finding.state.words,
        **data_of(finding, "demand", "limit", "unit", "margin", "corner", "basis", "reason"),
    }


def builds_csv(page: Page) -> str:
    """Return the builds of a page as CSV: rank, state, a column a slot, a column a figure."""
    slots = page.answer.frame.slots
    names = [figure.name for figure in FIGURES]
    heads = ["rank", "state", *slots, *names, "tightest_rule", "tightest_margin"]
    return csv_text(heads, (_row(build, slots, names) for build in page.builds))


def _row(build: RankedBuild, slots: tuple[str, ...], names: list[str]) -> list[str | float | None]:
    tightest = build.tightest
    return [
        build.rank,
        build.state.words,
        *(build.parts[slot].name for slot in slots),
        *(build.figures[name] for name in names),
        None if tightest is None else tightest.rule,
        None if tightest is None else tightest.margin,
    ]
