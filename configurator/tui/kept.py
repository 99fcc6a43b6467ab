"""A session outside of the screen: kept on disk after every change, and as a command line."""

from __future__ import annotations

import json
import os
import shlex
import sys
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from configurator.report.written import write_text
from configurator.request.orders import ORDERS
from configurator.tui.document import Document, Draft, Kind, Lifted
from configurator.tui.session import MOST_MARKED, Session
from configurator.units.toml_text import toml_text

SCHEMA = 1
NEWEST = "session.json"
BESIDE = "beside-"
"""Begins the name of a folder in which a second screen keeps its session."""

UNREADABLE = (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError)
KEPT = 5
"""Earlier sessions that stay on disk, so that a new one overwrites no work."""

FOLDER_VARIABLE = "HEADWRIGHT_SESSION"
"""Environment variable that names another folder for the session."""


def session_folder() -> Path:
    """The folder of the session, by the custom of the system."""
    if given := os.environ.get(FOLDER_VARIABLE):
        return Path(given)
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    else:
        base = os.environ.get("XDG_STATE_HOME") or str(Path.home() / ".local" / "state")
    return Path(base) / "headwright"


def keep(session: Session, folder: Path) -> Path:
    """Write a session, and its documents as files, and return the folder; an OSError if it cannot.

    Where another screen has written since, this one goes to a folder of its own beside it.
    """
    path = folder / NEWEST
    if path.is_file() and path.read_text(encoding="utf-8", errors="replace") != session.kept_text:
        folder = _own_folder(folder)
    folder.mkdir(parents=True, exist_ok=True)
    for document in session.draft.documents:
        if document.edited:
            write_text(kept_file(folder, document.kind), toml_text(document.tables))
    text = json.dumps(_data(session), indent=1) + "\n"
    write_text(folder / NEWEST, text)
    session.kept_text = text  # only once it is there: else the old file would pass for another's
    return folder


def _shared(folder: Path) -> Path:
    return folder.parent if folder.name.startswith(BESIDE) else folder


def _own_folder(folder: Path) -> Path:
    shared = _shared(folder)
    numbers = range(2, len(list(shared.glob(f"{BESIDE}*"))) + 3)
    return next(
        own
        for number in numbers
        if not (own := shared / f"{BESIDE}{number}").joinpath(NEWEST).exists()
    )


def earlier(folder: Path) -> dict[Path, str]:
    """Kept sessions that can be opened, newest first, each with what it is about."""
    shared = _shared(folder)
    found = {*shared.glob("session*.json"), *shared.glob(f"{BESIDE}*/{NEWEST}")} - {folder / NEWEST}
    return {path: words for path in sorted(found, key=_age) if (words := _about(path))}


def _age(path: Path) -> float:
    try:
        return -path.stat().st_mtime
    except OSError:
        return 0.0


def _about(path: Path) -> str:
    """Material and process of a kept session; empty if it cannot be read or asks nothing."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        names = [str(data[kind]["tables"]["name"]) for kind in ("material", "process")]
    except UNREADABLE:
        return ""
    when = datetime.fromtimestamp(-_age(path)).astimezone()
    return f"{' with '.join(names)}, {when:%Y-%m-%d %H:%M}"


def set_aside(folder: Path) -> None:
    """Keep the last session under a number before a new one starts; the oldest goes."""
    newest = folder / NEWEST
    if not newest.is_file():
        return
    for number in range(KEPT, 0, -1):
        older = folder / f"session-{number}.json"
        source = newest if number == 1 else folder / f"session-{number - 1}.json"
        if source.is_file():
            source.replace(older)


def bring_back(session: Session, path: Path) -> bool:
    """Put a kept session in place of the present one, which undo brings back if it asked anything.

    Returns False if there is none that can be read.
    """
    try:
        text = path.read_text(encoding="utf-8")
        data = json.loads(text)
        draft = _draft(data, session)
    except UNREADABLE:
        return False
    if draft is None:
        return False
    session.kept_text = text
    if session.draft == Draft():
        session.begin_with(draft)
    else:
        session.put(draft)
    sort = data["sort"] if data.get("sort") in ORDERS else ORDERS[0]
    session.order(sort, strict=data.get("strict") is True)
    marked = data.get("marked")
    if isinstance(marked, list):
        session.marked = tuple(
            tuple((str(slot), str(part)) for slot, part in key.items())
            for key in marked[:MOST_MARKED]
            if isinstance(key, dict)
        )
    return True


def _data(session: Session) -> Mapping[str, Any]:
    draft = session.draft
    return {
        "schema": SCHEMA,
        "material": _document(draft.material),
        "process": _document(draft.process),
        "picks": dict(draft.picks),
        "without": {slot: sorted(parts) for slot, parts in draft.without.items()},
        "lifted": {key: asdict(off) for key, off in draft.lifted.items()},
        "sort": session.sort,
        "strict": session.strict,
        "marked": [dict(key) for key in session.marked],
    }


def _document(document: Document | None) -> Mapping[str, Any] | None:
    names = ("tables", "source", "edited")
    return None if document is None else {name: getattr(document, name) for name in names}


def _draft(data: Mapping[str, Any], session: Session) -> Draft | None:
    """The draft of a file, without parts that the catalog does not have."""
    if data["schema"] != SCHEMA:
        return None
    parts = session.workshop.catalog.parts
    names = {slot: {part.name for part in entries} for slot, entries in parts.items()}

    def known(slot: str, part: object) -> bool:
        return part in names.get(slot.rpartition(".")[2], ())

    without = {
        slot: frozenset(part for part in entries if known(slot, part))
        for slot, entries in data["without"].items()
    }
    draft = Draft(
        picks={slot: part for slot, part in data["picks"].items() if known(slot, part)},
        without={slot: entries for slot, entries in without.items() if entries},
        lifted={
            key: Lifted(str(off["title"]), str(off["words"]), off["before"])
            for key, off in data["lifted"].items()
        },
    )
    for kind in ("process", "material"):
        if data[kind] is not None:
            draft = draft.with_document(_read(kind, data[kind]))
    return draft


def _read(kind: Kind, data: Mapping[str, Any]) -> Document:
    if not isinstance(data["tables"], dict):
        raise TypeError("a document is a table")
    return Document(kind, data["tables"], str(data["source"]), edited=data["edited"] is True)


def command_line(session: Session, files: Path, options: Sequence[str] = ()) -> str:
    """Return the `builds` command for a session; empty before there is a question.

    `files` is where the session keeps documents that are in no file of their own, `options` what
    the screen was started with beside the question, as `--catalog DIR`.
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
