"""Heat: the process temperatures against what stator and seal stand."""

from __future__ import annotations

import numpy as np

from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison
from configurator.rules.drive import temperature_rule
from configurator.rules.finding import State
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.kinds import TEMPERATURE_DIFFERENCE

FITTED_AT = 296.15
"""Temperature at which rotor and stator are matched, 23 degC (common practice, no source). [K]"""


def warm_fit(case: Case, side: Side) -> Comparison:
    """Warming above the fitting temperature: an elastomer grows into the rotor.

    It does not stop a head, but another fit has to be ordered and proven.
    """
    rise = Bound.rising(case.duty.temperature, "warmest").each(lambda end: end - FITTED_AT)
    allowed = case.practice.temperature_rise_refit.nominal
    limit = Bound.exact(np.where(side.rotation.seals.rigid, np.inf, allowed))
    return Comparison(rise, limit, TEMPERATURE_DIFFERENCE, cap=State.MARGINAL)


RULES: tuple[Rule, ...] = (
    temperature_rule("stator", "stator", "chemistry"),
    temperature_rule("seal", "shaft seal", "chemistry"),
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
