"""Ends a command at random moments and starts it again, and looks at what it left each time."""

from __future__ import annotations

import random
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

LATE = 0.8
"""Share of the kills that wait until something was saved."""


@dataclass
class Kills:
    """What was seen.

    Attributes
    ----------
    lines : list of int
        Whole lines in the file after each kill.
    torn : int
        Kills after which the last line was not whole.
    finished : int
        Runs that were through before their kill, each compared byte for byte.
    """

    lines: list[int] = field(default_factory=list)
    torn: int = 0
    finished: int = 0


def killed_and_resumed(
    command: Sequence[str],
    out: Path,
    wanted: bytes,
    *,
    kills: int,
    delay: float,
    seed: int,
    workers: Sequence[int] = (1, 2),
    folder: Path,
) -> Kills:
    """Start, kill and resume a command until it was killed so often, then let it end.

    Parameters
    ----------
    command : sequence of str
        The command with its `--out` and `--resume`; `--workers` is added.
    out : Path
        What it writes.
    wanted : bytes
        What has to be in it at the end.
    kills : int
        How many runs to end.
    delay : float
        Longest time before a kill: of one in five from the start on, of the others from the
        moment on at which the run has saved something, so that most fall where it writes. [s]
    seed : int
        Of the moments.
    workers : sequence of int
        Workers of the runs, drawn anew each time.
    folder : Path
        Where to run.
    """
    moments = random.Random(seed)
    seen = Kills()
    while len(seen.lines) < kills:
        late = moments.random() < LATE
        watched = out.with_name(f"{out.name}.journal") if late else None
        moment = moments.uniform(0.0, delay)
        code = _run(command, folder, moments.choice(workers), moment, watched)
        if code is None:
            _look(out, wanted, seen)
            continue
        assert code in {0, 1}, code
        assert out.read_bytes() == wanted
        seen.finished += 1
        for path in out.parent.glob(f"{out.name}*"):
            path.unlink()
    code = _run(command, folder, moments.choice(workers))
    assert code in {0, 1}, code
    assert out.read_bytes() == wanted
    return seen


def _run(
    command: Sequence[str],
    folder: Path,
    workers: int,
    delay: float | None = None,
    watched: Path | None = None,
) -> int | None:
    """Exit code of a run; None if it was killed, some time after a file has changed."""
    before = _changed(watched)
    with subprocess.Popen(
        [*command, "--workers", str(workers)],
        cwd=folder,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stderr is not None
        until = None if delay is None or watched else time.monotonic() + delay
        while until is None or time.monotonic() < until:
            if delay is not None and until is None and _changed(watched) != before:
                until = time.monotonic() + delay
            code = process.poll()
            if code is not None:
                assert "Traceback" not in (said := process.stderr.read()), said
                return code
            time.sleep(0.001)
        process.kill()
        process.wait()
    return None


def _changed(watched: Path | None) -> int:
    try:
        return 0 if watched is None else watched.stat().st_mtime_ns
    except OSError:
        return 0


def _look(out: Path, wanted: bytes, seen: Kills) -> None:
    """What a kill left is the beginning of what has to be there."""
    raw = out.read_bytes() if out.exists() else b""
    whole = raw[: raw.rfind(b"\n") + 1]
    seen.torn += raw != whole
    assert wanted.startswith(raw)
    seen.lines.append(whole.count(b"\n"))
