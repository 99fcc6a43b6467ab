"""Several processes, as commands on lists ask for them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from configurator.cli.opening import examples_folder
from configurator.errors import UsageError, shown

if TYPE_CHECKING:
    from configurator.request.process import Process


Command = TypeVar("Command", bound=Callable[..., Any])


def process_option(command: Command) -> Command:
    """Add `--process PROCESS`, as often as one likes."""
    return click.option(
        "--process",
        "processes",
        metavar="PROCESS",
        multiple=True,
        required=True,
        help="File or shipped example; as often as you like.",
    )(command)


def list_options(command: Command) -> Command:
    """Add what says how LIST is written: `--list-format` and `--encoding`."""
    written = click.option(
        "--encoding", metavar="NAME", help="Encoding of LIST; else by its mark, or UTF-8."
    )(command)
    return click.option(
        "--list-format",
        "list_form",
        type=click.Choice(["csv", "jsonl"]),
        help="Form of LIST; else by its suffix, or csv.",
    )(written)


def asked_processes(names: Sequence[str]) -> tuple[Process, ...]:
    """Read the processes that an option names.

    Raises
    ------
    InputError
        If one cannot be read.
    UsageError
        If two have one name, so that their rows could not be told apart.
    """
    from configurator.request.load import load_process

    found = tuple(load_process(name, folder=examples_folder()) for name in names)
    seen: set[str] = set()
    for process in found:
        if process.name in seen:
            raise UsageError(
                f"--process: two are called '{shown(process.name)}'; their rows could not be told "
                "apart"
            )
        seen.add(process.name)
    return found
