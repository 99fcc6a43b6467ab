"""Accept, extend or reject: heads with named faults on plans of shipped examples.

python -m benchmarks.trial_faults                 1000 trials at twice the tolerance, some minutes
python -m benchmarks.trial_faults --trials 100    fewer

Writes RESULTS.md beside this file.
"""

import argparse
import csv
import sys
from collections import Counter
from pathlib import Path
from time import perf_counter

from benchmarks.trial_faults.faults import FAULTS, Fault, weighed
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.trial.evaluate import evaluate
from configurator.trial.head import head_of
from configurator.trial.plan import TrialPlan
from configurator.trial.planning import TrialAims, plan_trial
from configurator.workshop.workshop import Workshop

PAIRS = {
    "lid-sealant": "lid-bead",
    "bay-potting": "bay-potting-pour",
    "bearing-oil": "pulley-drops",
    "hull-paste": "hull-seam",
}
SIZES = (0.5, 1.0, 2.0, 4.0)
DECIDES = 2.0
"""Size at which nothing may be accepted, and most trials are drawn."""

HERE = Path(__file__).parent
BEFORE = HERE / "before.csv"


def plans() -> list[TrialPlan]:
    folder = shipped_folder()
    workshop = Workshop(
        load_catalog(folder / "generic", substances=folder / "substances", where="shipped")
    )
    found = []
    for material, process in PAIRS.items():
        question = Question(
            material=load_material(material, folder=folder / "examples"),
            process=load_process(process, folder=folder / "examples"),
        )
        answer = workshop.answer(question)
        build = answer.builds(limit=1)[0]
        head = head_of(answer.subject, build.parts)
        found.append(plan_trial(head, TrialAims(), build.findings)[0])
    return found


def words_of(on: list[TrialPlan], fault: Fault | None, size: float, trials: int) -> Counter[str]:
    """Verdicts over trials, spread evenly over the plans."""
    return Counter(
        evaluate([weighed(on[seed % len(on)], fault, size, seed)]).verdict.word
        for seed in range(trials)
    )


def shares(counted: Counter[str]) -> list[float]:
    total = sum(counted.values())
    return [100.0 * counted[word] / total for word in ("accept", "extend", "reject")]


def table(on: list[TrialPlan], trials: int) -> list[list[str]]:
    """Per fault and size: shares of accept, extend and reject."""
    rows = []
    for fault in FAULTS:
        fits = [plan for plan in on if fault.applies(plan)]
        cells = []
        for size in SIZES:
            count = trials if size == DECIDES else max(trials // 10, 20)
            found = shares(words_of(fits, fault, size, count))
            cells.append(" / ".join(f"{share:.3g}" for share in found))
        rows.append([fault.name, *cells])
        print(*rows[-1], sep=" | ", flush=True)
    return rows


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=1000)
    parser.add_argument("--before", action="store_true", help="keep the numbers as those of before")
    asked = parser.parse_args()
    start = perf_counter()
    on = plans()
    good = shares(words_of(on, None, 0.0, asked.trials))
    print("good head", good, flush=True)
    rows = [["good head", " / ".join(f"{share:.3g}" for share in good)], *table(on, asked.trials)]
    if asked.before:
        with BEFORE.open("w", newline="", encoding="utf-8") as out:
            csv.writer(out, lineterminator="\n").writerows(rows)
    print(f"{perf_counter() - start:.0f} s", file=sys.stderr)


if __name__ == "__main__":
    main()
