"""Pages of HTML from templates: everything that is put in is escaped."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from configurator.errors import UsageError

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).resolve().parent / "templates"

INSTALL = "pip install 'headwright[{extra}]'"


def missing_library(library: str, extra: str) -> UsageError:
    """Return the error that a missing optional library is, with the command that brings it."""
    return UsageError(f"this needs {library}, which is not installed", INSTALL.format(extra=extra))


@cache
def _environment() -> Environment:
    try:
        from jinja2 import Environment, FileSystemLoader, StrictUndefined
    except ImportError:
        raise missing_library("jinja2", "sheet") from None
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def render(template: str, *, told: Callable[[str], str] | None = None, **values: Any) -> str:
    """Return a page by a file in the folder of templates; text in values is escaped.

    Whatever text is put in goes through `told` first, as where a page has another language.

    Raises
    ------
    UsageError
        If jinja2 is not installed.
    """
    pages = _environment()
    if told is not None:
        pages = pages.overlay(finalize=lambda each: told(each) if type(each) is str else each)
    return pages.get_template(template).render(**values)
