"""The journal beside a results file: what the run rests on, and how far the file is whole.

It is a small JSON file that is replaced in one go after each chunk, once the chunk is on the
disk. So at any moment it describes a file that is there at least as far as it says, and a run
that was ended at any moment goes on from it.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

from configurator.errors import Fault, InputError, described
from configurator.screen.tally import Tally

SCHEMA = 1
"""Version of the journal and of the results' columns; another one is not gone on from."""

LARGEST = 1_000_000
"""A journal is a few kilobytes. [bytes]"""

ANEW = "--force begins anew"

Fingerprint = Mapping[str, str]
"""What the results follow from, each part by its name in plain words."""


@dataclass(frozen=True, slots=True)
class Journal:
    """How far a run has come."""

    fingerprint: Fingerprint
    """What the results follow from."""
    tally: Tally = field(default_factory=Tally)
    """Rows that are done, and what became of them."""
    rows_read: str = ""
    """Digest of all rows that are done, as they were read."""
    length: int = 0
    """Bytes of the file that are whole."""
    sha256: str = hashlib.sha256().hexdigest()
    """Digest of these bytes."""
    seconds: float = 0.0
    """Time spent so far, over all sittings."""
    done: bool = False
    """True once the whole list is through."""

    def further(self, **changes: Any) -> Journal:
        """The journal after another step."""
        return replace(self, **changes)


def journal_path(out: Path) -> Path:
    """Where the journal of a results file is kept: beside it."""
    return out.with_name(f"{out.name}.journal")


def save_journal(path: Path, journal: Journal) -> None:
    """Replace a journal in one go, and have it on the disk before this returns.

    Raises
    ------
    OSError
        If it cannot be written; the earlier one is then still there.
    """
    data = {"schema": SCHEMA, **asdict(journal), "tally": journal.tally.as_json()}
    text = json.dumps(data, indent=1, ensure_ascii=True) + "\n"
    beside = path.with_name(f"{path.name}.new")
    try:
        with beside.open("w", encoding="ascii", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def load_journal(path: Path) -> Journal | None:
    """Read a journal; None where there is none.

    Raises
    ------
    InputError
        If it cannot be read or is of another version.
    """
    if not path.exists():
        return None
    accepted = "the journal that a run of this version left"
    try:
        with path.open("rb") as file:
            data = json.loads(file.read(LARGEST))
        if data["schema"] != SCHEMA:
            given = f"version {described(data['schema'])}"
            raise InputError([Fault(str(path), "schema", given, f"version {SCHEMA}", ANEW)])
        return Journal(
            fingerprint={str(name): str(value) for name, value in data["fingerprint"].items()},
            tally=Tally.from_json(data["tally"]),
            rows_read=str(data["rows_read"]),
            length=int(data["length"]),
            sha256=str(data["sha256"]),
            seconds=float(data["seconds"]),
            done=bool(data["done"]),
        )
    except OSError as error:
        given = error.strerror or "unreadable"
        raise InputError([Fault(str(path), "file", given, accepted)]) from None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise InputError([Fault(str(path), "file", "no such journal", accepted, ANEW)]) from None


def refuse_changes(out: Path, then: Fingerprint, now: Fingerprint) -> None:
    """Refuse to go on if anything that the results follow from is another one.

    Parameters
    ----------
    out : Path
        The results file.
    then, now : Mapping[str, str]
        When the run was begun, and as it is asked for now.

    Raises
    ------
    InputError
        Naming each part that has changed.
    """
    faults = [
        Fault(
            str(out),
            f"{name} changed since the run began",
            now.get(name, "") or "none",
            f"{then.get(name, '') or 'none'}, as then",
            ANEW,
        )
        for name in dict.fromkeys([*then, *now])
        if then.get(name, "") != now.get(name, "")
    ]
    if faults:
        raise InputError(faults)
