"""The builds of a session as the command would print them."""

from __future__ import annotations

from collections.abc import Mapping

from configurator.errors import UsageError
from configurator.report.builds import builds_csv, builds_json
from configurator.report.page import page_of
from configurator.report.table import builds_table
from configurator.workshop.answer import Answer

MOST_EXPORTED = 200
"""Builds in a file; the command writes more."""

FORMS: Mapping[str, str] = {
    "table": "text for people, as `builds` prints it",
    "json": "for programs, schema 1, with all findings",
    "csv": "for a spreadsheet, one row a build",
    "sheet": "the data sheet of the build under the cursor, HTML",
}


ENDINGS: Mapping[str, str] = {"table": "txt", "sheet": "html"}
"""Of a file's name, where it is not the name of the form."""


def exported(answer: Answer, form: str, *, rank: int = 1) -> str:
    """Return builds as text.

    Parameters
    ----------
    answer : Answer
        To the whole request, so that it is the command's own.
    form : str
        table, json, csv or sheet.
    rank : int
        Which build of the list a sheet is about.

    Raises
    ------
    UsageError
        If a sheet is asked for and there is no such build, or a library for it is missing.
    """
    if form == "sheet":
        return _sheet(answer, rank)
    page = page_of(answer, limit=MOST_EXPORTED)
    if form == "json":
        return builds_json(page)
    return builds_csv(page) if form == "csv" else builds_table(page)


def _sheet(answer: Answer, rank: int) -> str:
    from configurator.report.sheet import sheet_html  # its libraries are an extra of their own
    from configurator.report.sheet_data import sheet_data

    builds = answer.builds(offset=rank - 1, limit=1)
    if not builds:
        raise UsageError("a sheet is about a build, and there is none")
    return sheet_html(sheet_data(answer, builds[0]))
