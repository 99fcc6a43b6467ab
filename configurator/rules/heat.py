"""Heat: the process temperatures against what stator and seal stand."""

from __future__ import annotations

import numpy as np

from configurator.catalog.parts import Part, Seal, Stator
from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison, Grades
from configurator.rules.drive import temperature_state, temperature_words
from configurator.rules.finding import State
from configurator.rules.rule import Build, Rule, Words
from configurator.rules.side import Side
from configurator.units.kinds import TEMPERATURE_DIFFERENCE


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


FITTED_AT = 296.15
"""Temperature at which rotor and stator are matched, 23 degC (common practice, no source). [K]"""


def warm_fit(case: Case, side: Side) -> Comparison:
    """Warming above the fitting temperature: an elastomer grows into the rotor.

    It does not stop a head, but another fit has to be ordered and proven.
    """
    warmest = case.duty.temperature
    rise = Bound(
        kind=np.asarray(warmest.low - FITTED_AT),
        nominal=np.asarray(warmest.nominal - FITTED_AT),
        hard=np.asarray(warmest.high - FITTED_AT),
        corner="warmest",
    )
    allowed = case.practice.temperature_rise_refit.nominal
    limit = Bound.exact(np.where(side.rotation.seals.rigid, np.inf, allowed))
    return Comparison(rise, limit, TEMPERATURE_DIFFERENCE, cap=State.MARGINAL)


RULES: tuple[Rule, ...] = (
    _temperature_rule("stator", "stator"),
    _temperature_rule("seal", "shaft seal"),
    Rule(
        name="fit of a warm stator",
        family="chemistry",
        parts=("stator.kind",),
        asks=("process.temperature",),
        practice=("temperature_rise_refit",),
        check=warm_fit,
        sentence="the process is up to {demand} warmer than the fit of stator {stator}; beyond "
        "{limit} it needs another",
        source="an elastomer expands about ten times as much as steel; shop practice",
    ),
)
