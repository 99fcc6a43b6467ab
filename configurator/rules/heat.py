"""Heat: the process temperatures against what stator and seal stand."""

from __future__ import annotations

from configurator.catalog.parts import Part, Seal, Stator
from configurator.rules.case import Case
from configurator.rules.comparison import Grades
from configurator.rules.drive import temperature_state, temperature_words
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side


def _temperature_rule(slot: str, title: str) -> Rule:
    def range_of(part: Part) -> tuple[float, float]:
        assert isinstance(part, Stator | Seal)
        return part.temperature_low.nominal, part.temperature_high.nominal

    def check(case: Case, side: Side) -> Grades:
        asked = case.duty.temperature
        return Grades(
            case.frame.codes(
                side.slot(slot), lambda part: temperature_state(asked, *range_of(part))
            )
        )

    def words(case: Case, side: Side, build: Build) -> Words:
        part = build[side.slot(slot)]
        return temperature_words(case.duty.temperature, part, *range_of(part), title)

    return Rule(
        name=f"temperature of the {title}",
        family="chemistry",
        parts=(f"{slot}.temperature_low", f"{slot}.temperature_high"),
        asks=("process.temperature",),
        check=check,
        words=words,
        source="rating from the catalog",
    )


RULES: tuple[Rule, ...] = (
    _temperature_rule("stator", "stator"),
    _temperature_rule("seal", "shaft seal"),
)
