"""100 000 broken files through every reader: `python benchmarks/fuzz_readers.py [--count N] [--seed S]`.

Prints how many files came to what, the slowest one and the memory, and exits with 1 if anything but
a clear refusal happened, if a file took more than 2 s, or if memory went beyond its bound. A file
that misbehaves is kept and named with its seed and number.
"""

from __future__ import annotations

import argparse
import resource
import signal
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "support"))

from list_mutations import Mutator
from reader_mutations import READERS, next_of

COUNT = 100_000
SLOWEST = 2.0
"""Processor time that one file may take. [s]"""

ENDLESS = 60.0
"""Processor time after which a reader is stopped. [s]"""

MOST_MEMORY = 500
"""Largest memory of the process, what the readers import included. [MB]"""

KINDS = ("list", *READERS)


def peak_memory() -> float:
    """Largest memory of this process so far, in MB."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1024 * 1024) if sys.platform == "darwin" else peak / 1024


def kept(name: str, data: bytes) -> str:
    """Write a file that misbehaved where it can be looked at."""
    with tempfile.NamedTemporaryFile(suffix=f"-{name}", delete=False) as file:
        file.write(data)
    return file.name


def _stopped(*_: object) -> None:
    raise TimeoutError(f"not read after {ENDLESS:g} s")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--count", type=int, default=COUNT, help="files to try")
    parser.add_argument("--seed", type=int, default=1, help="where the row of files begins")
    parser.add_argument("--kind", choices=KINDS, help="one kind alone")
    options = parser.parse_args()
    kinds = KINDS if options.kind is None else (options.kind,)
    mutator = Mutator(options.seed)
    seen: Counter[str] = Counter()
    failures, size, slowest = 0, 0, (0.0, "", 0)
    signal.signal(signal.SIGVTALRM, _stopped)
    warnings.simplefilter("error")  # none of a library may reach a user
    for number in range(1, options.count + 1):
        kind = kinds[number % len(kinds)]
        name, data, read = next_of(mutator, kind)
        size += len(data)
        start = time.process_time()
        fault = ""
        signal.setitimer(signal.ITIMER_VIRTUAL, ENDLESS)
        try:
            seen[f"{kind}: {read()}"] += 1
        except Exception:  # noqa: BLE001 - whatever it is, it is what this looks for
            seen[f"{kind}: FAILED"] += 1
            fault = traceback.format_exc(limit=-3)
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        seconds = time.process_time() - start
        slowest = max(slowest, (seconds, kind, len(data)))
        if seconds > SLOWEST:
            fault += f"took {seconds:.1f} s"
        if fault:
            failures += 1
            print(
                f"{kind} {number} of seed {options.seed}: {kept(name, data)}\n{fault}", flush=True
            )
    for what, count in sorted(seen.items()):
        print(f"{count:8d}  {what}")
    seconds, kind, length = slowest
    memory = peak_memory()
    print(f"{options.count:8d}  files, seed {options.seed}, {size / 1e6:.0f} MB in all")
    print(
        f"{seconds:8.2f}  s for the slowest, a {kind} of {length / 1e3:.0f} kB; {SLOWEST} allowed"
    )
    print(f"{memory:8.0f}  MB at most; {MOST_MEMORY} allowed")
    failures += memory > MOST_MEMORY
    print(f"{failures:8d}  failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
