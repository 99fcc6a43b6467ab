"""An answer as a table for people: what was asked, the best builds, and what to mind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from configurator.report.builds import Page
from configurator.report.heading import cautioned, gap_words, heading
from configurator.report.lines import WIDTH, coloured, columns, listed, wrapped
from configurator.rules.finding import Finding, State
from configurator.units.display import figures, plural
from configurator.workshop.told import RankedBuild

MOST_REASONS = 8
"""Rules that are named below the table; the JSON has them all."""

LEGEND = (
    "rpm: lowest to highest; bar: needed/allowed behind the tip, at the worst corner; "
    "err %: volume error once the head is set on the scale/before; tightest: the "
    "rule with the least margin."
)

LEGEND_TWO_PART = " Of two sides rpm is that of the faster one, and err % that of the worse one."

SEE_MORE = (
    "`headwright why`, with the same arguments, says what would bring a build back; --format json "
    "shows the reasons for every part in `choices`."
)

_RIGHT = frozenset({"#", "rpm", "bar", "err %"})
_HEADS = {"outlet": "tip"}

_IN_TABLE = frozenset(
    {
        "speed_low_rpm",
        "speed_high_rpm",
        "back_pressure_bar",
        "pressure_allowed_bar",
        "volume_error_pct",
        "volume_error_unweighed_pct",
    }
)
"""Figures that every table shows."""


def builds_table(page: Page, *, width: int = WIDTH, colour: bool = False) -> str:
    """Return an answer as text for people, state words in colour if that is wanted."""
    blocks = [heading(page, width)]
    if page.builds:
        blocks += [*_builds(page, width, colour=colour), _reasons(page, width, colour=colour)]
    elif page.total:
        blocks.append([f"Nothing to list: {plural(page.total, 'build')}, and none from here on."])
    else:
        blocks.append(why_nothing(page, width))
    gaps = map(gap_words, page.answer.subject.filled.notes)
    blocks += [
        listed("Left out of the data sheet:", gaps, width),
        cautioned(page.cautions, width),
        _handed_on(page, width),
        [line for text in _remarks(page) for line in wrapped(text, width)],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _builds(page: Page, width: int, *, colour: bool) -> list[list[str]]:
    """Say what is the same everywhere in a sentence, then lay out what differs, then a legend."""
    builds, slots = page.builds, page.answer.frame.slots
    differing = [slot for slot in slots if len({build.parts[slot].name for build in builds}) > 1]
    common = [
        f"{head_of_slot(slot)} {builds[0].parts[slot].name}"
        for slot in slots
        if slot not in differing
    ]
    extra = [figure.name for figure in page.shown if figure.name not in _IN_TABLE]
    heads = ["#", "state", *(head_of_slot(slot) for slot in differing), "rpm", "bar", "err %"]
    heads += [*extra, "tightest"]
    rows = [_row(build, differing, extra) for build in builds]
    if len(builds) > 1 and len({row[-1] for row in rows}) == 1:
        common.append(f"tightest: {rows[0][-1]}")
        heads, rows = heads[:-1], [row[:-1] for row in rows]
    laid_out = columns(heads, rows, width, right=_RIGHT | set(extra))
    table = list(laid_out[0])
    for build, lines in zip(builds, laid_out[1:], strict=True):
        table.append(coloured(lines[0], build.state, colour=colour))
        table += lines[1:]
    label = "This build: " if len(builds) == 1 else "In every build listed: "
    blocks = [wrapped(label + ", ".join(common), width, rest="  ")] if common else []
    two_part = page.answer.subject.question.material.two_part
    return [*blocks, table, wrapped(LEGEND + (LEGEND_TWO_PART if two_part else ""), width)]


def head_of_slot(slot: str) -> str:
    """Name of a slot as the head of a column."""
    side, dot, name = slot.rpartition(".")
    return f"{side}{dot}{_HEADS.get(name, name)}"


def _row(build: RankedBuild, slots: Sequence[str], extra: Sequence[str]) -> list[str]:
    figure = {
        name: "?" if value is None else figures(value) for name, value in build.figures.items()
    }
    return [
        str(build.rank),
        build.state.words,
        *(build.parts[slot].name for slot in slots),
        f"{figure['speed_low_rpm']} to {figure['speed_high_rpm']}",
        f"{figure['back_pressure_bar']}/{figure['pressure_allowed_bar']}",
        f"{figure['volume_error_pct']}/{figure['volume_error_unweighed_pct']}",
        *(figure[name] for name in extra),
        _tightest(build.tightest),
    ]


def _tightest(finding: Finding | None) -> str:
    if finding is None or finding.margin is None:
        return "no margin known"
    percent = figures(abs(finding.margin) * 100)
    if finding.margin >= 0:
        return f"{finding.rule}, {percent} % left"
    return f"{finding.rule}, {percent} % {'short' if finding.at_least else 'over'}"


def _reasons(page: Page, width: int, *, colour: bool) -> list[str]:
    """Why listed builds are marginal or unproven: each rule once, with one build's numbers."""
    seen: dict[tuple[State, str], list[tuple[RankedBuild, Finding]]] = {}
    for build in page.builds:
        for finding in build.findings:
            if finding.state > State.FITS:
                seen.setdefault((finding.state, finding.rule), []).append((build, finding))
    if not seen:
        return []
    ordered = sorted(seen.items(), key=lambda entry: (-entry[0][0], -len(entry[1])))
    lines = ["Not shown to fit:"]
    for (state, rule), found in ordered[:MOST_REASONS]:
        build, finding = found[0]
        text = f"{state.words}: {rule}"
        if len(page.builds) > 1:
            some = f"{len(found)} of the {len(page.builds)} listed"
            every = len(found) == len(page.builds)
            text += f" ({'every build listed' if every else some}), as in {build.rank}"
        text += ": "
        entry = wrapped(text + finding.reason, width, first="  ", rest="    ")
        lines += [coloured(entry[0], state, colour=colour), *entry[1:]]
    if (left := len(ordered) - MOST_REASONS) > 0:
        more = f"and {plural(left, 'more rule')}; --format json shows all findings"
        lines += wrapped(more, width, first="  ", rest="  ")
    return lines


