"""A checked material, as table or JSON: what is known, what is not, and what that costs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from configurator.catalog.catalog import Catalog
from configurator.chemistry.lookup import Opinion
from configurator.explain.counts import Counts
from configurator.explain.gap_cost import Costs, End, Measurement
from configurator.explain.material_check import MaterialCheck, Stranger, Touch
from configurator.report.heading import catalog_in_words, gap_words, titled
from configurator.report.lines import WIDTH, columns, labelled, listed, wrapped
from configurator.report.machine import answer_json, data_of, number
from configurator.report.measure import counts_data, counts_in_words
from configurator.request.intake import Gap
from configurator.request.process import Process
from configurator.units.display import show, spaced


@dataclass(frozen=True)
class Asked:
    """A process that a material was checked for."""

    process: Process
    why: str
    """Why it was taken; empty if somebody named it."""
    check: MaterialCheck
    """Contacts at its highest temperature."""
    costs: Costs


def material_table(
    check: MaterialCheck, catalog: Catalog, asked: Sequence[Asked], *, width: int = WIDTH
) -> str:
    """Return a checked material as text for people.

    The check itself is shown where no process is asked for.
    """
    blocks = [
        labelled(
            [("Material", titled(check.material)), ("Catalog", catalog_in_words(catalog))], width
        ),
        listed("Known:", (f"{known.field}: {known.text}" for known in check.known), width),
        listed(
            "Estimated, because the data sheet leaves it out:",
            map(gap_words, check.estimated),
            width,
        ),
        listed("Missing, and nothing put in its place:", map(gap_words, check.missing), width),
        listed(
            "Constituents that the tables do not hold:",
            map(_stranger_text, check.strangers),
            width,
        ),
    ]
    if not asked:
        blocks += _contacts(check, width)
        blocks.append(
            wrapped(
                "What each gap costs in builds depends on the process: --process NAME counts it.",
                width,
            )
        )
    for entry in asked:
        blocks.append(_process(entry, width))
        blocks += _contacts(entry.check, width)
        blocks += _costs(entry.costs, width)
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _stranger_text(stranger: Stranger) -> str:
    near = stranger.nearest
    meant = f"did you mean {' or '.join(near)}?" if near else "no name is near"
    return f"{stranger.field}: {stranger.name}; {meant}"


def _process(entry: Asked, width: int) -> list[str]:
    named = "; ".join(filter(None, (entry.process.name, entry.why)))
    return labelled([("Process", f"{entry.process.title} ({named})")], width)


def _contacts(check: MaterialCheck, width: int) -> list[list[str]]:
    two = check.material.two_part
    heads = (*(["side"] * two), "material", "contact", "decided by", "basis", "confidence")
    rows = [_row(touch, two=two) for touch in check.touches]
    table = [f"Contacts at up to {show(check.temperature, 'degC')}, worst first:"]
    table += [f"  {line}" for lines in columns(heads, rows, width - 2) for line in lines]
    splits = [
        f"{touch.contact.constituent} on {_code(touch)}: {'; '.join(map(_voice, voices))}"
        for touch in check.touches
        if (voices := touch.contact.disagreements)
    ]
    tests = [f"{test}: {', '.join(codes)}" for test, codes in _tests(check.touches).items()]
    return [
        table,
        listed("Sources that disagree; the more cautious is used:", splits, width),
        listed("What would settle them:", tests, width),
    ]


def _tests(touches: Sequence[Touch]) -> dict[str, list[str]]:
    """Each test once, with the wetted materials that it is for."""
    found: dict[str, list[str]] = {}
    for touch in touches:
        if touch.contact.test:
            code = touch.contact.material
            test = touch.contact.test.replace(f" {code} ", " ").removeprefix("unproven: ")
            codes = found.setdefault(test, [])
            if _code(touch) not in codes:
                codes.append(_code(touch))
    return found


def _row(touch: Touch, *, two: bool) -> list[str]:
    contact = touch.contact
    row = [
        _code(touch),
        contact.grade,
        contact.constituent,
        contact.basis.value,
        contact.confidence,
    ]
    return [touch.component, *row] if two else row


def _code(touch: Touch) -> str:
    return (
        f"{touch.contact.material} as {touch.compound}"
        if touch.compound
        else touch.contact.material
    )


def _voice(voice: Opinion) -> str:
    unused = "" if voice.used else ", set aside by a measurement"
    return f"{voice.grade} by {voice.source} ({voice.basis.value}, {voice.confidence}{unused})"


def _costs(costs: Costs, width: int) -> list[list[str]]:
    blocks = [wrapped(f"Builds now: {counts_in_words(costs.now)}.", width, rest="  ")]
    if costs.gaps:
        lines = ["If a gap were settled, at its good end and at its bad end:"]
        for entry in costs.gaps:
            lines += wrapped(f"{entry.field}: {entry.says}", width, first="  ", rest="    ")
            for text in _ends(entry, costs.now):
                lines += wrapped(text, width, first="    ", rest="      ")
        blocks.append(lines)
    if costs.contacts:
        heads = ("material", "passed", "failed")
        rows = [(entry.field, _short(entry.good), _short(entry.bad)) for entry in costs.contacts]
        head = "If an unknown contact were soak tested (builds: fits/marginal/unproven):"
        lines = wrapped(head, width, rest="  ")
        lines += [f"  {line}" for texts in columns(heads, rows, width - 2) for line in texts]
        blocks.append(lines)
    if costs.together is not None:
        text = f"With all of them at their good ends: {counts_in_words(costs.together)}."
        blocks.append(wrapped(text, width, rest="  "))
    return blocks


def _short(end: End | None) -> str:
    if end is None:
        return "?"
    counts = end.counts
    return "/".join(map(spaced, (counts.fits, counts.marginal, counts.unproven)))


def _ends(entry: Measurement, now: Counts) -> Iterator[str]:
    if entry.good is None or entry.bad is None:
        yield entry.note
    elif entry.good.counts == entry.bad.counts == now:
        yield "no build hangs on it: the same at either end"
    elif entry.good.counts == entry.bad.counts:
        yield f"settled at either end: {counts_in_words(entry.good.counts)}"
    else:
        yield f"good end, {entry.good.text}: {counts_in_words(entry.good.counts)}"
        yield f"bad end, {entry.bad.text}: {counts_in_words(entry.bad.counts)}"


def material_json(check: MaterialCheck, catalog: Catalog, asked: Sequence[Asked]) -> str:
    """Return a checked material as JSON; contacts stand with each process, else by themselves."""
    material = check.material
    data: dict[str, Any] = {
        "catalog": data_of(catalog, "name", "sha256"),
        "material": data_of(material, "name", "title"),
        "known": [
            {
                **data_of(known, "field", "text"),
                **({} if known.quantity is None else {"quantity": known.quantity.as_json()}),
            }
            for known in check.known
        ],
        "estimated": [_gap_data(gap) for gap in check.estimated],
        "missing": [_gap_data(gap) for gap in check.missing],
        "unknown_constituents": [
            data_of(each, "field", "name", "nearest") for each in check.strangers
        ],
        "processes": [
            {
                "process": {"name": entry.process.name, "taken_because": entry.why or None},
                **_contacts_data(entry.check),
                **_costs_data(entry.costs),
            }
            for entry in asked
        ],
    }
    if not asked:
        data |= _contacts_data(check)
    return answer_json(**data)


def _gap_data(gap: Gap) -> dict[str, Any]:
    return {
        **data_of(gap, "field", "says"),
        "used": None if gap.basis is None else gap.used,
        **data_of(gap, "basis", "settle_with"),
    }


def _contacts_data(check: MaterialCheck) -> dict[str, Any]:
    return {
        "contacts_up_to_c": number(check.temperature - 273.15),
        "contacts": [_touch_data(touch) for touch in check.touches],
    }


def _touch_data(touch: Touch) -> dict[str, Any]:
    contact = touch.contact
    bounds = contact.swelling
    return {
        "component": touch.component,
        "material": contact.material,
        "part": touch.compound or None,
        "slots": list(touch.slots),
        **data_of(contact, "grade", "constituent", "basis", "confidence", "reason"),
        "test": contact.test or None,
        "swelling_pct": None if bounds is None else [number(100 * end) for end in bounds],
        "disagreements": [
            data_of(voice, "grade", "source", "basis", "confidence", "used")
            for voice in contact.disagreements
        ],
    }


def _costs_data(costs: Costs) -> dict[str, Any]:
    return {
        "now": counts_data(costs.now),
        "gaps": [_cost_data(entry) for entry in costs.gaps],
        "unknown_contacts": [_cost_data(entry) for entry in costs.contacts],
        "all_settled_well": None if costs.together is None else counts_data(costs.together),
    }


def _cost_data(entry: Measurement) -> dict[str, Any]:
    ends = {
        name: None if end is None else {"text": end.text, **counts_data(end.counts)}
        for name, end in (("good_end", entry.good), ("bad_end", entry.bad))
    }
    return {
        **data_of(entry, "field", "says"),
        "settle_with": entry.test,
        **ends,
        "note": entry.note or None,
    }
