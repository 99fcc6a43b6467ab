"""An answer as data: the JSON of schema 1, and one CSV row a build."""

from __future__ import annotations

from typing import Any

from configurator.report.machine import csv_text, json_text, number
from configurator.report.page import Page
from configurator.request.intake import Gap
from configurator.rules.finding import LISTED, Finding
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES
from configurator.workshop.told import Choice, RankedBuild

SCHEMA = 1
"""Version of the JSON: grows when a key changes its meaning or goes away."""


def builds_json(page: Page) -> str:
    """Return an answer as JSON, its builds those of the page."""
    answer = page.answer
    return json_text(
        {
            "schema": SCHEMA,
            **question_data(answer),
            "considered": answer.considered,
            "count": answer.count,
            "counts": {level.words: answer.counts[level] for level in LISTED},
            "choices": {
                slot: [_choice(choice) for choice in choices]
                for slot, choices in answer.choices.items()
            },
            "builds": [_build(build) for build in page.builds],
            "cautions": [
                {"topic": caution.topic, "text": caution.text} for caution in answer.cautions
            ],
            "gaps": [_gap(gap) for gap in answer.subject.filled.notes],
        }
    )


def question_data(answer: Answer) -> dict[str, Any]:
    """Return which catalog, material and process an answer is about."""
    question, catalog = answer.subject.question, answer.subject.catalog
    return {
        "catalog": {"name": catalog.name, "sha256": catalog.sha256},
        "material": {"name": question.material.name},
        "process": {"name": question.process.name},
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
            "dominant": build.dominant_error,
            "shares_pct": {
                name: number(None if share is None else share * 100.0)
                for name, share in build.error_budget.items()
            },
        },
        "findings": [finding_data(finding) for finding in build.findings],
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """Return one finding as data."""
    return {
        "rule": finding.rule,
        "state": finding.state.words,
        "demand": _side(finding.demand),
        "limit": _side(finding.limit),
        "unit": finding.unit,
        "margin": number(finding.margin),
        "corner": finding.corner,
        "basis": finding.basis.value,
        "reason": finding.reason,
    }


def _side(value: float | str | None) -> float | str | None:
    return value if isinstance(value, str) else number(value)


def _gap(gap: Gap) -> dict[str, Any]:
    return {
        "field": gap.field,
        "says": gap.says,
        "used": gap.used,
        "basis": None if gap.basis is None else gap.basis.value,
        "settle_with": gap.settle_with,
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
