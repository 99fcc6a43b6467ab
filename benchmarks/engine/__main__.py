"""``python -m benchmarks.engine``: engine and peers on the same instances in one run.

Writes RESULTS.md beside this file. Every competitor runs alone, in a process of its own, with
a time cap; all that finish must agree, or the run fails.
"""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np

from benchmarks.engine import instances, own_runs, peers, race, report
from benchmarks.engine.instances import Instance

ROUNDS = 3
"""Runs of each competitor; the best counts, since a shared machine only ever adds time."""

CP_SAT_PICKS = 3
"""Picks that the slowest peer is asked; it reaches the cap with them."""


def best_of(cap: float, work: Callable[..., Any], case: Instance) -> race.Outcome:
    """The quickest of some runs, or the first one that reaches the cap."""
    best = race.run(cap, work, case)
    for _ in range(ROUNDS - 1):
        if best.capped:
            break
        again = race.run(cap, work, case)
        if not again.capped and again.seconds < best.seconds:
            best = again
    return best


def compare_counts(case: Instance, cap: float, names: list[str]) -> list[report.Line]:
    competitors: dict[str, tuple[str, Callable[..., Any]]] = {
        "numpy brute force": ("counts", peers.brute_force_count),
        "python-constraint, whole problem": ("enumerates", peers.python_constraint_count),
        "OR-tools CP-SAT": ("enumerates", peers.cp_sat_count),
        "clingo": ("enumerates", peers.clingo_count),
        "OxiDD (BDD)": ("counts", peers.bdd_count),
    }
    own = best_of(cap, own_runs.engine_counts, case)
    print(case.name, "engine", own.answer, own.seconds, flush=True)
    lines = []
    for name in names:
        kind, work = competitors[name]
        outcome = best_of(cap, work, case)
        print(case.name, name, outcome.answer, outcome.seconds, outcome.capped, flush=True)
        if not outcome.capped and outcome.answer != own.answer:
            sys.exit(f"{name} counts {outcome.answer} on {case.name}, the engine {own.answer}")
        lines.append(
            report.Line(
                f"build and count, {case.name}",
                name,
                kind,
                own.seconds,
                outcome.seconds,
                outcome.capped,
            )
        )
    return lines


def compare_updates(case: Instance, cap: float, seed: int) -> list[report.Line]:
    """One pick a slot, each asked once: the median and the worst of them."""
    rng = np.random.default_rng(seed)
    picks = [(slot, int(rng.integers(size))) for slot, size in case.domains.items()]
    own = race.run(cap, peers.engine_remaining, case, picks)
    possible = [
        {slot: [left > 0 for left in counts] for slot, counts in answer.items()}
        for answer in own.answer
    ]
    lines = []
    for name, kind, work, expected in (
        ("OR-tools CP-SAT, value by value", "possible or not", peers.cp_sat_remaining, possible),
        ("clingo, brave consequences", "possible or not", peers.clingo_remaining, possible),
        ("OxiDD (BDD), built before", "counts", peers.bdd_remaining, own.answer),
    ):
        asked = picks[:CP_SAT_PICKS] if work is peers.cp_sat_remaining else picks
        outcome = race.run(cap, work, case, asked)
        print(case.name, name, own.seconds, outcome.seconds, outcome.capped, flush=True)
        if not outcome.capped and outcome.answer != expected[: len(asked)]:
            sys.exit(f"{name} and the engine differ on what remains in {case.name}")
        for measure, of in (("median", median), ("worst", max)):
            theirs = outcome.seconds / len(asked) if outcome.capped else of(outcome.seconds)
            lines.append(
                report.Line(
                    f"remaining for all slots after a pick, {case.name} ({measure} of {len(asked)})",
                    name,
                    kind,
                    of(own.seconds[: len(asked)]),
                    theirs,
                    outcome.capped,
                )
            )
    return lines


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cap", type=float, default=60.0, help="seconds a competitor may take")
    parser.add_argument("--seed", type=int, default=7, help="of the picks that are compared")
    parser.add_argument("--out", type=Path, default=Path(__file__).with_name("RESULTS.md"))
    options = parser.parse_args()

    medium = instances.instance(*instances.MEDIUM)
    regular = instances.instance(*instances.REGULAR)
    large = instances.instance(*instances.LARGE)
    every = [
        "numpy brute force",
        "python-constraint, whole problem",
        "OR-tools CP-SAT",
        "clingo",
        "OxiDD (BDD)",
    ]
    lines = compare_counts(medium, options.cap, every)
    lines += compare_counts(regular, options.cap, every[1:])
    lines += compare_counts(large, options.cap, ["OxiDD (BDD)"])
    lines += compare_updates(large, options.cap, options.seed)
    growth = []
    for spec in instances.GROWTH:
        outcome = race.run(options.cap, own_runs.growth_point, instances.instance(*spec))
        if outcome.capped:
            sys.exit(f"the engine took more than {options.cap} s on {spec[0]}")
        growth.append({**outcome.answer, "megabytes": outcome.megabytes})
        print(spec[0], growth[-1], flush=True)
    options.out.write_text(
        report.page([medium, regular, large], lines, growth, options.cap), encoding="utf-8"
    )


if __name__ == "__main__":
    main()
