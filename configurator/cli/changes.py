"""What `headwright screen` says of changes since an earlier run; the command itself is elsewhere."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING, Any

from configurator.cli.terminal import complain, put, table_width
from configurator.errors import UsageError
from configurator.report.written import refuse_existing

if TYPE_CHECKING:
    from configurator.screen.results import Form


def check_against(
    earlier: Path | None, changes: Path | None, out: Path | None, *, force: bool
) -> None:
    """Refuse what cannot be compared before the work begins, and say what is doubtful.

    `earlier`, `changes` and `out` are what `--against`, `--changes` and `--out` name; `force` is
    true if files that are there may be replaced.
    """
    if earlier is None:
        if changes is not None:
            raise UsageError("--changes: name the earlier results with --against")
        return
    if out is None:
        raise UsageError("--against: results are compared once all are there, name them with --out")
    from configurator.screen.changes import check_earlier
    from configurator.screen.changes_text import changes_form

    if changes is not None:
        changes_form(changes)
        refuse_existing(changes, force=force)
    if doubt := check_earlier(earlier):
        complain(doubt)


def tell_changes(
    earlier: Path,
    out: Path,
    form: Form,
    processes: Collection[str],
    changes: Path | None,
) -> dict[str, Any]:
    """Compare the results with earlier ones, and return the summary for the JSON of the run.

    Every row's change goes into the file `changes`; without one, changed rows are printed.
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
