"""The builds of a session as the command would print them."""

from __future__ import annotations

from collections.abc import Mapping

from configurator.answer import Answer
from configurator.rank.figures import Figure
from configurator.report.builds import builds_csv, builds_json
from configurator.report.page import page_of
from configurator.report.table import builds_table

MOST_EXPORTED = 200
"""Builds in a file; the command writes more."""

FORMS: Mapping[str, str] = {
    "table": "text for people, as `builds` prints it",
    "json": "for programs, schema 1, with all findings",
    "csv": "for a spreadsheet, one row a build",
}


def exported(answer: Answer, form: str, *, sort: Figure, strict: bool) -> str:
    """Return builds as text.

    Parameters
    ----------
    answer : Answer
        To the whole request, so that it is the command's own.
    form : str
        table, json or csv.
    sort : Figure
        What orders builds of the same state.
    strict : bool
        True for builds that fit only.
    """
    page = page_of(answer, limit=MOST_EXPORTED, strict=strict, sort=sort)
    if form == "json":
        return builds_json(page)
    return builds_csv(page) if form == "csv" else builds_table(page)
