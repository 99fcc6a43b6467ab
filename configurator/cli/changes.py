"""What `headwright screen` says of changes since an earlier run; the command itself is elsewhere."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING, Any

from configurator.cli.terminal import complain, put, table_width
from configurator.errors import Fault, InputError, UsageError

if TYPE_CHECKING:
    from configurator.screen.results import Form


def check_against(
    earlier: Path | None, changes: Path | None, out: Path | None, *, force: bool
) -> None:
    """Refuse what cannot be compared before the work begins, and say what is doubtful.

    Parameters
    ----------
    earlier : Path or None
        What `--against` names.
    changes : Path or None
        What `--changes` names.
    out : Path or None
        What `--out` names.
    force : bool
        True if files that are there may be replaced.

    Raises
    ------
    InputError
        If the earlier file is no results file, or the changes would replace a file.
    UsageError
        If the options have no meaning together.
    """
    if earlier is None:
        if changes is not None:
            raise UsageError("--changes: name the earlier results with --against")
        return
    if out is None:
        raise UsageError("--against: results are compared once all are there, name them with --out")
    named = (("--against", earlier), ("--out", out), ("--changes", changes))
    seen: dict[Path, str] = {}
    for option, path in named:
        if path is None:
            continue
        whole = path.resolve()
        if whole in seen:
            raise UsageError(f"{option} {path}: that is {seen[whole]}")
        seen[whole] = option
    from configurator.screen.changes import check_earlier
    from configurator.screen.changes_text import changes_form

    if changes is not None:
        changes_form(changes)
        if changes.exists() and not force:
            hint = "--force replaces it"
            raise InputError(
                [Fault(str(changes), "file", "a file that is there", "a new name", hint)]
            )
    if doubt := check_earlier(earlier):
        complain(doubt)


def tell_changes(
    earlier: Path,
    out: Path,
    form: Form,
    processes: Collection[str],
    changes: Path | None,
) -> dict[str, Any]:
    """Compare the results with earlier ones: into a file, or as text on standard output.

    Parameters
    ----------
    earlier, out : Path
        Results files.
    form : str
        Of `out`.
    processes : collection of str
        Names of what was asked for.
    changes : Path or None
        File to write every row to; without one, rows that changed are printed.

    Returns
    -------
    dict
        The summary, for the JSON of the run.

    Raises
    ------
    InputError
        If a file cannot be read or written.
    """
    from configurator.screen.changes import changes_between
    from configurator.screen.changes_text import Summary, change_lines, write_changes

    summary = Summary()
    found = summary.counted(changes_between(earlier, out, processes=processes, forms=(None, form)))
    if changes is not None:
        write_changes(changes, found, force=True)
    else:
        width = table_width()
        for change in found:
            if lines := change_lines(change, width):
                put("\n".join(lines) + "\n")
    complain(*summary.lines(str(earlier)))
    return summary.data(str(earlier))
