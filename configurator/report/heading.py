"""Lines around a table: what was asked, from which catalog, builds left, and what to mind."""

from __future__ import annotations

from collections.abc import Sequence

from configurator.catalog.catalog import Catalog
from configurator.chemistry.cautions import DEFER, Caution
from configurator.report.builds import Page
from configurator.report.lines import labelled, wrapped
from configurator.request.intake import Gap
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.duty import Duty
from configurator.rules.finding import LISTED
from configurator.units.display import plural, show, show_interval, spaced
from configurator.units.interval import Basis
from configurator.units.kinds import TEMPERATURE, VOLUME, VOLUME_FLOW
from configurator.units.path import quantities
from configurator.workshop.listing import order_in_words

_DIGEST_SHOWN = 12


def heading(page: Page, width: int) -> list[str]:
    """Return the lines that stand above the builds of a page."""
    answer = page.answer
    subject = answer.subject
    question, catalog = subject.question, subject.catalog
    pairs = [
        ("Material", titled(question.material)),
        ("Process", titled(question.process)),
        ("Duty", duty_in_words(subject.duty)),
        ("Catalog", f"{catalog_in_words(catalog)}; {invented_in_words(catalog)}"),
        ("Picks", picks_in_words(question)),
        ("Builds", _counts(page)),
        ("Order", _order(page) if page.builds or page.heads else ""),
    ]
    return labelled(pairs, width)


def _order(page: Page) -> str:
    best = "highest" if page.sort.highest_first else "lowest"
    two_part = page.answer.subject.question.material.two_part
    order = page.sort.titled(two_part=two_part)
    if page.traded:
        names = " and ".join(figure.titled(two_part=two_part) for figure in page.traded)
        return f"no other build beats these in all of {names}; by {order}, {best} first"
    return f"by state, then {order_in_words(page.sort, two_part=two_part)}"


def titled(asked: Material | Process) -> str:
    """Return title and name, and whether it is invented, as everyone must know."""
    return f"{asked.title} ({asked.name}{', invented' if asked.invented else ''})"


def asked_in_words(question: Question) -> list[tuple[str, str]]:
    """Return material and process with their titles and names."""
    asked: tuple[Material | Process, ...] = (question.material, question.process)
    labels = ("Material", "Process")
    return [
        (label, f"{each.title} ({each.name})") for label, each in zip(labels, asked, strict=True)
    ]


def duty_in_words(duty: Duty) -> str:
    """Return what a process asks of any head, in a line."""
    shot = "" if duty.shot is None else f", shots of {show_interval(duty.shot, VOLUME)}"
    return (
        f"{duty.kind}, {show_interval(duty.flow, VOLUME_FLOW)}{shot}, "
        f"{show_interval(duty.temperature, TEMPERATURE)}, "
        f"volume error up to {show(duty.tolerance, '%')}"
    )


def catalog_in_words(catalog: Catalog) -> str:
    """Return which catalog this is: title, name, folder and digest."""
    digest = catalog.sha256[:_DIGEST_SHOWN]
    return f"{catalog.title} ({catalog.name}, {catalog.where}, sha256 {digest})"


def invented_in_words(catalog: Catalog) -> str:
    """Return how many of a catalog's part figures are invented, as everyone must know."""
    bases = [
        quantity.basis
        for parts in catalog.parts.values()
        for part in parts
        for _, quantity in quantities(part)
    ]
    invented = bases.count(Basis.INVENTED)
    if not invented:
        return "none of its part figures is invented"
    return f"{spaced(invented)} of {spaced(len(bases))} part figures invented"


def picks_in_words(question: Question) -> str:
    """Return the parts that somebody fixed or excluded; empty if none."""
    words = [f"{slot}={name}" for slot, name in question.picks.items()]
    words += [
        f"without {slot}={name}"
        for slot, names in question.without.items()
        for name in sorted(names)
    ]
    return ", ".join(words)


def _counts(page: Page) -> str:
    answer = page.answer
    each = ", ".join(f"{spaced(answer.counts[level])} {level.words}" for level in LISTED)
    return (
        f"{spaced(answer.count)} of {plural(answer.considered, 'combination')} considered: {each}"
    )


def deferred(cautions: Sequence[Caution]) -> list[tuple[str, str]]:
    """Return topics and texts, without who decides: that is the same for all, and said once."""
    return [(caution.topic, caution.text.removesuffix(DEFER).strip()) for caution in cautions]


def gap_words(gap: Gap) -> str:
    """What a data sheet left out, what is used in its place, and what would settle it."""
    used = gap.used if gap.basis is None else f"used {gap.used} ({gap.basis.value})"
    return f"{gap.field}: {gap.says}; {used}; to settle it: {gap.settle_with}"


def cautioned(cautions: Sequence[Caution], width: int) -> list[str]:
    """Return what people have to mind as lines; none if there is nothing."""
    pairs = [(f"  {topic}", text) for topic, text in deferred(cautions)]
    last = wrapped(DEFER, width, first="  ", rest="  ")
    return ["Cautions:", *labelled(pairs, width), *last] if pairs else []
