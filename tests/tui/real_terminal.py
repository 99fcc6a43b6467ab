"""Starts the screen in a real terminal (tmux), sends keys, and prints what it shows.

`python tests/tui/real_terminal.py` shows a short walk; with `--write FOLDER` each screen goes
into a file of its own. It needs tmux and leaves nothing behind.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LONGEST = 30.0

WALK = (
    ("start", (), "builds"),
    ("picked", ("2", "Right", "Right", "Right", "Right", "Enter"), "[stator *]"),
    ("builds", ("4",), ">4 Heads: by state"),
    ("marked", ("m", "Down", "m"), "2 marked"),
    ("compared", ("c",), "where they differ"),
    ("command", ("Escape", "l"), "headwright builds"),
    ("help", ("Escape", "?"), "Words, keys and marks"),
)
"""Name, keys, and words that have to appear."""

REVIEW_WALK = (
    ("results", (), ">Results<"),
    ("ruled-out", ("f", *"ruled", "Enter"), "of 1 shown of 3"),
    ("whole-row", ("w",), "Cells of the list"),
    ("opened", ("Escape", "Enter"), "No build is left."),
    ("back", ("v",), "of 1 shown of 3"),
)
"""The same for the review of a screening of three rows."""

LIST = ROOT / "catalogs" / "examples" / "lists" / "one-part.csv"
SCREENED = ("B-101", "B-126", "B-130")
"""Rows of the shipped list; one of them has no build."""

Steps = Sequence[tuple[str, Sequence[str], str]]


class Terminal:
    """A tmux session of its own, on a socket of its own."""

    def __init__(self, socket: str, width: int, height: int) -> None:
        self._tmux = ["tmux", "-S", socket, "-f", os.devnull]
        self._size = ["-x", str(width), "-y", str(height)]

    def run(self, *words: str) -> str:
        done = subprocess.run([*self._tmux, *words], capture_output=True, text=True, check=True)
        return done.stdout

    def start(self, command: list[str], environment: dict[str, str]) -> None:
        given = [word for name, value in environment.items() for word in ("-e", f"{name}={value}")]
        self.run("new-session", "-d", *self._size, *given, "-c", str(ROOT), *command)
        self.run("set-option", "-g", "remain-on-exit", "on")

    def press(self, *keys: str) -> None:
        for key in keys:
            self.run("send-keys", key)
            # A terminal tells Escape from the start of a longer key by the pause behind it.
            time.sleep(0.4 if key == "Escape" else 0.05)

    @property
    def screen(self) -> str:
        return "\n".join(line.rstrip() for line in self.run("capture-pane", "-p").splitlines())

    def wait_for(self, words: str) -> str:
        """The screen once it shows some words and nothing is being worked out."""
        end = time.monotonic() + LONGEST
        while True:
            screen = self.screen
            top = next(iter(screen.splitlines()), "")
            if words in screen and "~" not in top:
                return screen
            if time.monotonic() > end:
                raise TimeoutError(f"no '{words}' on the screen:\n{screen}")
            time.sleep(0.05)

    @property
    def ended(self) -> bool:
        return self.run("display-message", "-p", "#{pane_dead}").strip() == "1"


@contextmanager
def terminal(width: int, height: int, *arguments: str) -> Iterator[Terminal]:
    """A terminal in which the screen runs, with a session folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        shell = Terminal(str(Path(folder) / "socket"), width, height)
        command = [sys.executable, "-m", "configurator", "tui", *arguments]
        shell.start(command, {"HEADWRIGHT_SESSION": f"{folder}/session", "LANG": "C.UTF-8"})
        try:
            yield shell
        finally:
            subprocess.run([*shell._tmux, "kill-server"], capture_output=True, check=False)


def walk(width: int, height: int) -> Iterator[tuple[str, str]]:
    """Every step of the walk with the screen after it; ends by leaving."""
    yield from _walked(width, height, WALK, "lid-sealant", "lid-bead")


def review_walk(width: int, height: int) -> Iterator[tuple[str, str]]:
    """The same for results of a screening, made on the way."""
    with tempfile.TemporaryDirectory() as folder:
        head, *rows = LIST.read_text(encoding="utf-8").splitlines(keepends=True)
        listed = Path(folder) / "list.csv"
        kept = [row for row in rows if row.startswith(SCREENED)]
        listed.write_text("".join([head, *kept]), encoding="utf-8")
        out = str(Path(folder) / "results.csv")
        command = ["screen", str(listed), "--process", "lid-bead", "--out", out]
        # The exit code is 1: one row has no build.
        subprocess.run(
            [sys.executable, "-m", "configurator", *command],
            cwd=ROOT,
            capture_output=True,
            check=False,
        )
        yield from _walked(width, height, REVIEW_WALK, "--open", out)


def _walked(width: int, height: int, steps: Steps, *arguments: str) -> Iterator[tuple[str, str]]:
    with terminal(width, height, *arguments, "--ascii") as shell:
        for name, keys, words in steps:
            shell.press(*keys)
            yield name, shell.wait_for(words)
        shell.press("Escape", "q")
        end = time.monotonic() + LONGEST
        while not shell.ended:
            if time.monotonic() > end:
                raise TimeoutError("q does not end it")
            time.sleep(0.05)


def main() -> int:
    """Walk at both sizes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", type=Path, metavar="FOLDER")
    folder = parser.parse_args().write
    if shutil.which("tmux") is None:
        sys.stdout.write("tmux is not installed: skipped\n")
        return 0
    for width, height in ((120, 36), (80, 24)):
        for name, screen in (*walk(width, height), *review_walk(width, height)):
            sys.stdout.write(f"--- {name}, {width}x{height}\n{screen}\n")
            if folder is not None:
                folder.mkdir(parents=True, exist_ok=True)
                (folder / f"{name}-{width}x{height}.txt").write_text(screen + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
