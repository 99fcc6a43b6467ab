"""Options that several commands share, and opening what they name."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.errors import Fault

Command = TypeVar("Command", bound=Callable[..., Any])


def catalog_option(command: Command) -> Command:
    """Add `--catalog DIR`."""
    return click.option(
        "--catalog",
        "folder",
        metavar="DIR",
        type=click.Path(path_type=Path),
        help="Catalog folder; else $HEADWRIGHT_CATALOG, your own, or the shipped one.",
    )(command)


def format_option(command: Command) -> Command:
    """Add `--format table|json|csv`."""
    return click.option(
        "--format",
        "form",
        type=click.Choice(["table", "json", "csv"]),
        default="table",
        show_default=True,
        help="How to print the data.",
    )(command)


def open_catalog(folder: Path | None) -> Catalog:
    """Read the catalog that an option names, or the one that is used without it.

    Raises
    ------
    CatalogError
        With every fault of every file.
    """
    from configurator.catalog.load import catalog_folder, load_catalog, shipped_folder

    path, where = catalog_folder(folder)
    return load_catalog(path, substances=shipped_folder() / "substances", where=where)


def read_catalog_at(folder: Path | None) -> tuple[Catalog | None, tuple[Fault, ...]]:
    """Read what can be read of the catalog that an option names, with every fault of it."""
    from configurator.catalog.load import catalog_folder, read_catalog, shipped_folder

    path, where = catalog_folder(folder)
    return read_catalog(path, substances=shipped_folder() / "substances", where=where)


def examples_folder() -> Path:
    """Folder of the shipped example materials and processes."""
    from configurator.catalog.load import shipped_folder

    return shipped_folder() / "examples"
