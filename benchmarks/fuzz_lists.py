"""100 000 broken lists through the readers: `python benchmarks/fuzz_lists.py [--count N] [--seed S]`.

Prints how many lists came to what, the slowest one and the memory, and exits with 1 if anything
but a clear refusal happened, if a list took more than 2 s, or if memory grew beyond the bound.
A list that misbehaves is written to a file and named with its seed and number.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "support"))

from list_mutations import Case, Mutator, outcome

COUNT = 100_000
SLOWEST = 2.0
"""Processor time that one list may take. [s]"""

GROWTH = 64
"""Peak memory that may come on top of that after the first lists. [MB]"""

WARM_UP = 0.05
"""Share of the lists after which caches are full and the largest inputs were seen. [-]"""


def peak_memory() -> float:
    """Largest memory of this process so far, in MB."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1024 * 1024) if sys.platform == "darwin" else peak / 1024


def kept(case: Case, number: int) -> str:
    """Write a list that misbehaved to a file."""
    with tempfile.NamedTemporaryFile(prefix=f"list-{number}-", delete=False) as file:
        file.write(case.data)
    return f"{file.name} (form {case.form}, encoding {case.encoding})"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--count", type=int, default=COUNT, help="lists to try")
    parser.add_argument("--seed", type=int, default=1, help="where the row of lists begins")
    options = parser.parse_args()
    mutator = Mutator(options.seed)
    seen: Counter[str] = Counter()
    failures = 0
    slowest, slowest_size, size = 0.0, 0, 0
    warm = None
    begun = time.process_time()
    for number in range(1, options.count + 1):
        case = mutator.case()
        size += len(case.data)
        start = time.process_time()
        try:
            seen[outcome(case)] += 1
        except Exception:  # noqa: BLE001 - whatever it is, it is what this looks for
            failures += 1
            seen["FAILED"] += 1
            print(f"list {number} of seed {options.seed}: {kept(case, number)}", flush=True)
            traceback.print_exc(limit=-3)
        seconds = time.process_time() - start
        if seconds > slowest:
            slowest, slowest_size = seconds, len(case.data)
        if seconds > SLOWEST:
            failures += 1
            print(
                f"list {number} of seed {options.seed} took {seconds:.1f} s: {kept(case, number)}"
            )
        if warm is None and number >= options.count * WARM_UP:
            warm = peak_memory()
    growth = peak_memory() - (warm or 0.0)
    for what, count in seen.most_common():
        print(f"{count:8d}  {what}")
    print(f"{options.count:8d}  lists, seed {options.seed}, {size / 1e6:.0f} MB in all")
    print(f"{time.process_time() - begun:8.0f}  s of processor time, making the lists included")
    print(
        f"{slowest:8.2f}  s for the slowest list, of {slowest_size / 1e3:.0f} kB; {SLOWEST} allowed"
    )
    print(
        f"{peak_memory():8.0f}  MB at most; {growth:.0f} more than after the first lists, {GROWTH} allowed"
    )
    if growth > GROWTH:
        failures += 1
    print(f"{failures:8d}  failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
