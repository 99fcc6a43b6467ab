"""The service card of a head: spares, restart, flushing, changeover, storage, recalibration."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from configurator.catalog.parts import Mixing, Part, wetted_codes
from configurator.chemistry.contact import judge_contact
from configurator.chemistry.lookup import ContactGrade, grade_rank
from configurator.chemistry.meetings import Spoiling, meetings, named
from configurator.chemistry.share import MassFraction, shares_of
from configurator.report.sheet_data import SheetData, slot_words
from configurator.request.material import Component, Material
from configurator.rules.chemistry import WETTED_SLOTS, place_in
from configurator.rules.side import Side
from configurator.units.display import figures, show_value
from configurator.units.kinds import TEMPERATURE
from configurator.workshop.head_record import HeadRecord

WORN = 0.1
"""Slip at which the wear band ends, over the flow (as `physics.wear` has it). [-]"""

Rows = tuple[tuple[str, ...], ...]
"""What it is about and what to do; of media the title, the wetted parts, and what to mind."""
Card = Mapping[str, Rows]
"""Rows by the id of their heading."""


def service_card(
    data: SheetData, heads: Sequence[HeadRecord] = (), after: Material | None = None
) -> Card:
    """Work out the card of one build by the shop's trials, in the language of its sheet."""
    ranked = sorted(_media(data, after), key=lambda found: found[0])
    card: dict[str, Rows] = {
        "spares": tuple(_spares(data)),
        "stops": tuple(_restart(data)),
        "media": tuple(row for _, row in ranked),
        "changeover": () if after is None else tuple(_changeover(data, after)),
        "storage": tuple(_storage(data)),
        "recalibration": tuple(_recalibration(data, heads)),
    }
    return {heading: rows for heading, rows in card.items() if rows}


def _spares(data: SheetData) -> Iterator[tuple[str, str]]:
    """Rotor and stator by the wear band, what else wears without a figure."""
    say, parts, values = data.say, data.build.parts, data.build.figures
    units = [
        (values[f"wear_band_low_{unit}"], values[f"wear_band_high_{unit}"], unit)
        for unit in ("hours", "shots", "shifts")
    ]
    known = [
        say(f"wear_{unit}", low=_counted(low), high=_counted(high))
        for low, high, unit in units
        if low is not None and high is not None
    ]
    missing = [say(f"missing_{unit}") for low, high, unit in units if low is None or high is None]
    life = say("wear_band", bands=", ".join(known)) if known else say("wear_unknown")
    text = "; ".join([life, *missing])
    pairs = [side.prefix for side in data.head.case.sides]
    for prefix in pairs:
        both = f"{_called(data, f'{prefix}rotor')}, {_called(data, f'{prefix}stator')}"
        yield both, text if prefix == pairs[0] else say("as_above")
    seals = dict.fromkeys(_called(data, f"{prefix}seal") for prefix in pairs)
    yield ", ".join(seals), say("spare_seal")
    mixing = parts.get("mixing")
    if isinstance(mixing, Mixing) and mixing.kind != "none":
        yield _called(data, "mixing"), say(f"spare_{mixing.kind}")
    yield _called(data, "outlet"), say("spare_tip")


def _counted(value: float) -> str:
    """Three digits, in groups: nobody counts the noughts of a million."""
    return figures(value) if value < 1e4 else f"{float(f'{value:.3g}'):,.0f}".replace(",", " ")  # noqa: PLR2004


def _called(data: SheetData, slot: str) -> str:
    return f"{slot_words(slot, data.say)} {data.build.parts[slot].name}"


def _restart(data: SheetData) -> Iterator[tuple[str, str]]:
    say, values = data.say, data.build.figures
    allowed, asked = values["stop_allowed_min"], data.head.case.duty.longest_stop
    if allowed is not None:
        yield say("longest_stop"), say("stop_holds", minutes=figures(allowed))
        if asked / 60.0 > allowed:  # False where none is stated
            yield say("asked_stop"), say("stop_too_long", minutes=figures(asked / 60.0))
    elif data.head.case.subject.anaerobic:
        hours = figures(data.head.case.practice.anaerobic_stop.low / 3600.0)
        yield say("longest_stop"), say("stop_anaerobic", hours=hours)
    else:
        yield say("longest_stop"), say("stop_one_part")
    for setting in data.settings:
        if setting.key.startswith(("purge", "mixer change")):
            yield setting.name, f"{setting.start} ({setting.span}); {setting.note}"
    restart, rated = values["restart_pressure_bar"], values["pressure_allowed_bar"]
    if restart is not None and rated is not None:
        key = "restart_over" if restart > rated else "restart_within"
        yield say("restart"), say(key, needed=figures(restart), rated=figures(rated))


