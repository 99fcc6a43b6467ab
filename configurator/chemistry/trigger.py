"""What starts the cure too early, or keeps it from starting: part against cure trigger."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

from configurator.catalog.catalog import Substances
from configurator.catalog.substances import Confidence
from configurator.chemistry.lookup import ContactGrade, confidence_rank, grade_rank
from configurator.chemistry.reaction import tags_in
from configurator.chemistry.share import MassFraction, counts
from configurator.units.interval import Basis

CureTrigger = Literal[
    "two-part",
    "moisture",
    "anaerobic",
    "light",
    "surface moisture",
    "heat",
    "none",
    "platinum",
    "peroxide",
]
"""The triggers that a material states, and two that its constituents imply."""

CONSTITUENT_TRIGGERS: dict[str, CureTrigger] = {
    "anaerobic monomer": "anaerobic",
    "cyanoacrylate": "surface moisture",
    "isocyanate": "moisture",
    "moisture cure": "moisture",
    "platinum catalyst": "platinum",
    "peroxide": "peroxide",
    "photoinitiator": "light",
}
"""Tags of constituents that bring a trigger with them."""


@dataclass(frozen=True, slots=True)
class TriggerRule:
    """A wetted material that sets off or spoils a cure."""

    name: str
    trigger: CureTrigger
    material: frozenset[str]
    """Any of these tags on the wetted material brings the rule in; empty for any material."""
    grade: ContactGrade
    """What the contact is at best."""
    reason: str
    """Why, as half a sentence."""
    basis: Basis = Basis.FROM_MEMORY
    source: str = "common practice of adhesive users"
    confidence: Confidence = "medium"
    wall: bool = False
    """True if it is about what passes a wall: a part that is stated to keep moisture out answers
    for its own."""


@dataclass(frozen=True, slots=True)
class TriggerVerdict:
    """How a wetted material stands a cure trigger."""

    trigger: CureTrigger
    material: str
    """What was judged."""
    grade: ContactGrade
    """The worst of the rules that apply."""
    rule: str
    """The rule that decides; empty if none applies."""
    basis: Basis
    confidence: Confidence
    reason: str


def _rule(
    name: str, trigger: CureTrigger, material: str, grade: ContactGrade, reason: str, **rest: Any
) -> TriggerRule:
    return TriggerRule(name, trigger, tags_in(material), grade, reason, **rest)


_TRADE_PAGE = "a trade magazine's answers on adhesives (excerpt)"
_CURE_PAGE = "a public teaching page on silicone cure"

TRIGGER_RULES: tuple[TriggerRule, ...] = (
    _rule(
        "anaerobic with active metal",
        "anaerobic",
        "copper, active metal",
        "not satisfactory",
        "copper and iron ions start the cure where no oxygen gets in",
        basis=Basis.PUBLISHED,
        source=_TRADE_PAGE,
        confidence="high",
    ),
    _rule(
        "anaerobic with passive metal",
        "anaerobic",
        "iron, passive metal, aluminium, cobalt binder, chromium, titanium",
        "limited",
        "a scratched or stagnant metal gap without oxygen cures it: short dwell, no dead spots",
        basis=Basis.PUBLISHED,
        source=_TRADE_PAGE,
    ),
    _rule(
        "cyanoacrylate with basic or moist surface",
        "surface moisture",
        "polyamide, basic surface",
        "not satisfactory",
        "basic or moist surfaces start the cure on contact",
    ),
    _rule(
        "cyanoacrylate with metal",
        "surface moisture",
        "iron, copper, active metal, passive metal, aluminium, chromium, cobalt binder, titanium",
        "limited",
        "a film of moisture on metal starts the cure: keep it dry and never let it stand",
    ),
    _rule(
        "moisture cure with silicone rubber",
        "moisture",
        "silicone",
        "not satisfactory",
        "water vapour passes the wall and skins form inside",
        basis=Basis.PUBLISHED,
        source=_TRADE_PAGE,
    ),
    _rule(
        "moisture cure with permeable polymer",
        "moisture",
        "permeable",
        "limited",
        "a little water vapour passes the wall in days: change a thin part each shift",
        wall=True,
    ),
    _rule(
        "moisture cure with polyamide",
        "moisture",
        "polyamide",
        "limited",
        "polyamide holds water and gives it off: dry the part first",
    ),
    _rule(
        "surface moisture cure with permeable polymer",
        "surface moisture",
        "silicone",
        "not satisfactory",
        "water vapour passes silicone rubber and starts the cure",
    ),
    _rule(
        "platinum cure with sulphur-cured rubber",
        "platinum",
        "sulphur-cured",
        "not satisfactory",
        "sulphur from the rubber poisons platinum for good",
        basis=Basis.PUBLISHED,
        source=_CURE_PAGE,
        confidence="high",
    ),
    _rule(
        "platinum cure with nitrile rubber",
        "platinum",
        "nitrile",
        "limited",
        "nitrile rubber is said to poison platinum: ask for the compound and try the cure",
    ),
    _rule(
        "platinum cure with rubber of unstated cure",
        "platinum",
        "cure unstated",
        "limited",
        "a sulphur-cured grade of this rubber poisons platinum: ask for a peroxide-cured one",
    ),
    _rule(
        "peroxide with iron, copper or cobalt",
        "peroxide",
        "copper, active metal, cobalt binder",
        "not satisfactory",
        "metal ions split peroxides",
        confidence="high",
    ),
    _rule(
        "peroxide with passive steel",
        "peroxide",
        "iron",
        "limited",
        "iron from a scratched surface splits peroxides: keep it passivated and cool",
    ),
)
"""What the tags of a wetted material do to a cure; light is judged by the part, not its code."""


def implied_triggers(
    stated: CureTrigger, constituents: Iterable[MassFraction], substances: Substances
) -> tuple[CureTrigger, ...]:
    """Return the triggers of a material: the stated one, then what its constituents imply.

    Constituents below the share from which they count imply nothing.
    """
    triggers: dict[CureTrigger, None] = {stated: None}
    for share in constituents:
        constituent = substances.find(share.name, share.numbers)
        if constituent is not None and counts(share, constituent):
            for tag in constituent.tags:
                if tag in CONSTITUENT_TRIGGERS:
                    triggers[CONSTITUENT_TRIGGERS[tag]] = None
    return tuple(triggers)


def judge_trigger(
    trigger: CureTrigger,
    material_code: str,
    *,
    substances: Substances,
    passes_light: bool | None = None,
    keeps_moisture_out: bool = False,
) -> TriggerVerdict:
    """Judge what a wetted material does to a cure.

    Satisfactory where no rule speaks against it, which is common practice and no proof. Where
    it is not said whether a part passes light, what its material does stands in.
    """
    material = substances.wetted.get(material_code)
    if material is None:
        reason = f"{material_code} is not in the tables, so {trigger} cure on it is unknown"
        return TriggerVerdict(trigger, material_code, "unknown", "", Basis.ESTIMATED, "low", reason)
    if trigger == "light":
        return _light(
            material_code,
            thin_wall_passes="passes light" in material.tags,
            passes_light=passes_light,
        )
    tags = frozenset(material.tags)
    hits = [
        rule
        for rule in TRIGGER_RULES
        if rule.trigger == trigger
        and not rule.material.isdisjoint(tags)
        and not (rule.wall and keeps_moisture_out)
    ]
    if not hits:
        reason = f"no rule speaks against {trigger} cure on {material_code}"
        return TriggerVerdict(
            trigger, material_code, "satisfactory", "", Basis.COMMON_PRACTICE, "medium", reason
        )
    worst = max(hits, key=lambda rule: (grade_rank(rule.grade), -confidence_rank(rule.confidence)))
    reason = (
        f"{material_code} ({material.title}) is {worst.grade} by rule '{worst.name}': "
        f"{worst.reason}, basis {worst.basis.value}, confidence {worst.confidence}"
    )
    return TriggerVerdict(
        trigger, material_code, worst.grade, worst.name, worst.basis, worst.confidence, reason
    )


def _light(code: str, *, thin_wall_passes: bool, passes_light: bool | None) -> TriggerVerdict:
    name = "light through a clear part"
    if passes_light is None and thin_wall_passes:
        grade: ContactGrade = "limited"
        reason = f"a thin wall of {code} lets light through: ask for an opaque grade"
    elif passes_light:
        grade = "not satisfactory"
        reason = f"the part of {code} lets light through, which cures the material inside"
    else:
        reason = f"no light passes the part of {code}"
        return TriggerVerdict(
            "light", code, "satisfactory", "", Basis.COMMON_PRACTICE, "medium", reason
        )
    said = f"{reason}, basis {Basis.COMMON_PRACTICE.value}, confidence high"
    return TriggerVerdict("light", code, grade, name, Basis.COMMON_PRACTICE, "high", said)
