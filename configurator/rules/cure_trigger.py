"""What starts a cure too early: wetted parts, moisture, light, and air that is missing."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.catalog.parts import Feed, Part, Seal, wetted_codes
from configurator.chemistry.opinion import grade_rank
from configurator.chemistry.trigger import (
    CureTrigger,
    TriggerVerdict,
    implied_triggers,
    judge_trigger,
)
from configurator.rules.case import Case
from configurator.rules.chemistry import STATE_OF_GRADE, WETTED_SLOTS, wetted_fields
from configurator.rules.comparison import Grades
from configurator.rules.finding import State
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side, shares_of
from configurator.units.interval import Basis

CLEAR_SLOTS = ("mixing", "outlet", "feed")
"""Slots whose parts may let light through."""

MOISTURE_SLOTS = ("seal", "feed")
"""Slots whose parts state whether they keep moisture out."""

SENSITIVITIES: dict[str, CureTrigger] = {"light": "light", "platinum poisons": "platinum"}
"""Sensitivities of a material that act as a trigger does; moisture has rules of its own."""


def _triggers(side: Side) -> tuple[CureTrigger, ...]:
    """What cures a component, or spoils its cure: stated, implied by constituents, minded."""
    implied = implied_triggers(
        side.subject.filled.material.trigger,
        shares_of(side.component),
        side.subject.catalog.substances,
    )
    minded = (SENSITIVITIES[word] for word in side.component.sensitive_to if word in SENSITIVITIES)
    return tuple(dict.fromkeys((*implied, *minded)))


def worst_trigger(
    side: Side, part: Part, triggers: tuple[CureTrigger, ...] | None = None
) -> TriggerVerdict | None:
    """The verdict that decides among a part's materials and the material's triggers, or some."""
    substances = side.subject.catalog.substances
    triggers = _triggers(side) if triggers is None else triggers
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
    return max(verdicts, key=lambda verdict: grade_rank(verdict.grade), default=None)


def _trigger_rule(slot: str) -> Rule:
    def check(case: Case, side: Side) -> Grades:
        triggers = _triggers(side)

        def state(part: Part) -> int:
            verdict = worst_trigger(side, part, triggers)
            return State.FITS if verdict is None else STATE_OF_GRADE[verdict.grade]

        return Grades(case.frame.codes(side.slot(slot), state))

    def words(_case: Case, side: Side, build: Build) -> Words:
        part = build[side.slot(slot)]
        verdict = worst_trigger(side, part)
        if verdict is None:
            reason = f"{slot} {part.name} touches nothing that could start a cure"
            return Words("none", "none", reason, Basis.INVENTED)
        return Words(
            verdict.grade, "satisfactory", f"{slot} {part.name}: {verdict.reason}", verdict.basis
        )

    return Rule(
        name=f"early cure in the {'tip' if slot == 'outlet' else slot}",
        family="chemistry",
        parts=(
            *wetted_fields(slot),
            *((f"{slot}.passes_light",) if slot in CLEAR_SLOTS else ()),
            *((f"{slot}.keeps_moisture_out",) if slot in MOISTURE_SLOTS else ()),
        ),
        asks=("component.constituents", "component.sensitive_to", "material.trigger"),
        check=check,
        words=words,
        source="trigger rules of configurator.chemistry, each with its source",
    )


@dataclass(frozen=True)
class _Moisture:
    """How much a material minds moisture."""

    cures: bool
    minds: bool

    @classmethod
    def of(cls, side: Side) -> _Moisture:
        triggers = implied_triggers(
            side.subject.filled.material.trigger,
            shares_of(side.component),
            side.subject.catalog.substances,
        )
        cures = side.subject.filled.material.trigger in ("moisture", "surface moisture")
        minds = "moisture" in side.component.sensitive_to or "moisture" in triggers
        return cls(cures, cures or minds)

    @property
    def state(self) -> State:
        """State of a part that lets moisture in."""
        if self.cures:
            return State.RULED_OUT
        return State.MARGINAL if self.minds else State.FITS


def _moisture_rule(slot: str) -> Rule:
    def keeps_out(part: Part) -> bool:
        assert isinstance(part, Seal | Feed)
        return part.keeps_moisture_out

    def check(case: Case, side: Side) -> Grades | None:
        moisture = _Moisture.of(side)
        if not moisture.minds:
            return None
        return Grades(
            case.frame.codes(
                side.slot(slot), lambda part: State.FITS if keeps_out(part) else moisture.state
            )
        )

    def words(_case: Case, side: Side, build: Build) -> Words:
        part, moisture = build[side.slot(slot)], _Moisture.of(side)
        does = "cures with moisture" if moisture.cures else "minds moisture"
        verb = "keeps moisture out" if keeps_out(part) else "lets moisture in"
        return Words(
            demand=does,
            limit=verb,
            reason=f"the material {does}; {slot} {part.name} {verb}",
            basis=Basis.COMMON_PRACTICE,
        )

    return Rule(
        name=f"moisture at the {'shaft seal' if slot == 'seal' else slot}",
        family="chemistry",
        parts=(f"{slot}.keeps_moisture_out",),
        asks=("component.sensitive_to", "material.trigger"),
        check=check,
        words=words,
        source="common practice, no source",
    )


def air_in_feed(case: Case, side: Side) -> Grades | None:
    """Whether an anaerobic material keeps the air that it needs to stay liquid."""
    if case.material.trigger != "anaerobic":
        return None

    def state(part: Part) -> int:
        assert isinstance(part, Feed)
        return State.FITS if part.air_over_material else State.MARGINAL

    return Grades(case.frame.codes(side.slot("feed"), state))


def _air_words(_case: Case, side: Side, build: Build) -> Words:
    feed = build[side.slot("feed")]
    assert isinstance(feed, Feed)
    verb = "keeps air" if feed.air_over_material else "keeps no air"
    return Words(
        demand="stays liquid with air",
        limit=verb,
        reason=f"an anaerobic material stays liquid with air; feed {feed.name} {verb} over it",
        basis=Basis.COMMON_PRACTICE,
    )


RULES: tuple[Rule, ...] = (
    *(_trigger_rule(slot) for slot in WETTED_SLOTS),
    *(_moisture_rule(slot) for slot in MOISTURE_SLOTS),
    Rule(
        name="air over an anaerobic material",
        family="chemistry",
        parts=("feed.air_over_material",),
        asks=("material.trigger",),
        check=air_in_feed,
        words=_air_words,
        source="common practice, no source; a trade magazine's answers on adhesives (excerpt)",
    ),
)
