"""The command that gives what is on the screen."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from pathlib import Path

from configurator.request.orders import ORDERS
from configurator.tui.document import Document, Kind
from configurator.tui.session import Session


def command_line(session: Session, files: Path, options: Sequence[str] = ()) -> str:
    """Return the `builds` command for a session; empty before there is a question.

    Parameters
    ----------
    session : Session
        What is asked.
    files : Path
        Folder where the session keeps documents that are in no file of their own.
    options : sequence of str
        What the screen was started with beside the question, as `--catalog DIR`.
    """
    draft = session.draft
    if draft.material is None or draft.process is None:
        return ""
    words = ["headwright", "builds", _name(draft.material, files), _name(draft.process, files)]
    words += options
    for slot, part in draft.picks.items():
        words += ["--pick", f"{slot}={part}"]
    for slot, parts in draft.without.items():
        for part in sorted(parts):
            words += ["--without", f"{slot}={part}"]
    if session.sort != ORDERS[0]:
        words += ["--sort", session.sort]
    if session.strict:
        words.append("--strict")
    return shlex.join(words)


def _name(document: Document, files: Path) -> str:
    if document.source and not document.edited:
        return document.source
    return str(kept_file(files, document.kind))


def kept_file(files: Path, kind: Kind) -> Path:
    """Where the session keeps a document that was changed."""
    return files / f"{kind}.toml"
