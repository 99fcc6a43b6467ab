"""Kill a screening at random moments and resume it: `python -m benchmarks.screen_kill [KILLS] [SEED]`.

The real command screens an invented list on the shipped catalog, with one worker or two, drawn
anew each time. After each kill the file has to be the beginning of what an uninterrupted run
writes, and at the end the same byte for byte. The table says where the kills fell.
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "support"))

from killing import Kills, killed_and_resumed  # noqa: E402 - found by the line above

ROWS = 150
BAD = 17
"""Every row of this number cannot be read."""


def list_of(count: int, seed: int) -> str:
    drawn = random.Random(seed)
    lines = ["name,at,viscosity,shear_rate,density,constituents,trigger,lot"]
    for number in range(1, count + 1):
        viscosity = "many" if number % BAD == 0 else f"{drawn.uniform(1, 90):.3g} Pa*s"
        trigger = drawn.choice(["moisture", "none", "light"])
        lines.append(
            f"paste {number},23 degC,{viscosity},10 1/s,1.4 g/cm^3,"
            f"calcium carbonate 20..30 %,{trigger},=L{number}"
        )
    return "\n".join(lines) + "\n"


def screened(folder: Path, form: str, kills: int, seed: int) -> Kills:
    listed = folder / "list.csv"
    listed.write_text(list_of(ROWS, seed), encoding="utf-8")
    whole, out = folder / f"whole.{form}", folder / f"o.{form}"
    common = [sys.executable, "-m", "configurator", "screen", str(listed)]
    common += ["--process", "lid-bead", "--process", "plug-grease"]
    start = time.monotonic()
    subprocess.run([*common, "--out", str(whole)], cwd=ROOT, check=False, capture_output=True)
    alone = time.monotonic() - start
    return killed_and_resumed(
        [*common, "--out", str(out), "--resume"],
        out,
        whole.read_bytes(),
        kills=kills,
        delay=min(2.0, 0.3 * alone),
        seed=seed,
        folder=ROOT,
    )


def main() -> None:
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    for form in ("csv", "jsonl"):
        with tempfile.TemporaryDirectory() as folder:
            start = time.monotonic()
            seen = screened(Path(folder), form, kills, seed)
            passed = time.monotonic() - start
        fell = Counter("before the first row" if n <= 1 else "between rows" for n in seen.lines)
        print(
            f"{form}: {len(seen.lines)} kills ({', '.join(f'{n} {at}' for at, n in fell.items())}), "
            f"{len(set(seen.lines))} different lengths, {seen.torn} torn lines, "
            f"{seen.finished + 1} files compared and equal; {passed:.0f} s"
        )


if __name__ == "__main__":
    main()
