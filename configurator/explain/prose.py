"""Explanations as sentences: because, and because, so. Every number is taken from the data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from configurator.explain.break_points import BreakPoint, BreakPoints
from configurator.explain.conflict import Conflict, Conflicts, Miss, Step, called, counted
from configurator.explain.counts import Counts
from configurator.explain.gap_cost import Measurement
from configurator.explain.remedy import Move, Remedy
from configurator.explain.request_data import Datum
from configurator.rules.finding import Finding, State
from configurator.units.display import figures, plural, show_value, spaced

HOURS_NOTE = "Hours are common practice, without a source: they put tests in order, no more."

FAR = 10.0
"""Excess from which a factor says more than per cent."""

SHOWN_DATA = 6
"""Values of the request that are named behind one conflict."""


def percent(share: float) -> str:
    """Return a share in per cent, beyond ten times the limit as a factor."""
    if abs(share) >= FAR:
        return f"{figures(abs(share) + 1.0)} times the limit"
    return f"{figures(abs(share) * 100.0)} %"


def step_sentence(step: Step) -> str:
    """Return what one member of a conflict does, with its numbers."""
    if step.kind != "rule":
        verb = "picks" if step.kind == "pick" else "excludes"
        misfit = "" if step.nearest is None else f": {step.nearest.finding.reason}"
        return f"the request {verb} {step.asked[0].text} for {step.name}{misfit}."
    gone = _groups(step)
    if step.nearest is None:
        return f"'{step.name}' {gone}."
    reason = step.nearest.finding.reason
    verb = "at the nearest, " if step.groups else "at best, "
    return f"'{step.name}' {gone}: {verb}{reason}{numbers(step.nearest, step.source)}."


def _groups(step: Step) -> str:
    if not step.groups:
        return "shuts out every combination that is left"
    everything = [group for group in step.groups if len(group.names) == group.standing]
    if len(everything) > 1:
        left = _and([counted(group.slot, group.standing) for group in everything])
        return f"lets no combination of the {left} that are left through"
    return f"takes out {_and([group.text for group in step.groups])}"


def numbers(miss: Miss, source: str) -> str:
    """Return demand, limit and excess at the end that decides, and their origin, in brackets."""
    basis = f"basis {miss.finding.basis.value}; {source}"
    if miss.demand is None or miss.limit is None or miss.kind is None:
        return f" ({basis})"
    demand, limit = show_value(miss.demand, miss.kind), show_value(miss.limit, miss.kind)
    word = "at least" if miss.finding.at_least else "at most"
    if miss.excess is None:
        return f" ({demand} where it takes {word} {limit}; {basis})"
    if abs(miss.excess) >= FAR and not miss.finding.at_least:
        off = percent(miss.excess)
    else:
        off = f"{percent(miss.excess)} {'short' if miss.finding.at_least else 'over'}"
    return f" ({demand} where it takes {word} {limit}, {off}; {basis})"


def conflict_sentences(conflict: Conflict) -> list[str]:
    """Return a conflict as numbered sentences and the conclusion from them."""
    steps = [step_sentence(step) for step in conflict.steps]
    lines = [f"{at}. {text[:1].upper()}{text[1:]}" for at, text in enumerate(steps, start=1)]
    every = _and([str(place) for place in range(1, len(steps) + 1)])
    return [*lines, f"So, because of {every}, {_conclusion(conflict)}."]


def _conclusion(conflict: Conflict) -> str:
    if conflict.emptied:
        return f"no {called(conflict.emptied[0], 1)} is left"
    few = sorted(conflict.left.items(), key=lambda entry: entry[1])[:3]
    left = _and([counted(slot, count) for slot, count in few])
    return f"nothing that is left goes together, though {left} stand on their own"


def rests_on(conflict: Conflict) -> list[str]:
    """Return the values of the request behind a conflict, by who could move them."""
    by_grantor: dict[str, list[str]] = {}
    for datum in conflict.asked:
        by_grantor.setdefault(datum.grants, []).append(_datum(datum))
    return [f"{grantor}: {_some(data)}" for grantor, data in by_grantor.items()]


def _datum(datum: Datum) -> str:
    field = datum.field.removeprefix("process.").removeprefix("component.")
    return f"{field} {datum.text}" + (f" ({datum.basis})" if datum.basis else "")


def _some(data: Sequence[str]) -> str:
    rest = len(data) - SHOWN_DATA
    return "; ".join(data[:SHOWN_DATA]) + (f"; and {rest} more" if rest > 0 else "")


def how_many(conflicts: Conflicts, *, also: bool) -> str:
    """Return how many conflicts there are besides others told before, and if these are all."""
    if also:
        tail = "" if conflicts.complete else "; there may be more"
        return f"Even without those, nothing would be left{tail}:"
    found = len(conflicts.found)
    word = "reason" if found == 1 else "reasons"
    if conflicts.complete:
        whole = "There is one reason" if found == 1 else f"There are {found} {word}"
        return f"{whole}, each enough by itself:" if found > 1 else f"{whole}:"
    return f"Here {'is' if found == 1 else 'are'} {found} {word}; there may be more:"


def remedy_sentence(remedy: Remedy, picked: Mapping[str, str]) -> str:
    """Return a remedy: what would have to change, what it opens, who can grant it."""
    changes = " and ".join(map(_change, remedy.moves))
    grantors = _and(list(dict.fromkeys(move.adjustment.grants for move in remedy.moves)))
    parts = ", ".join(
        f"{slot}={name}"
        for slot, name in remedy.example.items()
        if slot not in picked and (slot, name) != ("mixing", "none")
    )
    builds = spaced(remedy.builds)
    word = "build, which" if remedy.builds == 1 else "builds, the first of which"
    state = "fits" if remedy.state == "fits" else f"is {remedy.state}"
    return f"{changes} -> {builds} {word} {state}{f' ({parts})' if parts else ''}; up to {grantors}"


def _change(move: Move) -> str:
    adjustment, becomes, short = move.adjustment, move.becomes, move.not_enough
    bound = ""
    if adjustment.continuous and " to " not in becomes:
        bound = "at least " if adjustment.more else "at most "
    elif adjustment.continuous and adjustment.more and not short:
        # A range moves as a whole; a bound before it would be misread as one of its ends.
        bound = "up to "
    tail = f"; {short} is not enough" if short and short != becomes else ""
    return f"{adjustment.title} {bound}{becomes} instead of {adjustment.now}{tail}"


def doubt_sentence(finding: Finding) -> str:
    """Return what does not fit about a build that stands."""
    if finding.margin is not None:
        return margin_sentence(finding)
    basis = f"basis {finding.basis.value}"
    return f"'{finding.rule}', {finding.state.words}: {finding.reason} ({basis})"


def margin_sentence(finding: Finding) -> str:
    """Return one margin of a build that stands."""
    margin = finding.margin or 0.0
    if margin < 0:
        beyond = percent(margin) if margin <= -FAR else f"{percent(margin)} beyond the limit"
        left = f"{beyond} at the hard end, {finding.state.words}"
    else:
        left = f"{figures(margin * 100)} % left"
        left += f", {finding.state.words}" if finding.state > State.FITS else ""
    return f"'{finding.rule}', {left}: {finding.reason} (basis {finding.basis.value})"


def break_point_sentence(point: BreakPoint) -> str:
    """Return one break point: where the build breaks, by which rule, and what takes over."""
    title, at, stated = point.adjustment.title, point.at, f"(stated {point.adjustment.now})"
    times = "" if point.factor is None else f"{figures(point.factor)} times"
    where = (
        f"{times} the stated value of {title}, {at} {stated}" if times else f"{title} {at} {stated}"
    )
    if at.endswith("times what is stated"):
        where = f"{times} the {title}"
    finding = point.finding
    return f"breaks at {where}: '{finding.rule}', {finding.reason}{_successor(point)}"


def _successor(point: BreakPoint) -> str:
    if not point.solved:
        return ""
    if point.takes_over is None:
        return "; no build takes over"
    parts = ", ".join(f"{slot}={point.takes_over[slot]}" for slot in point.differs)
    return f"; then the first build has {parts}"


def break_points_sentences(found: BreakPoints) -> Iterator[str]:
    """Yield every break point, nearest first, then what may move freely."""
    yield from map(break_point_sentence, found.points)
    if found.headrooms:
        ends: dict[str, list[str]] = {}
        for each in found.headrooms:
            ends.setdefault(each.adjustment.title, []).append(each.up_to)
        held = [f"{title} ({' and '.join(far)})" for title, far in ends.items()]
        yield f"stands as far as was tried: {_and(held)}"
    if not found.complete:
        yield "the time was up before everything was moved"


def measurement_sentences(each: Measurement) -> Iterator[str]:
    """Yield what knowing a datum would settle, and what it takes."""
    effort = each.effort
    if each.settled:
        yield (
            f"Settles {plural(each.settled, 'unproven build')} whichever way it turns out, "
            f"{spaced(round(each.settled_per_hour))} for each hour at the bench."
        )
    elif each.at_stake:
        hang = "builds hang" if each.at_stake > 1 else "build hangs"
        yield f"{spaced(each.at_stake)} {hang} on which way it turns out."
    texts = [f"{end.text}: {_counts(end.counts)}" for end in each.ends]
    if len({end.counts for end in each.ends}) == 1:
        yield f"At either end: {_counts(each.ends[0].counts)}."
    else:
        yield f"If {'; if '.join(texts)}."
    if each.decision is not None:
        decision = each.decision
        yield (
            f"It decides on the first build at {decision.text}: below that {decision.below}, "
            f"from there on {decision.above}."
        )
    yield (
        f"Test: {each.test} ({effort.method}: {figures(effort.hours)} h at the bench, "
        f"{figures(effort.wait)} h until the result)."
    )


def _counts(counts: Counts) -> str:
    if not counts.total:
        return "no build"
    return (
        f"{plural(counts.total, 'build')} ({spaced(counts.fits)} fits, "
        f"{spaced(counts.marginal)} marginal, {spaced(counts.unproven)} unproven)"
    )


def _and(words: Sequence[str]) -> str:
    if len(words) < 2:  # noqa: PLR2004 - the last of two joins the first
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
