"""Heat: the process temperatures against what stator and seal stand."""

from __future__ import annotations

from configurator.rules.drive import temperature_rule
from configurator.rules.rule import Rule

RULES: tuple[Rule, ...] = (
    temperature_rule("stator", "stator", "chemistry"),
    temperature_rule("seal", "shaft seal", "chemistry"),
)
