"""The results as one page: machine, versions, ratios against goals, growth."""

import os
import platform
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.engine.instances import DENSITY, Instance

GOALS = {
    ("build and count, M", "OR-tools CP-SAT"): 500,
    ("build and count, M", "clingo"): 50,
    ("build and count, R", "python-constraint, whole problem"): 200,
    ("build and count, L", "OxiDD (BDD)"): 50,
    ("remaining for all slots after a pick, L", "OR-tools CP-SAT, value by value"): 100,
    ("remaining for all slots after a pick, L", "clingo, brave consequences"): 3,
}
GOAL_OF_AN_UPDATE = "0.25 ms at the median and 1 ms at the worst"
PACKAGES = ("numpy", "python-constraint2", "ortools", "clingo", "oxidd")


@dataclass(frozen=True)
class Line:
    work: str
    peer: str
    kind: str
    own: float
    theirs: float
    capped: bool

    @property
    def ratio(self) -> float:
        return self.theirs / self.own

    @property
    def goal(self) -> int | None:
        for (work, peer), goal in GOALS.items():
            if self.work.startswith(work) and peer == self.peer:
                return goal
        return None


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "not installed"


def _processor() -> str:
    information = Path("/proc/cpuinfo")
    if information.exists():
        for line in information.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


def _seconds(seconds: float) -> str:
    return f"{seconds * 1000:.2f} ms" if seconds < 1 else f"{seconds:.2f} s"


def exponent(growth: Sequence[dict[str, Any]], figure: str, over: str) -> float:
    """Slope of a least-squares line in the logarithms."""
    x = np.log([float(point[over]) for point in growth])
    y = np.log([float(point[figure]) for point in growth])
    return float(np.polyfit(x, y, 1)[0])


def page(
    cases: Sequence[Instance], lines: Sequence[Line], growth: Sequence[dict[str, Any]], cap: float
) -> str:
    packages = ", ".join(f"{package} {_version(package)}" for package in PACKAGES)
    sizes = "; ".join(
        f"{case.name} {case.raw:.2g} raw, {len(case.relations)} tables" for case in cases
    )
    text = [
        "# Engine against general solvers",
        "",
        "Written by `python -m benchmarks.engine`; all in one run on one machine.",
        "",
        f"- Machine: {_processor()}, {os.cpu_count()} processors, {platform.system()}",
        f"- Python {platform.python_version()}, {packages}",
        f"- Instances: {sizes}; 13 slots, one seven-slot threshold, table density {DENSITY}",
        "- All times are processor time, so that other work on the machine adds none.",
        f"- Time cap of a competitor: {cap:.0f} s; a capped one gives a lower bound, marked >",
        "- All competitors that finished gave the same answer (the run stops otherwise).",
        "- Enumerators visit each build, so their time grows with the number of builds;",
        "  counters do not. `possible or not` decides each value, without its count.",
        "- Counts: the best of three runs of each competitor, for the engine of five builds from",
        "  scratch in each run. Updates: one pick a slot, each asked once, after a first query; the",
        f"  engine's goal on L is {GOAL_OF_AN_UPDATE}. The BDD is built before and",
        "  then counts each value; the other peers are asked from a ready model, too.",
        "",
        "| work | peer | what it does | engine | peer | ratio | goal |",
        "| --- | --- | --- | ---: | ---: | ---: | ---: |",
    ]
    for line in lines:
        more = "> " if line.capped else ""
        goal = "" if line.goal is None else f"{line.goal}"
        text.append(
            f"| {line.work} | {line.peer} | {line.kind} | {_seconds(line.own)} "
            f"| {more}{_seconds(line.theirs)} | {more}{line.ratio:.3g} | {goal} |"
        )
    text += [
        "",
        "## Growth of the engine",
        "",
        "| raw | builds | rows | compile | update, median | update, worst | peak memory |",
        "| ---: | ---: | ---: | ---: | ---: | ---: | ---: |",
    ]
    for point in growth:
        text.append(
            f"| {point['raw']:.2g} | {point['count']:.3g} | {point['rows']} "
            f"| {_seconds(point['compile'])} | {_seconds(point['median'])} "
            f"| {_seconds(point['worst'])} | {point['megabytes']:.0f} MB |"
        )
    text += [
        "",
        (
            f"Rows grow as raw^{exponent(growth, 'rows', 'raw'):.2f}; the median update as "
            f"rows^{exponent(growth, 'median', 'rows'):.2f}. An update is `remaining` for all slots"
        ),
        "after one pick, alternatives to the pick included.",
        "",
    ]
    return "\n".join(text)
