"""One head for several jobs as text and as JSON: who serves whom, and what would help."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from configurator.report.builds import head_data
from configurator.report.heading import catalog_in_words, picks_in_words
from configurator.report.heads import bar_of, exchanged, rpm_of
from configurator.report.lines import WIDTH, columns, labelled, listed, wrapped
from configurator.report.machine import answer_json, number
from configurator.report.table import head_of_slot
from configurator.rules.finding import LISTED
from configurator.units.display import plural, spaced
from configurator.workshop.serving import Common, Served, SharedHead

Jobs = Sequence[tuple[int, str]]
"""Line and title of each job."""

ORDER = (
    "by the worst state of the jobs, then steps short of what rules ask, steps short of comfort in "
    "speed, pressure and feed, and cost index, each summed over the first builds of the jobs, then names"
)

NOT_PROVEN = "; that no other comes before what is listed was not proven: fix slots with --pick"

MIXED = (
    "No head serves materials of one part and of two: it has one metering side or two. These are two "
    "questions, answered in turn."
)

RIGHT = frozenset({"line", "rpm", "bar", "builds"})


Answered = Sequence[tuple[Common, Jobs]]
"""Of materials of one part and of those of two, each with their jobs."""


def common_text(answered: Answered, width: int = WIDTH) -> str:
    """Return the heads as text for people."""
    texts = [_text(found, jobs, width) for found, jobs in answered]
    if len(texts) > 1:
        texts.insert(0, "\n".join(wrapped(MIXED, width)) + "\n")
    return "\n".join(texts)


def _text(found: Common, jobs: Jobs, width: int) -> str:
    catalog, question = found.answers[0].subject.catalog, found.answers[0].question
    free = ", ".join(map(head_of_slot, found.free))
    head = labelled(
        [
            ("Jobs", f"{len(jobs)}, each with its own {free}; a head is all the rest"),
            ("Catalog", catalog_in_words(catalog)),
            ("Picks", picks_in_words(question)),
            ("Heads", _counts(found)),
            ("Order", _order(found) if found.heads else ""),
        ],
        width,
    )
    blocks = [head, wrapped(_said(found), width, rest="  ")]
    for place, each in enumerate(found.heads, start=1):
        blocks.append(_head(place, each, jobs, width))
    blocks.append(_missed(found, jobs, width))
    if not found.one_serves_all:
        label = "A single change that would let one head serve all:"
        changes = list(_changes(found, jobs)) or [
            "none that leaves out a job, or gives up a pick or an exclusion"
        ]
        blocks.append(listed(label, changes, width))
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _counts(found: Common) -> str:
    if not found.counted:
        return "of two sides, not counted"
    counts = ", ".join(f"{spaced(found.counts[level])} {level.words}" for level in LISTED)
    return f"{spaced(found.count)} serve all jobs: {counts} in the worst of them"


def _order(found: Common) -> str:
    if found.counted:
        return ORDER
    proof = "" if found.in_order else NOT_PROVEN
    return ORDER.removesuffix(", then names") + proof


def _said(found: Common) -> str:
    if found.one_serves_all and not found.in_order:
        return "A head that serves all:"
    if found.one_serves_all:
        return f"First of the heads that serve all ({len(found.heads)} listed):"
    served = len(found.answers) - len(found.unserved)
    if not served:
        return "No head serves any of the jobs."
    which = "all" if not found.unserved else f"the {served} that any head serves"
    if len(found.heads) == 1:
        return f"No head serves all jobs. One serves {which}:"
    return (
        f"No head serves all jobs. These {len(found.heads)} serve {which}, and no fewer do: every "
        "choice of fewer leaves a job out."
    )


def _head(place: int, head: SharedHead, jobs: Jobs, width: int) -> list[str]:
    parts = ", ".join(f"{head_of_slot(slot)} {part.name}" for slot, part in head.parts.items())
    rows = [_row(each, jobs) for each in head.serves]
    heads = list(rows[0])
    table = columns(heads, [list(row.values()) for row in rows], width - 3, right=RIGHT)
    text = f"{parts}: {head.state.words}"
    return [
        *wrapped(text, width, first=f"{place}  ", rest="   "),
        *(f"   {line}".rstrip() for lines in table for line in lines),
    ]


def _row(served: Served, jobs: Jobs) -> dict[str, str]:
    line, title = jobs[served.job]
    best = served.head.best
    return {
        "line": str(line),
        "job": title,
        "state": best.state.words,
        "rpm": rpm_of(best),
        "bar": bar_of(best),
        "builds": spaced(served.head.builds),
        **{head_of_slot(slot): exchanged(served.head, slot) for slot in served.head.folded},
    }


def _missed(found: Common, jobs: Jobs, width: int) -> list[str]:
    texts = [f"line {jobs[job][0]}: {jobs[job][1]}" for job in found.unserved]
    return listed(
        "No head serves these, whatever the others; headwright why says why:", texts, width
    )


def _changes(found: Common, jobs: Jobs) -> Iterator[str]:
    for job, heads in found.without.items():
        if heads != 0:
            line, title = jobs[job]
            yield f"leaving out line {line} ({title}): {_heads(heads)}"
    for each in found.releases:
        yield f"giving up {each.option}: {_heads(each.heads)}"


def _heads(number: int | None) -> str:
    return "some head" if number is None else plural(number, "head")


def common_json(answered: Answered) -> str:
    """Return the same as JSON; of materials of one part and of two, a list of both."""
    each = [_data(found, jobs) for found, jobs in answered]
    return answer_json(**each[0]) if len(each) == 1 else answer_json(apart=each)


def _data(found: Common, jobs: Jobs) -> dict[str, Any]:
    """Return the keys of the JSON; a number of heads that were not counted is null."""
    catalog = found.answers[0].subject.catalog
    return {
        "catalog": {"name": catalog.name, "sha256": catalog.sha256},
        "free": list(found.free),
        "count": found.count if found.counted else None,
        "counts": {level.words: found.counts.get(level) for level in LISTED},
        "one_serves_all": found.one_serves_all,
        "in_order": found.in_order,
        "jobs": [
            {
                "line": jobs[job][0],
                "material": answer.question.material.name,
                "process": answer.question.process.name,
                "heads": found.each[job],
                "heads_without_it": found.without.get(job),
            }
            for job, answer in enumerate(found.answers)
        ],
        "heads": [_head_data(head, jobs) for head in found.heads],
        "releases": [{"option": each.option, "heads": each.heads} for each in found.releases],
    }


def _head_data(head: SharedHead, jobs: Jobs) -> dict[str, Any]:
    return {
        "parts": {slot: part.name for slot, part in head.parts.items()},
        "state": head.state.words,
        "serves": [
            {
                "line": jobs[each.job][0],
                **{
                    key: value
                    for key, value in head_data(each.head).items()
                    if key in {"state", "folded", "builds"}
                },
                "build": {slot: part.name for slot, part in each.head.best.parts.items()},
                "figures": {n: number(value) for n, value in each.head.best.figures.items()},
            }
            for each in head.serves
        ],
    }