def why_nothing(page: Page, width: int) -> list[str]:
    """Return the lines that stand in place of builds."""
    answer = page.answer
    if answer.count:
        rest = plural(answer.count, "marginal or unproven build")
        return wrapped(
            "No build is shown to fit over the whole stated range. Leave out --strict to list "
            f"{rest} with what they lack.",
            width,
        )
    # Not needed where there are builds, and heavy to import.
    from configurator.explain.why_none import none_sentences, why_none

    texts = (*none_sentences(why_none(answer)), SEE_MORE)
    return [line for text in texts for line in wrapped(text, width)]


def _handed_on(page: Page, width: int) -> list[str]:
    """How another command gets a build of a trade-off, whose numbers no other list has."""
    if not page.traded or not page.builds:
        return []
    text = (
        "# counts this list alone: `--build` counts the list without --pareto. A build is handed on "
        "by all its parts, as the first:"
    )
    parts = page.builds[0].parts.items()
    picks = " ".join(f"--pick {slot}={part.name}" for slot, part in parts)
    *lines, last = wrapped(picks, width - 2, first="  ", rest="  ")
    return [*wrapped(text, width), *(f"{line} \\" for line in lines), last]


def _remarks(page: Page) -> Iterator[str]:
    if page.more and page.builds:
        reach = page.offset + len(page.builds)
        yield (
            f"{plural(page.more, 'more build')}: --offset {reach} shows the next, "
            "--limit sets how many."
        )
    if page.hidden and page.total:
        yield (
            f"{plural(page.hidden, 'build')} not shown to fit (marginal or unproven): "
            "leave out --strict to list them."
        )