def _wetted(data: SheetData) -> Iterator[tuple[Side, str, Part]]:
    """Each part that material touches, with the side it belongs to; shared parts once a side."""
    for side in data.head.case.sides:
        for slot in WETTED_SLOTS:
            name = side.slot(slot)
            part = data.build.parts.get(name)
            if part is not None and wetted_codes(part):
                yield side, name, part


def _media(
    data: SheetData, after: Material | None
) -> Iterator[tuple[tuple[bool, int], tuple[str, str, str]]]:
    """Each medium against every wetted part and what it may meet; first what nothing speaks against."""
    say, subject = data.say, data.answer.subject
    substances = subject.catalog.substances
    runs = [shares_of(side.component) for side in data.head.case.sides]
    if after is not None:
        runs += [shares_of(component) for _, component in after.components]
    for name in subject.catalog.practice.flushing_media:
        medium = substances.find(name)
        if medium is None:
            yield (True, grade_rank("unknown")), (name, say("medium_unknown"), "")
            continue
        grades = {
            f"{say(f'slot_{part.slot}')} {part.name}": _grade(
                data, part, (MassFraction(name, 1.0, 1.0),)
            )
            for _, _, part in _wetted(data)
        }
        told = [
            say(f"medium_{key}", parts=", ".join(found))
            for key, found in (
                (
                    "attacks",
                    [part for part, grade in grades.items() if grade == "not satisfactory"],
                ),
                ("open", [part for part, grade in grades.items() if grade == "unknown"]),
                ("short", [part for part, grade in grades.items() if grade == "limited"]),
            )
            if found
        ]
        minds = {
            say(f"meets_{each.rule.name}", here=each.here, left=each.left)
            for run in runs
            for each in meetings(named(run, substances), [medium])
        }
        flash = medium.flash_point
        warned = [] if flash is None else [say("flash", point=show_value(flash.low, TEMPERATURE))]
        hazards = [say("hazards", words=", ".join(medium.hazards))] if medium.hazards else []
        rank = (bool(minds), max(map(grade_rank, grades.values()), default=0))
        yield (
            rank,
            (
                medium.title,
                "; ".join(told) or say("medium_stands"),
                "; ".join([*sorted(minds), *hazards, *warned]),
            ),
        )


def _grade(data: SheetData, part: Part, shares: tuple[MassFraction, ...]) -> ContactGrade:
    """The worst of a part's wetted materials."""
    subject = data.answer.subject
    found = [
        judge_contact(
            code,
            shares,
            temperature=subject.duty.temperature.high,
            substances=subject.catalog.substances,
            evidence=subject.evidence,
            grade_name=part.name if subject.evidence.names_compounds(code) else "",
            place=place_in(part.slot),
        ).grade
        for _, code in wetted_codes(part)
    ]
    return max(found, key=grade_rank)


def _changeover(data: SheetData, after: Material) -> Iterator[tuple[str, str]]:
    """What to replace, what to flush, and what remains of the other material would spoil."""
    say, substances = data.say, data.answer.subject.catalog.substances
    yield say("after"), after.title
    sides = data.head.case.sides
    before = [component for _, component in after.components]
    # Which of several components ran in a head of another number of sides nobody states: all count.
    alike = len(before) == len(sides)
    old = {
        side.prefix: before[place : place + 1] if alike else before
        for place, side in enumerate(sides)
    }
    if not alike:
        yield say("after_sides"), say("after_sides_differ")
    # Both sides meet in the mixer, so that remains on one of them spoil the other as well.
    here = [each for side in sides for each in named(shares_of(side.component), substances)]
    spoiling = {
        prefix: [
            each
            for component in components
            for each in meetings(here, named(shares_of(component), substances))
        ]
        for prefix, components in old.items()
    }
    told: dict[tuple[str, str], dict[str, None]] = {}
    for side, slot, part in _wetted(data):
        fate = _fate(data, part, old[side.prefix], spoiling[side.prefix])
        told.setdefault(fate, {})[f"{slot_words(slot, say)} {part.name}"] = None
    for (label, why), parts in told.items():
        yield say(label), say("parts_why", parts=", ".join(parts), why=why)
    said = {
        say(f"meets_{each.rule.name}", here=each.here, left=each.left): each
        for found in spoiling.values()
        for each in found
    }
    for words, each in said.items():
        yield (
            say("spoils"),
            say("resting_on", words=words, basis=each.rule.basis.value, source=each.rule.source),
        )
    if not said:
        yield say("spoils"), say("spoils_none")
    if any(not component.complete for component in before):
        yield say("unnamed"), say("unnamed_rest")


