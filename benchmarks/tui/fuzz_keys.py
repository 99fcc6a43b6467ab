"""Random keys against the real program in a pseudo-terminal: does it live, and keep its session?

`python -m benchmarks.tui.fuzz_keys --keys 20000 --seed 1` spreads the keys over six sizes, pasted
text, mouse and resizes among them, some typed while an answer is still being worked out. It ends
with 1 at the first fault: a traceback, an exit code other than 0, a screen that no longer reacts, a
session that is not there at the next start. Every fault prints its seed, size and last keys.
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import random
import select
import struct
import sys
import tempfile
import termios
import time
from collections import deque
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SIZES = ((80, 24), (100, 30), (120, 36), (200, 60), (60, 20), (45, 12))
MATERIALS = (("lid-sealant", "lid-bead"), ("gap-filler", "gap-filler-pads"))
KEPT = 30
"""Keys that are told with a fault."""
RESIZED, LOOKED_AT = 0.01, 0.02
"""Shares of the bursts that a resize follows, and a look at whether the screen still lives."""
STOPPED = (130, -2)
"""What a program ends with that its user has stopped, in Python or on the way to it."""
BEFORE_US = "Could not import runpy module"
"""What Python says, with 1, if it is stopped before it has read a line of the program."""
ANSWERS_WITHIN = 20.0
"""Longest that a key may be without any effect on the screen. [s]"""

PLAIN = [
    *"abcdefghijklmnoprstuvwxyz0123456789/?:.-+%! ",
    "\r",
    "\t",
    "\x1b",
    "\x7f",
    "\x01",
    "\x05",
]
MOVES = [f"\x1b[{letter}" for letter in "ABCDHFZ"] + [f"\x1b[{code}~" for code in (2, 3, 5, 6)]
PASTES = ("12 mL/min\n", "3,5 Pa*s", "\x1b[31mred", "lid-bead\n\n\n", "\u00b5m \u2264 5", "x" * 300)


class Ended(Exception):
    """The program has ended."""


class Screen:
    """The program in a pseudo-terminal of its own."""

    def __init__(self, folder: Path, arguments: tuple[str, ...], size: tuple[int, int]) -> None:
        self.log: deque[bytes] = deque(maxlen=400)
        self.pid, self.terminal = pty.fork()
        if self.pid == 0:
            os.chdir(folder)
            os.environ.update(TERM="xterm-256color", LANG="C.UTF-8", PYTHONPATH=str(ROOT))
            os.environ["HEADWRIGHT_SESSION"] = str(folder / "session")
            command = [sys.executable, "-m", "configurator", "tui", *arguments]
            os.execv(sys.executable, command)
        self.resize(size)

    def resize(self, size: tuple[int, int]) -> None:
        fcntl.ioctl(self.terminal, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))

    def read(self, seconds: float) -> bool:
        """Take what is drawn for some time; whether anything was.

        Raises
        ------
        Ended
            If the program has ended.
        """
        end, drawn = time.monotonic() + seconds, False
        while (left := end - time.monotonic()) > 0:
            if not select.select([self.terminal], [], [], left)[0]:
                break
            try:
                found = os.read(self.terminal, 65536)
            except OSError:
                found = b""
            if not found:
                raise Ended
            self.log.append(found)
            drawn = True
        return drawn

    def type(self, keys: str) -> None:
        try:
            os.write(self.terminal, keys.encode())
        except OSError as error:
            raise Ended from error

    def reacts(self) -> bool:
        """Whether a resize is followed by a drawing."""
        end = time.monotonic() + ANSWERS_WITHIN
        while time.monotonic() < end:
            self.resize((90, 28))
            self.read(0.2)
            self.resize((91, 28))
            if self.read(0.5):
                return True
        return False

    @property
    def text(self) -> str:
        return b"".join(self.log).decode("utf-8", "replace")

    def wait(self) -> int:
        """The exit code; -1 if it had to be killed."""
        for _ in range(100):
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                return os.waitstatus_to_exitcode(status)
            time.sleep(0.1)
        os.kill(self.pid, 9)
        os.waitpid(self.pid, 0)
        return -1


def key_of(draw: random.Random, size: tuple[int, int]) -> str:
    """One key, paste or click."""
    kind = draw.random()
    if kind < 0.55:
        return draw.choice(PLAIN)
    if kind < 0.85:
        return draw.choice(MOVES)
    if kind < 0.9:
        return f"\x1b[200~{draw.choice(PASTES)}\x1b[201~"
    if kind < 0.98:
        x, y = draw.randint(1, size[0]), draw.randint(1, size[1])
        return "".join(f"\x1b[<{draw.choice((0, 64, 65))};{x};{y}{end}" for end in "Mm")
    return draw.choice(("q", "\x03", "v", "?", "p"))


def fuzzed(keys: int, draw: random.Random, size: tuple[int, int], folder: Path) -> Iterator[str]:
    """Type keys; yields a fault with what came before it."""
    last: deque[str] = deque(maxlen=KEPT)
    arguments = draw.choice(MATERIALS)
    screen = Screen(folder, arguments, size)
    while keys > 0:
        try:
            burst = [key_of(draw, size) for _ in range(min(draw.choice((1, 2, 5, 20)), keys))]
            keys -= len(burst)
            last.extend(burst)
            screen.type("".join(burst))
            screen.read(draw.choice((0.0, 0.02, 0.2)))
            if draw.random() < RESIZED:
                size = draw.choice(SIZES)
                screen.resize(size)
            if draw.random() < LOOKED_AT and not screen.reacts():
                yield f"does not react after {list(last)}"
                return
        except Ended:
            if fault := fault_at_end(screen, folder):
                yield f"{fault} after {list(last)}\n{screen.text[-3000:]}"
                return
            screen = Screen(folder, () if any(folder.rglob("session/*")) else arguments, size)
    yield from left(screen)


def fault_at_end(screen: Screen, folder: Path) -> str:
    """What is wrong with a program that has ended; empty if nothing is."""
    code = screen.wait()
    stopped = code in STOPPED or BEFORE_US in screen.text
    if stopped and "\x1b[?1049h" not in screen.text:
        return ""  # Ctrl+C before there was a screen that could have taken it
    if code != 0 or "Traceback" in screen.text:
        return f"ended with {code}"
    return "" if any((folder / "session").rglob("*")) else "kept no session"


def left(screen: Screen) -> Iterator[str]:
    """Leave as a user does, whatever is open."""
    try:
        if not screen.reacts():
            yield "does not react at the end"
        for keys in ("\x1b\x1b\x1b", "\x11", "q", "q"):
            screen.type(keys)
            screen.read(2.0)
    except Ended:
        pass
    if (code := screen.wait()) != 0:
        yield f"could not be left (exit {code})\n{screen.text[-1500:]}"


def main() -> int:
    """Fuzz at every size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keys", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    faults = 0
    for number, size in enumerate(SIZES):
        draw = random.Random(f"{asked.seed}/{number}")
        began = time.monotonic()
        with tempfile.TemporaryDirectory() as folder:
            found = list(fuzzed(asked.keys // len(SIZES), draw, size, Path(folder)))
        seconds = time.monotonic() - began
        words = f"{size[0]}x{size[1]}: {asked.keys // len(SIZES)} keys in {seconds:.0f} s"
        sys.stdout.write(f"{words}, {'; '.join(found) or 'no fault'}\n")
        sys.stdout.flush()
        faults += len(found)
    return min(faults, 1)


if __name__ == "__main__":
    sys.exit(main())
