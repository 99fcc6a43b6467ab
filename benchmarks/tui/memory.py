"""Memory of the screen after random keys on a two-part question.

`python -m benchmarks.tui.memory` types 800 keys into the program in a pseudo-terminal, none of which
leaves it, and reads from the system (Linux) what it holds then and held at most. It ends with 1 where
it holds more than is asked.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.tui.fuzz_keys import Screen, key_of

QUESTION = ("gap-filler", "gap-filler-pads")
KEYS = 800
SIZE = (120, 36)
MOST = 200
"""What may be held once the keys are done. [MB]"""

LEAVE = ("q", "\x03", "v")


def held_after(keys: int, draw: random.Random) -> dict[str, float]:
    """What the program holds after so many keys, and at most. [MB]"""
    with tempfile.TemporaryDirectory() as folder:
        screen = Screen(Path(folder), QUESTION, SIZE)
        screen.read(10.0)
        while keys:
            key = key_of(draw, SIZE)
            if key not in LEAVE:
                screen.type(key)
                screen.read(0.15)
                keys -= 1
        time.sleep(2.0)
        lines = Path(f"/proc/{screen.pid}/status").read_text(encoding="utf-8").splitlines()
        os.kill(screen.pid, signal.SIGKILL)
        os.waitpid(screen.pid, 0)
    pairs = (line.split()[:2] for line in lines if line.startswith(("VmRSS", "VmHWM")))
    return {name.rstrip(":"): int(kilobytes) / 1000.0 for name, kilobytes in pairs}


def main() -> int:
    """Measure once."""
    held = held_after(KEYS, random.Random("memory"))
    sys.stdout.write(
        f"{KEYS} keys: {held['VmRSS']:.0f} MB held (asked: {MOST}), {held['VmHWM']:.0f} MB at most\n"
    )
    return int(held["VmRSS"] > MOST)


if __name__ == "__main__":
    sys.exit(main())