def _fate(
    data: SheetData, part: Part, old: Sequence[Component], spoiling: Sequence[Spoiling]
) -> tuple[str, str]:
    """Whether a part is replaced, looked at or flushed after another material, and why."""
    say, substances = data.say, data.answer.subject.catalog.substances
    if part.slot in ("mixing", "outlet"):
        return "replace", say("replace_always")
    if part.slot == "feed":
        return "replace", say("replace_feed")
    wetted = [substances.wetted.get(code) for _, code in wetted_codes(part)]
    rubber = any(each is not None and each.family == "elastomer" for each in wetted)
    if rubber and spoiling:
        left = ", ".join(dict.fromkeys(", ".join(each.left for each in spoiling).split(", ")))
        return "replace", say("replace_soaked", left=left)
    shares = [shares_of(component) for component in old]
    grades: list[ContactGrade] = [
        _grade(data, part, each) if each else "unknown" for each in shares
    ]
    grade = max(grades, key=grade_rank)
    if grade == "satisfactory":
        return "flush", say("flush_how")
    gone = grade == "not satisfactory" or (rubber and grade == "unknown")
    key = "replace_attacked" if gone else "look_at_why"
    return "replace" if gone else "look_at", say(key, grade=grade)


def _storage(data: SheetData) -> Iterator[tuple[str, str]]:
    say, case = data.say, data.head.case
    triggers = {
        case.material.trigger,
        *(word for side in case.sides for word in side.component.sensitive_to),
    }
    yield say("store_emptied"), say("store_relieved")
    for key, words in (
        ("store_moisture", ("moisture", "surface moisture")),
        ("store_anaerobic", ("anaerobic",)),
        ("store_light", ("light",)),
        ("store_two_part", ("two-part",)),
    ):
        if triggers.intersection(words):
            yield say("store_standing"), say(key)
    yield say("store_parts"), say("store_rubber")


def _recalibration(data: SheetData, heads: Sequence[HeadRecord]) -> Iterator[tuple[str, str]]:
    """From the trials of these cavities on this material; by practice where there is none."""
    say = data.say
    name = data.answer.question.material.name
    for side in data.head.sides:
        found = [
            each
            for each in heads
            if (each.material, each.side, each.cavity) == (name, side.name, side.cavity)
            and each.usable
        ]
        label = say("weigh", cavity=f"{side.name} {side.cavity}".strip())
        if not found:
            yield label, say("no_trial")
            continue
        last = max(found, key=lambda each: each.date)
        told = say("trial_of", date=last.date, trial=last.trial, verdict=last.verdict)
        if last.drift_pct_h is None or last.drift_half_pct_h is None:
            yield label, told
            continue
        drift, half = last.drift_pct_h, last.drift_half_pct_h
        shown = f"{drift:+.2g}", f"{half:.2g}"
        yield label, say("trial_drift", before=told, drift=shown[0], half=shown[1])
        most = abs(drift) + half
        if most > 0.0:
            due = data.head.case.duty.tolerance * 100.0 / 2.0 / most
            yield say("weigh_by_trial"), say("weigh_trial_hours", hours=f"{due:.2g}")
    hours, tolerance = data.build.figures["wear_band_low_hours"], data.head.case.duty.tolerance
    if hours is not None:
        due = min(tolerance / 2.0 / WORN, 1.0) * hours
        yield say("weigh_by_wear"), say("weigh_hours", hours=figures(due))
    for setting in data.settings:
        if setting.key == "recalibration":
            yield setting.name, f"{setting.start}; {setting.note}"
