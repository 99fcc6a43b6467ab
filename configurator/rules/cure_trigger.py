"""What starts a cure too early: wetted parts, moisture, light, and air that is missing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from configurator.catalog.parts import Feed, Part, Seal, wetted_codes
from configurator.chemistry.lookup import grade_rank
from configurator.chemistry.share import shares_of
from configurator.chemistry.trigger import CureTrigger, implied_triggers, judge_trigger
from configurator.rules.case import Case
from configurator.rules.chemistry import STATE_OF_GRADE, WETTED_SLOTS, wetted_fields
from configurator.rules.finding import State
from configurator.rules.rule import Rule, Words
from configurator.rules.side import Side
from configurator.units.interval import Basis

CLEAR_SLOTS = ("mixing", "outlet", "feed")
"""Slots whose parts may let light through."""

MOISTURE_SLOTS = ("seal", "feed")
"""Slots whose parts state whether they keep moisture out."""

SENSITIVITIES: dict[str, CureTrigger] = {"light": "light", "platinum poisons": "platinum"}
"""Sensitivities of a material that act as a trigger does; moisture has rules of its own."""


def _triggers(side: Side) -> tuple[CureTrigger, ...]:
    """What cures a component, or spoils its cure: stated, implied by constituents, minded."""
    minded = (SENSITIVITIES[word] for word in side.component.sensitive_to if word in SENSITIVITIES)
    return tuple(dict.fromkeys((*_implied(side), *minded)))


def _implied(side: Side) -> tuple[CureTrigger, ...]:
    subject = side.subject
    shares = shares_of(side.component)
    return implied_triggers(subject.filled.material.trigger, shares, subject.catalog.substances)


def minds_moisture(case: Case, side: Side) -> str:
    """How moisture spoils a component, in words: it cures it, or it is minded; empty if neither.

    A component minds it where its data sheet says so, or one of its constituents cures with it.
    """
    if case.material.trigger in ("moisture", "surface moisture"):
        return "cures with moisture"
    implied = not {"moisture", "surface moisture"}.isdisjoint(_implied(side))
    minds = implied or "moisture" in side.component.sensitive_to
    return "minds moisture" if minds else ""


def _trigger_rule(slot: str) -> Rule:
    def judge(_case: Case, side: Side) -> Callable[[Part], tuple[State, Words]]:
        triggers, substances = _triggers(side), side.subject.catalog.substances

        def judged(part: Part) -> tuple[State, Words]:
            light = getattr(part, "passes_light", None)
            verdicts = [
                judge_trigger(
                    trigger,
                    code,
                    substances=substances,
                    passes_light=light,
                    keeps_moisture_out=getattr(part, "keeps_moisture_out", False),
                )
                for trigger in triggers
                for _, code in wetted_codes(part)
                if trigger != "light" or light is not None
            ]
            worst = max(verdicts, key=lambda verdict: grade_rank(verdict.grade), default=None)
            if worst is None:
                reason = f"{slot} {part.name} touches nothing that could start a cure"
                return State.FITS, Words("none", "none", reason, Basis.INVENTED)
            reason = f"{slot} {part.name}: {worst.reason}"
            words = Words(worst.grade, "satisfactory", reason, worst.basis)
            return STATE_OF_GRADE[worst.grade], words

        return judged

    return Rule.of_parts(
        slot,
        judge,
        name=f"early cure in the {'tip' if slot == 'outlet' else slot}",
        family="chemistry",
        fields=(
            *wetted_fields(slot),
            *(("passes_light",) if slot in CLEAR_SLOTS else ()),
            *(("keeps_moisture_out",) if slot in MOISTURE_SLOTS else ()),
        ),
        asks=("component.constituents", "component.sensitive_to", "material.trigger"),
        source="trigger rules of configurator.chemistry, each with its source",
    )


def _moisture_rule(slot: str) -> Rule:
    def judge(case: Case, side: Side) -> Callable[[Any], tuple[State, Words]] | None:
        does = minds_moisture(case, side)
        if not does:
            return None
        cures = does == "cures with moisture"

        def judged(part: Seal | Feed) -> tuple[State, Words]:
            verb = "keeps moisture out" if part.keeps_moisture_out else "lets moisture in"
            reason = f"the material {does}; {slot} {part.name} {verb}"
            let_in = State.RULED_OUT if cures else State.MARGINAL
            state = State.FITS if part.keeps_moisture_out else let_in
            return state, Words(does, verb, reason, Basis.COMMON_PRACTICE)

        return judged

    return Rule.of_parts(
        slot,
        judge,
        name=f"moisture at the {'shaft seal' if slot == 'seal' else slot}",
        family="chemistry",
        fields=("keeps_moisture_out",),
        asks=("component.constituents", "component.sensitive_to", "material.trigger"),
        source="common practice, no source",
    )


def _air_in_feed(_case: Case, side: Side) -> Callable[[Feed], tuple[State, Words]] | None:
    """Whether an anaerobic material keeps the air that it needs to stay liquid."""
    if "anaerobic" not in _implied(side):
        return None

    def judged(feed: Feed) -> tuple[State, Words]:
        verb = "keeps air" if feed.air_over_material else "keeps no air"
        reason = f"an anaerobic material stays liquid with air; feed {feed.name} {verb} over it"
        words = Words("stays liquid with air", verb, reason, Basis.COMMON_PRACTICE)
        return State.FITS if feed.air_over_material else State.MARGINAL, words

    return judged


RULES: tuple[Rule, ...] = (
    *(_trigger_rule(slot) for slot in WETTED_SLOTS),
    *(_moisture_rule(slot) for slot in MOISTURE_SLOTS),
    Rule.of_parts(
        "feed",
        _air_in_feed,
        name="air over an anaerobic material",
        family="chemistry",
        fields=("air_over_material",),
        asks=("component.constituents", "material.trigger"),
        source="common practice, no source; a trade magazine's answers on adhesives (excerpt)",
    ),
)
