"""The list of heads as a table: tips and feeds as ranges, gaps and cautions by their titles."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from configurator.report.builds import Page
from configurator.report.heading import heading
from configurator.report.lines import WIDTH, coloured, columns, wrapped
from configurator.report.table import head_of_slot
from configurator.rules.finding import State
from configurator.units.display import figures, plural, spaced
from configurator.workshop.heads import ListedHead, is_exchanged
from configurator.workshop.told import RankedBuild

LINES = 30
"""Lines that a list takes beside one for each head: what is told around it gives way."""

MOST_TITLES, FEWEST_TITLES = 8, 2
"""Rules named below the list."""

MOST_ALIKE = 5
"""Lines of what is the same of all heads; of more, tips and feeds are told by their number."""

WIDEST = 30
"""Cells of a column of tips or feeds; what is longer is told by its number."""

RIGHT = ("rpm", "bar", "cost", "builds")
"""Columns of numbers."""

LEGEND = "#, rpm, bar (need/allow), cost: of its first build; builds: as good or better."

FULLER = "--each lists single builds, --full says all of this, --build takes a #."


def heads_table(page: Page, *, width: int = WIDTH, colour: bool = False) -> str:
    """Return the heads of a page as text for people, state words in colour if that is wanted."""
    heads = _heads(page, width, colour=colour)
    above = [heading(page, width), *heads]
    room = LINES + len(page.heads) - sum(len(block) + 1 for block in above)
    for most in range(MOST_TITLES, FEWEST_TITLES - 1, -1):
        below = titles(page, LEGEND, width, most) + wrapped(FULLER, width)
        if len(below) <= room:
            break
    blocks = [*above, below]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _heads(page: Page, width: int, *, colour: bool) -> list[list[str]]:
    """What is the same of all heads in a sentence, then what differs."""
    heads = page.heads
    told = [told_of(head) for head in heads]
    common, names = told_once(told, width)
    if common and len(common[0]) > MOST_ALIKE:
        common = told_once([each for _, each in _with(heads, told)], width)[0]
    for shown, each_told in _narrower(names, heads, told):
        rows = [[str(h.best.rank or h.rank), *(each[n] for n in shown)] for h, each in each_told]
        laid_out = columns(["#", *shown], rows, width, right=frozenset({"#", *RIGHT}))
        if len(laid_out[0]) == 1:
            break
    table = list(laid_out[0])
    for head, lines in zip(heads, laid_out[1:], strict=True):
        table += [coloured(lines[0], head.best.state, colour=colour), *lines[1:]]
    return [*common, table]


Told = list[tuple[ListedHead, dict[str, str]]]


def _narrower(
    names: Sequence[str], heads: Sequence[ListedHead], told: Sequence[dict[str, str]]
) -> Iterator[tuple[list[str], Told]]:
    """Yield columns from all that differs on, so that the least goes before a line is broken."""
    every, shown = list(_with(heads, told)), list(names)
    yield shown, every
    exchanged_in = [head_of_slot(slot) for slot in heads[0].folded]
    for gone in ("builds", "", "rpm", "bar", *reversed(exchanged_in), "cost"):
        shown = [name for name in shown if name != gone]
        if not gone:  # of tips and feeds their number is left
            every = [
                (head, each | {head_of_slot(s): str(len(p)) for s, p in head.folded.items()})
                for head, each in every
            ]
        yield shown, every


def told_once(
    told: Sequence[Mapping[str, str]], width: int, what: str = "head"
) -> tuple[list[list[str]], list[str]]:
    """Return what is told alike of all heads as a block, if anything is; and the names of the rest."""
    alike = [name for name in told[0] if len({each[name] for each in told}) == 1]
    names = [name for name in told[0] if name not in alike]
    label = f"This {what}: " if len(told) == 1 else f"In every {what} listed: "
    common = label + ", ".join(f"{name} {told[0][name]}" for name in alike)
    return [wrapped(common, width, rest="  ")] if alike else [], names


def _with(
    heads: Sequence[ListedHead], told: Sequence[dict[str, str]]
) -> Iterator[tuple[ListedHead, dict[str, str]]]:
    """Yield each head with what is told of it, tips and feeds that differ by their number."""
    for head, each in zip(heads, told, strict=True):
        yield head, each | shortly(head)


def shortly(head: ListedHead) -> dict[str, str]:
    """Return by column which tips and feeds go with a head, by their number where they are many."""
    return {head_of_slot(slot): exchanged(head, slot) for slot in head.folded}


def told_of(head: ListedHead) -> dict[str, str]:
    """Return by column all that is told of a head."""
    best = head.best
    return {
        "state": best.state.words,
        **{slot: part.name for slot, part in best.parts.items() if not is_exchanged(slot)},
        **{head_of_slot(slot): folded(names) for slot, names in head.folded.items()},
        "rpm": rpm_of(best),
        "bar": bar_of(best),
        "cost": figure_text(best, "cost_index"),
        "builds": spaced(head.builds),
    }


def figure_text(build: RankedBuild, name: str) -> str:
    """Return a figure of a build in few digits, or a question mark."""
    value = build.figures[name]
    return "?" if value is None else figures(value)


def rpm_of(build: RankedBuild) -> str:
    """Return its rotor speed at the lowest and highest flow."""
    return span(*(figure_text(build, f"speed_{end}_rpm") for end in ("low", "high")))


def bar_of(build: RankedBuild) -> str:
    """Return the pressure that it needs, over the one that its parts are rated for."""
    needed, allowed = (
        figure_text(build, name) for name in ("back_pressure_bar", "pressure_allowed_bar")
    )
    return f"{needed}/{allowed}"


def span(low: str, high: str) -> str:
    """Return two ends, or one where they read alike."""
    return " to ".join(dict.fromkeys((low, high)))


def exchanged(head: ListedHead, slot: str) -> str:
    """Return the parts that go with a head in a slot, by their number where they are many."""
    names = folded(head.folded[slot])
    if len(names) <= WIDEST:
        return names
    return f"{len(head.folded[slot])}, as {head.best.parts[slot].name}"


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


def titles(page: Page, legend: str, width: int, most: int = MOST_TITLES) -> list[str]:
    """A legend, then what is not shown to fit, what was left out and what to mind, by titles."""
    heads = page.heads
    seen: dict[tuple[State, str], set[int]] = {}
    for head in heads:
        for finding in head.best.findings:
            if finding.state > State.FITS:
                rule = finding.rule.removeprefix("a: ").removeprefix("b: ")
                seen.setdefault((finding.state, rule), set()).add(head.rank)
    ordered = sorted(seen.items(), key=lambda entry: (-entry[0][0], -len(entry[1])))
    told = [
        f"{rule} ({state.words}{'' if len(of) == len(heads) else f', {len(of)} of {len(heads)}'})"
        for (state, rule), of in ordered[:most]
    ]
    if len(ordered) > most:
        told.append(f"and {plural(len(ordered) - most, 'more rule')}")
    fields = [gap.field for gap in page.answer.subject.filled.notes]
    plain = (field.removeprefix("component.").removeprefix("process.") for field in fields)
    gaps = list(dict.fromkeys(field.removeprefix("a.").removeprefix("b.") for field in plain))
    cautions = [caution.topic for caution in page.cautions]
    lines = [legend]
    for label, titles in (
        ("Not shown to fit", told),
        ("Left out of the data sheet", gaps),
        ("Cautions", cautions),
    ):
        if titles:
            lines.append(f"{label}: {'; '.join(titles)}.")
    return [line for text in lines for line in wrapped(text, width, rest="  ")]
