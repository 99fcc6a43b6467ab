"""The list of heads as a table: tips and feeds as ranges, gaps and cautions by their titles."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from configurator.report.builds import Page
from configurator.report.heading import heading
from configurator.report.lines import WIDTH, coloured, columns, wrapped
from configurator.report.table import head_of_slot
from configurator.rules.finding import State
from configurator.units.display import figures, plural, spaced
from configurator.workshop.heads import ListedHead, is_exchanged

MOST_TITLES = 12
"""Rules named below the list."""

WIDEST = 30
"""Cells of a column of tips or feeds; what is longer is told by its number."""

LEGEND = (
    "rpm, bar (needed/allowed), cost index: of the first build of each head; builds: with the tips "
    "and feeds told, of its state or better."
)


def heads_table(page: Page, *, width: int = WIDTH, colour: bool = False) -> str:
    """Return the heads of a page as text for people.

    Parameters
    ----------
    page : Page
        With heads.
    width : int
        Widest line, in cells.
    colour : bool
        True to colour the state words as well.
    """
    blocks = [heading(page, width), *_heads(page, width, colour=colour), _titles(page, width)]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _heads(page: Page, width: int, *, colour: bool) -> list[list[str]]:
    heads = page.heads
    slots = [slot for slot in page.answer.frame.slots if not is_exchanged(slot)]
    differing = [s for s in slots if len({head.best.parts[s].name for head in heads}) > 1]
    common = [f"{s} {heads[0].best.parts[s].name}" for s in slots if s not in differing]
    tips = [slot for slot in page.answer.frame.slots if is_exchanged(slot)]
    alike = [slot for slot in tips if len({head.folded[slot] for head in heads}) == 1]
    common += [f"{head_of_slot(slot)} {folded(heads[0].folded[slot])}" for slot in alike]
    tips = [slot for slot in tips if slot not in alike]
    states = {head.best.state for head in heads}
    common += [f"state {states.pop().words}"] if len(states) == 1 else []
    names = [
        "#",
        *(["state"] if states else []),
        *differing,
        *map(head_of_slot, tips),
        "rpm",
        "bar",
        "cost",
        "builds",
    ]
    rows = [_row(head, differing, tips, told=bool(states)) for head in heads]
    laid_out = columns(names, rows, width, right=frozenset({"#", "rpm", "bar", "cost", "builds"}))
    table = list(laid_out[0])
    for head, lines in zip(heads, laid_out[1:], strict=True):
        table += [coloured(lines[0], head.best.state, colour=colour), *lines[1:]]
    label = "This head: " if len(heads) == 1 else "In every head listed: "
    return [wrapped(label + ", ".join(common), width, rest="  "), table] if common else [table]


def _row(head: ListedHead, slots: Sequence[str], tips: Sequence[str], *, told: bool) -> list[str]:
    best = head.best
    figure = {
        name: "?" if value is None else figures(value) for name, value in best.figures.items()
    }
    return [
        str(head.rank),
        *([best.state.words] if told else []),
        *(best.parts[slot].name for slot in slots),
        *(_in_column(head, slot) for slot in tips),
        f"{figure['speed_low_rpm']} to {figure['speed_high_rpm']}",
        f"{figure['back_pressure_bar']}/{figure['pressure_allowed_bar']}",
        figure["cost_index"],
        spaced(head.builds),
    ]


def _in_column(head: ListedHead, slot: str) -> str:
    text = folded(head.folded[slot])
    return (
        text
        if len(text) <= WIDEST
        else f"{len(head.folded[slot])}, as {head.best.parts[slot].name}"
    )


def folded(names: Sequence[str]) -> str:
    """Return names of parts as ranges, each family with how many of it there are.

    Examples
    --------
    >>> folded(["cone-2", "taper-14g", "taper-15g", "taper-21g"])
    'cone-2, taper-14g to 21g (3)'
    """
    families: dict[str, list[str]] = {}
    for name in names:
        found = re.match(r"[a-z]+(-[a-z]+)*(?=-[0-9])", name)
        families.setdefault(found[0] if found else name, []).append(name)
    texts = []
    for family, of in families.items():
        of.sort(key=_by_number)
        last = of[-1].removeprefix(f"{family}-")
        texts.append(of[0] if len(of) == 1 else f"{of[0]} to {last} ({len(of)})")
    return ", ".join(texts)


def _by_number(name: str) -> list[tuple[float, str]]:
    pieces = re.findall(r"([0-9.]+)|([^0-9.]+)", name)
    return [(float(number) if number.strip(".") else 0.0, text) for number, text in pieces]


def _titles(page: Page, width: int) -> list[str]:
    """What is not shown to fit, what was left out and what to mind, by their titles."""
    heads = page.heads
    seen = Counter(
        (finding.state, finding.rule)
        for head in heads
        for finding in head.best.findings
        if finding.state > State.FITS
    )
    ordered = sorted(seen.items(), key=lambda entry: (-entry[0][0], -entry[1]))
    told = [
        f"{rule} ({state.words}{'' if count == len(heads) else f', {count} of {len(heads)}'})"
        for (state, rule), count in ordered[:MOST_TITLES]
    ]
    if len(ordered) > MOST_TITLES:
        told.append(f"and {plural(len(ordered) - MOST_TITLES, 'more rule')}")
    gaps = [gap.field for gap in page.answer.subject.filled.notes]
    cautions = [caution.topic for caution in page.answer.cautions]
    lines = [LEGEND]
    for label, titles in (
        ("Not shown to fit", told),
        ("Left out of the data sheet", gaps),
        ("Cautions", cautions),
    ):
        if titles:
            lines.append(f"{label}: {'; '.join(titles)}.")
    lines.append("--each lists single builds and --full says all of this at length.")
    return [line for text in lines for line in wrapped(text, width, rest="  ")]
