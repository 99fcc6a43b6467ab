"""Screen invented lists of growing length and of every kind, beside python-constraint row by row.

python -m benchmarks.screening                  lists of 1,000 to 10,000 rows
python -m benchmarks.screening --most 100000    up to 100,000 rows, some ten minutes

Writes RESULTS.md beside this file.
"""

import argparse
import math
import os
import platform
import sys
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

from benchmarks.screening import peer
from benchmarks.screening.rows import LISTS, SEED, findings, write, write_findings
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.errors import HeadwrightError
from configurator.request.load import load_process
from configurator.request.question import Question
from configurator.screen.sources import open_list
from configurator.workshop.workshop import Workshop

PROCESS = "lid-bead"
KINDS = {
    "two-part": ("bracket-bead", 400),
    "measured curves": ("lid-bead", 1_000),
    "mixed": ("bracket-bead", 2_000),
}
"""Process and rows of further lists, by their kind."""

LENGTHS = (1_000, 3_000, 10_000, 30_000, 100_000)
PEER_ROWS = 5
LOOKED_AT = 60


@dataclass(frozen=True)
class Run:
    rows: int
    workers: int
    seconds: float
    processor: float
    megabytes: float

    @property
    def cells(self) -> str:
        rate, each = self.rows / self.seconds, 1e3 * self.processor / self.rows
        return f"{self.seconds:.1f} s | {rate:.0f} | {each:.2f} ms | {self.megabytes:.0f} MB"


def screened(
    path: Path, rows: int, *, workers: int = 1, process: str = PROCESS, more: tuple[str, ...] = ()
) -> Run:
    """One run of the command in a process of its own."""
    command = [sys.executable, "-m", "configurator", "screen", str(path), "--process", process]
    out = path.with_suffix(".out.csv")
    command += ["--out", str(out), "--force", "--workers", str(workers), *more]
    start = perf_counter()
    pid = os.spawnv(os.P_NOWAIT, sys.executable, command)
    _, status, used = os.wait4(pid, 0)
    code = os.waitstatus_to_exitcode(status)
    if code not in (0, 1):
        sys.exit(f"screen ended with {code}")
    processor = used.ru_utime + used.ru_stime
    run = Run(rows, workers, perf_counter() - start, processor, used.ru_maxrss / 1024)
    print(path.stem, run, flush=True)
    return run


def kinds(folder: Path) -> list[str]:
    """Lists of every kind, the mixed one also with what a shop has soaked."""
    lines = []
    for kind, (process, number) in KINDS.items():
        path = folder / f"{kind}.csv"
        write(path, LISTS[kind](number))
        run = screened(path, number, process=process)
        lines.append(f"| {kind} | {process} | {number} | {run.cells} |")
    known = folder / "findings.jsonl"
    write_findings(known, findings(number))
    run = screened(path, number, process=process, more=("--evidence", str(known)))
    lines.append(f"| {kind}, with findings | {process} | {number} | {run.cells} |")
    return lines


def peer_lines(path: Path, each: float, cap: float) -> list[str]:
    """The rows that suit the peer best, and how much longer it takes for them."""
    folder = shipped_folder()
    catalog = load_catalog(folder / "generic", substances=folder / "substances")
    process = load_process(PROCESS, folder=folder / "examples")
    entries = open_list(str(path), form=None, encoding=None, folder=folder / "examples")
    materials = [entry.material for entry in entries if entry.number <= LOOKED_AT]
    answers = []
    for material in materials:
        with suppress(HeadwrightError):  # a row that contradicts itself is not judged
            if material is not None:
                answers.append(Workshop(catalog).answer(Question(material, process)))
    lines = []
    for answer in peer.smallest(answers, PEER_ROWS):
        seconds, counted, capped = peer.seconds(answer, cap)
        if not capped and counted != answer.count:
            sys.exit(f"the peer counts {counted}, the engine {answer.count}")
        more = "> " if capped else ""
        name = answer.subject.question.material.name
        lines.append(
            f"| {name} | {answer.count:,} | {more}{seconds:.2f} s | {1e3 * each:.2f} ms "
            f"| {more}{seconds / each:,.0f} |".replace(",", " ")
        )
        print(lines[-1], flush=True)
    return lines


def page(runs: list[Run], others: list[str], peers: list[str]) -> str:
    alone = [run for run in runs if run.workers == 1]
    first, last = alone[0], alone[-1]
    growth = math.log(last.seconds / first.seconds) / math.log(last.rows / first.rows)
    lines = [
        "# Screening: rows a second, memory, and the peer",
        "",
        "Written by `python -m benchmarks.screening`; all in one run on one machine.",
        "",
        f"- Machine: {os.cpu_count()} processors, {platform.system()}",
        f"- Python {platform.python_version()}",
        f"- Process {PROCESS}, shipped catalog, one-part rows of `rows.py`, one in forty unreadable.",
        "- From the start of the command to its end: reading, judging, writing, journal.",
        f"- Every list is drawn with the seed {SEED}.",
        "",
        "| rows | workers | time | rows a second | a row of processor time | peak memory |",
        "| ---: | ---: | ---: | ---: | ---: | ---: |",
    ]
    lines += [f"| {run.rows:,} | {run.workers} | {run.cells} |".replace(",", " ") for run in runs]
    lines += [
        "",
        f"Time grows as rows^{growth:.2f} with one worker. Goal: 200 rows a second and core.",
        "",
        "## Lists of every kind, one worker",
        "",
        "Two-part rows draw either component as the list above draws its materials. Each measured curve",
        "has seven readings with an error of 3 % at most and is fitted. Of the mixed list about a tenth",
        "of the rows has two parts and a tenth a curve; the findings are soaks in constituents, and in",
        "every fifth product. Goals: 20 two-part rows a second in 500 MB, 60 rows with a curve a second,",
        "findings 20 % of the time at most.",
        "",
        "| list | process | rows | time | rows a second | a row of processor time | peak memory |",
        "| --- | --- | ---: | ---: | ---: | ---: | ---: |",
        *others,
        "",
        "## python-constraint on the whole problem, row by row",
        "",
        f"Of the first {LOOKED_AT} rows the {PEER_ROWS} with the fewest builds. The rules' tables are made",
        "beforehand and their time does not count for the peer; it only counts the builds. Goal: 30.",
        "",
        "| row | builds | peer | headwright, a row of the longest list | ratio |",
        "| --- | ---: | ---: | ---: | ---: |",
        *peers,
    ]
    return "\n".join(lines) + "\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=10_000)
    parser.add_argument("--cap", type=float, default=60.0, help="seconds for a row of the peer")
    chosen = parser.parse_args()
    runs = []
    with tempfile.TemporaryDirectory() as folder:
        for rows in (length for length in LENGTHS if length <= chosen.most):
            path = Path(folder) / f"{rows}.csv"
            write(path, LISTS["one-part"](rows))
            runs.append(screened(path, rows))
        runs += [screened(path, rows, workers=workers) for workers in (2, 4)]
        others = kinds(Path(folder))
        longest = max((run for run in runs if run.workers == 1), key=lambda run: run.rows)
        peers = peer_lines(Path(folder) / "1000.csv", longest.seconds / longest.rows, chosen.cap)
    Path(__file__).with_name("RESULTS.md").write_text(page(runs, others, peers), encoding="utf-8")


if __name__ == "__main__":
    main()
