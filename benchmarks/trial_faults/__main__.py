"""Accept, extend or reject: heads with named faults on plans of shipped examples.

python -m benchmarks.trial_faults                 1000 trials of each fault at twice the tolerance
python -m benchmarks.trial_faults --trials 100    fewer

Writes RESULTS.md beside this file. Trial k of a row is drawn from numpy's default generator with the
seed [k, ten times the size], on plan k modulo the number of plans.
"""

import argparse
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from time import perf_counter

from benchmarks.trial_faults.faults import FAULTS, GOOD_SHARE, Bench, Fault, drawn
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.trial.distributions import f_above
from configurator.trial.evaluate import evaluate
from configurator.trial.head import head_of
from configurator.trial.planning import TrialAims, plan_trial
from configurator.workshop.workshop import Workshop

PAIRS = {
    "lid-sealant": "lid-bead",
    "bay-potting": "bay-potting-pour",
    "bearing-oil": "pulley-drops",
    "hull-paste": "hull-seam",
}
SIZES = (0.5, 1.0, 2.0, 4.0)
GOOD = {"a ninth": GOOD_SHARE, "a sixth": 1.0 / 6.0, "a fifth": 1.0 / 5.0}
"""Spread of sound heads, in tolerances."""

DECIDES = 2.0
"""Size at which nothing may be accepted."""

HOURS = 4.0
"""Of the short plans."""

WORDS = ("accept", "extend", "reject")
UNTOUCHED = "not in the plan"

RESULTS = Path(__file__).parent / "RESULTS.md"


@cache
def benches(hours: float | None = None) -> list[Bench]:
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
        found.append(Bench(plan_trial(head, TrialAims(), build.findings, hours=hours)[0]))
    return found


@dataclass(frozen=True)
class Row:
    """Trials of one head."""

    fault: int | None
    """Place among the faults; none for a sound head."""
    size: float
    trials: int
    spread: float = GOOD_SHARE
    hours: float | None = None


def counted(row: Row) -> Counter[str]:
    """Verdicts of a row, spread evenly over the plans."""
    fault: Fault | None = None if row.fault is None else FAULTS[row.fault]
    on = [each for each in benches(row.hours) if fault is None or fault.applies(each.plan)]
    found: Counter[str] = Counter()
    for seed in range(row.trials if on else 0):
        head = drawn(on[seed % len(on)], fault, row.size, seed, row.spread)
        word = evaluate([head.readings()]).verdict.word
        found[word if fault is None or head.touched else UNTOUCHED] += 1
    return found


def at_most(seen: int, trials: int, doubt: float = 0.05) -> float:
    """Upper bound of a share by the exact binomial (Clopper and Pearson). [-]"""
    return 1.0 if seen >= trials else beta_quantile(1.0 - doubt, seen + 1.0, float(trials - seen))


def beta_quantile(share: float, a: float, b: float) -> float:
    """By way of F: a beta value is that of F with twice as many degrees of freedom."""
    high = 1.0
    low = 0.0
    for _ in range(60):
        middle = (low + high) / 2.0
        ratio = middle * b / ((1.0 - middle) * a)
        low, high = (middle, high) if f_above(ratio, 2 * a, 2 * b) > 1.0 - share else (low, middle)
    return low


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=1000)
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    start = perf_counter()
    places = range(len(FAULTS))
    rows = [Row(None, 0.0, asked.trials, spread) for spread in GOOD.values()]
    rows += [Row(place, DECIDES, asked.trials) for place in places]
    elsewhere, short = others(asked.trials)
    rows += [Row(place, DECIDES, short, hours=HOURS) for place in places]
    rows += [Row(place, size, elsewhere) for size in SIZES if size != DECIDES for place in places]
    found: dict[Row, Counter[str]] = {}
    with ProcessPoolExecutor(asked.processes) as workers:
        for row, words in zip(rows, workers.map(counted, rows), strict=True):
            found[row] = words
            name = "none" if row.fault is None else FAULTS[row.fault].name
            print(name, row.size, f"{row.spread:.3f}", row.hours, dict(words), flush=True)
            text = written(found, asked.trials, perf_counter() - start)
            RESULTS.write_text(text, encoding="utf-8")


