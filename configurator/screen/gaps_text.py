"""What a catalog lacks and has in vain: for a terminal, as JSON and as CSV."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from configurator.report.heading import catalog_in_words
from configurator.report.lines import labelled, wrapped
from configurator.report.machine import csv_text, json_text
from configurator.rules.finding import LISTED
from configurator.screen.digests import rules_digest, tool_version
from configurator.screen.gaps import Gaps, Ranked
from configurator.screen.hypothetical.every import CAVEAT, DERIVATIONS
from configurator.units.display import plural
from configurator.units.grouped import grouped

SCHEMA = 1
"""Version of the JSON: grows when a key changes its meaning or goes away."""

SHOWN = 20
"""Parts in a table, if nobody says how many."""

INDENT = " " * 16

NAMED = 12
"""Rows of a process that are named behind a part in a table."""

PIECE = 20
"""Names that are wrapped at once: longer texts are cut."""

COMPONENTS = ("a", "b")
"""What a reason begins with where it is of one component."""

HEADS = (
    "rank",
    "slot",
    "part",
    "rule",
    "derived_from",
    "change",
    "opens",
    "further",
    "fits",
    "marginal",
    "unproven",
    "rows",
)


def gaps_text(gaps: Gaps, width: int, limit: int | None = None) -> str:
    """Return the gaps as text; parts of one rule that open the same rows share a line."""
    lines = labelled(
        [
            ("Catalog", catalog_in_words(gaps.catalog)),
            ("Processes" if len(gaps.processes) > 1 else "Process", ", ".join(gaps.processes)),
            ("List", _list_in_words(gaps)),
            ("Unserved", _unserved_in_words(gaps)),
        ],
        width,
    )
    for block in (_ranking(gaps, width, limit), _closed(gaps, width), _idle(gaps, width)):
        if block:
            lines += ["", *block]
    return "\n".join(lines) + "\n"


def _list_in_words(gaps: Gaps) -> str:
    said = plural(gaps.rows, "row")
    if gaps.unread:
        said += f"; {plural(len(gaps.unread), 'row')} passed over, not read or not judged"
    return said


def _unserved_in_words(gaps: Gaps) -> str:
    wanted = "a build that fits" if gaps.strict else "a build"
    if not gaps.unserved:
        return f"none: every row has {wanted}"
    each = " and process" if len(gaps.processes) > 1 else ""
    return f"{plural(len(gaps.unserved), 'row')}{each} without {wanted}"


def _ranking(gaps: Gaps, width: int, limit: int | None) -> list[str]:
    if not gaps.unserved:
        return []
    tried = f"{plural(gaps.tried, 'hypothetical part')} tried, each by itself"
    lines = wrapped(f"{tried}; {len(gaps.ranked)} open a row. {CAVEAT}", width)
    if gaps.refused:
        refused = ", ".join(gaps.refused)
        lines += wrapped(f"Not tried, as no head can have their figures: {refused}.", width)
    if not gaps.ranked:
        return lines
    groups = _groups(gaps.ranked)
    shown = groups[: SHOWN if limit is None else limit]
    lines += ["", _counted("Opens", "Further", "New part")]
    before: tuple[object, ...] | None = None
    for first, *others in shown:
        new = f"{first.part.slot} {first.part.name}"
        lines.append(_counted(str(len(first.opened)), str(first.further), new))
        said = [first.part.change]
        if others:
            said.append(f"likewise {', '.join(each.part.name for each in others)}")
        said += ["opens the same"] if first.opened == before else _rows_in_words(gaps, first)
        for text in said:
            lines += wrapped(text, width, first=INDENT, rest=INDENT + "  ")
        before = first.opened
    if len(shown) < len(groups):
        more = sum(map(len, groups[len(shown) :]))
        lines += wrapped(f"{plural(more, 'more part')}: --limit shows them.", width)
    return [*lines, "", "Further: rows that no part above opens."]


def _counted(opens: str, further: str, text: str) -> str:
    return f"{opens:>5}  {further:>7}  {text}"


def _groups(ranked: Sequence[Ranked]) -> list[list[Ranked]]:
    """Parts of one rule and slot that open the same rows to the same states, best rank first."""
    alike = grouped(ranked, lambda each: (each.part.slot, each.part.rule, each.opened))
    return list(alike.values())


def _rows_in_words(gaps: Gaps, ranked: Ranked) -> Iterator[str]:
    """The rows that a part opens, a line for each process."""
    for process in gaps.processes:
        texts = [
            f"{gaps.unserved[place].material} ({state.words})"
            for place, state in ranked.opened
            if gaps.unserved[place].process == process
        ]
        if texts:
            left = len(texts) - NAMED
            where = f" for {process}" if len(gaps.processes) > 1 else ""
            more = f" and {left} more" if left > 0 else ""
            yield f"opens{where}: {', '.join(texts[:NAMED])}{more}"


def _row(gaps: Gaps, place: int) -> str:
    row = gaps.unserved[place]
    process = f" for {row.process}" if len(gaps.processes) > 1 else ""
    return f"{row.material}{process}"


def _closed(gaps: Gaps, width: int) -> list[str]:
    """Rows that stay closed, by the rule that their reason names, most rows first."""
    if not gaps.closed:
        return []
    by_rule = grouped(gaps.closed, lambda at: _rule_of(gaps.unserved[at].reason))
    rows = plural(len(gaps.closed), "row")
    lines = wrapped(
        f"No single part of these rules opens {rows}; by the reason that each has:", width
    )
    for rule, places in sorted(by_rule.items(), key=lambda each: (-len(each[1]), each[0])):
        first = gaps.unserved[places[0]]
        names = ", ".join(_row(gaps, place) for place in places[:NAMED])
        more = f" and {len(places) - NAMED} more" if len(places) > NAMED else ""
        side, name = rule
        where = f", component {side}" if side else ""
        example = first.reason.removeprefix(f"{side}: " if side else "").removeprefix(f"{name}: ")
        said = f"{plural(len(places), 'row')} for {name}{where}, as {example}: {names}{more}"
        lines += wrapped(said, width, first="  - ", rest="    ")
    return lines


def _rule_of(reason: str) -> tuple[str, str]:
    """The component, empty in a reason that is of none, and the rule that a reason names first."""
    first, *further = reason.split(": ", 2)
    return (first, further[0]) if first in COMPONENTS and further else ("", first)


def _idle(gaps: Gaps, width: int) -> list[str]:
    wanted = "build that fits" if gaps.strict else "build"
    if not gaps.idle:
        return wrapped(f"Every part of the catalog is in a {wanted} of some row.", width)
    lines = wrapped(
        f"Parts that are in no {wanted} of any row; another list or process may want them:", width
    )
    for slot, names in gaps.idle.items():
        of = len(gaps.catalog.parts[slot])
        if len(names) == of:
            lines.append(f"  - {slot}, all {of}")
            continue
        first = f"  - {slot}, {len(names)} of {of}: "
        for start in range(0, len(names), PIECE):
            text = ", ".join(names[start : start + PIECE])
            more = "," if start + PIECE < len(names) else ""
            lines += wrapped(f"{text}{more}", width, first=first, rest="    ")
            first = "    "
    return lines


def gaps_json(gaps: Gaps, limit: int | None = None) -> str:
    """Return the gaps as JSON of schema 1."""
    opened_by = [0] * len(gaps.unserved)
    for each in gaps.ranked:
        for place, _ in each.opened:
            opened_by[place] += 1
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "tool_version": tool_version(),
        "rules_sha256": rules_digest(),
        "catalog": {"name": gaps.catalog.name, "sha256": gaps.catalog.sha256},
        "processes": list(gaps.processes),
        "strict": gaps.strict,
        "caution": CAVEAT,
        "rows": gaps.rows,
        "not_judged": [
            {"row": row.number, "line": row.line, "fault": row.fault} for row in gaps.unread
        ],
        "unserved": [
            {
                "row": row.number,
                "line": row.line,
                "material": row.material,
                "process": row.process,
                "state": row.state,
                "reason": row.reason,
                "opened_by": opened_by[place],
            }
            for place, row in enumerate(gaps.unserved)
        ],
        "tried": gaps.tried,
        "opening": len(gaps.ranked),
        "parts": [_data(gaps, place, each) for place, each in _numbered(gaps, limit)],
        "refused": list(gaps.refused),
        "serve_nothing": {slot: list(names) for slot, names in gaps.idle.items()},
        "rules": [{"name": each.name, "says": each.says} for each in DERIVATIONS],
    }
    return json_text(data)


def _numbered(gaps: Gaps, limit: int | None) -> Iterator[tuple[int, Ranked]]:
    return enumerate(gaps.ranked[:limit], start=1)


def _data(gaps: Gaps, place: int, each: Ranked) -> dict[str, Any]:
    return {
        "rank": place,
        "slot": each.part.slot,
        "part": each.part.name,
        "rule": each.part.rule,
        "derived_from": each.part.parent,
        "change": each.part.change,
        "opens": len(each.opened),
        "further": each.further,
        "rows": [
            {
                "row": gaps.unserved[at].number,
                "material": gaps.unserved[at].material,
                "process": gaps.unserved[at].process,
                "state": state.words,
            }
            for at, state in each.opened
        ],
    }


def gaps_csv(gaps: Gaps, limit: int | None = None) -> str:
    """Return the hypothetical parts that open a row as CSV, one line a part."""
    return csv_text(
        HEADS,
        (
            (
                place,
                each.part.slot,
                each.part.name,
                each.part.rule,
                each.part.parent,
                f"hypothetical: {each.part.change}",
                len(each.opened),
                each.further,
                *(each.count(state) for state in LISTED),
                "; ".join(_row(gaps, at) for at, _ in each.opened),
            )
            for place, each in _numbered(gaps, limit)
        ),
    )


def exit_code(gaps: Gaps) -> int:
    """Return 0 if every row has a build that counts, else 1."""
    return 1 if gaps.unserved or gaps.unread else 0
