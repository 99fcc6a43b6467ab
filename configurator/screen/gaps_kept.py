"""What a search for gaps has found so far, on the disk: one line a chunk, so that it can go on."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from configurator.errors import Fault, InputError
from configurator.rules.finding import State
from configurator.screen.chunk import ListRow
from configurator.screen.digests import (
    content_digest,
    findings_digest,
    rules_digest,
    shortened,
    tool_version,
)
from configurator.screen.gap_search import ChunkGaps, GapsAsked, Unread, Unserved
from configurator.screen.results_file import ANEW, Fingerprint, refuse_changes, sync_folder
from configurator.screen.run import CHANGED, chained, read_again
from configurator.units.display import plural

ACCEPTED = "what a search of this version kept"


class GapsKept:
    """Chunks of a search for gaps in a file of their own.

    Raises
    ------
    InputError
        If the file is there and may not be touched, is none of these, or was begun on another
        question.
    """

    def __init__(self, path: Path, asked: GapsAsked, *, resume: bool) -> None:
        self.path = path
        self.done: list[tuple[int, ChunkGaps]] = []
        """Rows of each chunk and what they say."""
        self._read = ""
        now = fingerprint(asked)
        if path.exists() and not path.is_file():
            fault = Fault(str(path), "--keep", "no plain file", "the name of a file")
            raise InputError([fault])
        if path.exists() and not resume:
            given, hint = "a file that is there", "--resume goes on with it"
            raise InputError([Fault(str(path), "--keep", given, "a new name", hint)])
        if path.exists():
            self._load(now)
            return
        try:
            with path.open("x", encoding="ascii", newline="\n") as file:
                file.write(json.dumps({"schema": 1, "fingerprint": now}) + "\n")
        except OSError as error:
            raise self._unwritten(error) from None
        sync_folder(path.parent)

    def pass_over(self, rows: Iterator[ListRow]) -> None:
        """Read the rows that are done and see that they are the same.

        Raises
        ------
        InputError
            If one of them reads otherwise now.
        """
        done = sum(count for count, _ in self.done)
        number, read = read_again(rows, done)
        if number < done or read != self._read:
            accepted = f"the {plural(done, 'row')} that are done, as they were"
            raise InputError(
                [Fault("LIST", CHANGED, "a list that reads otherwise", accepted, ANEW)]
            )

    def add(self, rows: Sequence[ListRow], found: ChunkGaps) -> None:
        """Keep another chunk.

        Raises
        ------
        InputError
            If it cannot be written; what was kept before stands.
        """
        for row in rows:
            self._read = chained(self._read, row)
        line = json.dumps({"rows": len(rows), "read": self._read, **_data(found)}) + "\n"
        try:
            with self.path.open("r+b") as file:
                length = file.seek(0, os.SEEK_END)
                try:
                    file.write(line.encode("ascii"))
                    file.flush()
                    os.fsync(file.fileno())
                except OSError:
                    file.truncate(length)
                    raise
        except OSError as error:
            raise self._unwritten(error) from None

    def _load(self, now: Fingerprint) -> None:
        try:
            raw = self.path.read_bytes()
            whole = raw.rfind(b"\n") + 1
            head, *lines = map(json.loads, raw[:whole].splitlines())
            then = {"schema": str(head["schema"])} | {
                str(name): str(value) for name, value in head["fingerprint"].items()
            }
            self.done = [(int(each["rows"]), _chunk(at, each)) for at, each in enumerate(lines)]
            self._read = str(lines[-1]["read"]) if lines else ""
        except OSError as error:
            given = error.strerror or "unreadable"
            raise InputError([Fault(str(self.path), "--keep", given, ACCEPTED)]) from None
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            fault = Fault(str(self.path), "--keep", "another file", ACCEPTED)
            raise InputError([fault]) from None
        refuse_changes(self.path, then, {"schema": "1", **now})
        if whole < len(raw):
            # The last line was torn as the run ended.
            os.truncate(self.path, whole)

    def _unwritten(self, error: OSError) -> InputError:
        given = error.strerror or "cannot be written"
        accepted = "a file that can be written"
        hint = "--resume goes on from there" if self.path.exists() else ""
        return InputError([Fault(str(self.path), "--keep", given, accepted, hint)])


def fingerprint(asked: GapsAsked) -> Fingerprint:
    """Return what the gaps follow from beside the list, each part by its name in plain words."""
    workshop = asked.workshop
    return {
        "processes": ", ".join(f"{p.name} ({content_digest(p)})" for p in asked.processes),
        "catalog": f"{workshop.catalog.name} ({shortened(workshop.catalog.sha256)})",
        "evidence": findings_digest(workshop),
        "fixed slots": ", ".join(sorted(asked.fixed)),
        "strict": str(asked.strict),
        "rules": rules_digest(),
        "tool version": tool_version(),
    }


def _data(found: ChunkGaps) -> dict[str, Any]:
    opened = [[*part, [[at, int(s)] for at, s in rows]] for part, rows in found.opened.items()]
    return {
        "unread": [asdict(each) for each in found.unread],
        "unserved": [asdict(each) for each in found.unserved],
        "opened": opened,
        "idle": {slot: sorted(names) for slot, names in found.idle.items()},
        "refused": sorted(found.refused),
        "two_part": found.two_part,
    }


def _chunk(number: int, data: dict[str, Any]) -> ChunkGaps:
    return ChunkGaps(
        number=number,
        unread=tuple(Unread(**each) for each in data["unread"]),
        unserved=tuple(Unserved(**each) for each in data["unserved"]),
        opened={
            (slot, name): tuple((int(at), State(state)) for at, state in rows)
            for slot, name, rows in data["opened"]
        },
        idle={str(slot): tuple(names) for slot, names in data["idle"].items()},
        refused=tuple(data["refused"]),
        two_part=bool(data["two_part"]),
        seconds=0.0,
    )