def others(trials: int) -> tuple[int, int]:
    """Trials at the other sizes, and on short plans."""
    return max(trials // 10, 4), max(trials // 25, 4)


def shares(words: Counter[str]) -> str:
    """Accept, extend and reject in %, and what of the trials the fault did not meet."""
    total = sum(words[word] for word in WORDS)
    told = " / ".join(f"{100.0 * words[word] / total:.3g}" for word in WORDS) if total else "-"
    untouched = words[UNTOUCHED] / max(words.total(), 1)
    return told + (f" ({100.0 * untouched:.0f} {UNTOUCHED})" if untouched else "")


def _goals(found: dict[Row, Counter[str]], trials: int) -> str:
    accepted = {
        FAULTS[row.fault].name: words["accept"]
        for row, words in found.items()
        if row.fault is not None and row.size == DECIDES and row.hours is None and words["accept"]
    }
    listed = ", ".join(f"{name} {count}" for name, count in accepted.items()) or "none"
    each, together = at_most(0, trials), at_most(0, trials, 0.05 / len(FAULTS))
    rejected = {
        name: found.get(Row(None, 0.0, trials, spread), Counter())["reject"]
        for name, spread in GOOD.items()
    }
    bounds = ", ".join(
        f"{count} at {name} (at most {100.0 * at_most(count, trials):.2g} %)"
        for name, count in rejected.items()
    )
    return f"""\
- Goal: no fault at twice the tolerance is accepted. Accepted: {listed}. 0 of {trials} says that at most
  {100.0 * each:.2g} % of such trials are accepted at 95 % confidence (exact binomial), and at most
  {100.0 * together:.2g} % for all {len(FAULTS)} faults at once (Bonferroni).
- Goal: at most 5 % of sound heads are rejected. Of {trials}, by the share of the tolerance that a deviation
  takes: {bounds}, bounds at 95 %.
  What is extended is no rejection: it asks for more weighings. Second looks are not drawn.
"""


def written(found: dict[Row, Counter[str]], trials: int, seconds: float) -> str:
    """The table."""
    elsewhere, short = others(trials)
    text = f"""\
# Heads with named faults, and what the trial says of them

{len(FAULTS)} faults. Shares of trials in %: accept / extend / reject at the first look, {trials} trials at 2 x
and of sound heads, {elsewhere} elsewhere (trial k has the seed [k, ten times the size]), on full plans of
{", ".join(PAIRS)}, or those of them that a fault can
befall. Sizes are in tolerances, of the ratio where a fault moves the ratio. A head at half of the tolerance
still holds it. All figures of the heads are invented; beside the fault shots spread by a ninth of the tolerance.

{_goals(found, trials)}
The last column is {short} trials at twice the tolerance on plans for {HOURS:g} hours, as shares of those in which
the fault meets any weighing. What is not in the plan it lists as not proven, and so does the evaluation.
What such a plan accepts it cannot tell: a leak at the one flow that is weighed is set right on the scale, and
a ratio that moves while only whole shots are weighed.
{seconds / 60.0:.0f} min of two shared processors; `python -m benchmarks.trial_faults` writes all anew.

| Fault | {" | ".join(f"{size:g} x" for size in SIZES)} | {HOURS:g} h |
| --- |{" --- |" * (len(SIZES) + 1)}
"""
    for name, spread in GOOD.items():
        good = shares(found.get(Row(None, 0.0, trials, spread), Counter()))
        text += f"| none, spread {name} of the tolerance | {good} | | | | |\n"
    for place, fault in enumerate(FAULTS):
        cells = [Row(place, size, trials if size == DECIDES else elsewhere) for size in SIZES]
        cells.append(Row(place, DECIDES, short, hours=HOURS))
        told = (shares(found[row]) if row in found else "" for row in cells)
        text += f"| {fault.name} | {' | '.join(told)} |\n"
    return text


if __name__ == "__main__":
    main()
