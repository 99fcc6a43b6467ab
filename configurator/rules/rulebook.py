"""Every rule, family by family."""

from __future__ import annotations

from configurator.rules import (
    ageing,
    at_rest,
    carrier,
    chemistry,
    cure_trigger,
    drive,
    filler,
    filling,
    fit,
    heat,
    metering,
    mixing,
    outlet,
    pressure,
    restart,
    sensor,
    speed,
    supply,
    swelling_fit,
    tip_at_rest,
)
from configurator.rules.rule import Rule

RULEBOOK: tuple[Rule, ...] = (
    *fit.RULES,
    *chemistry.RULES,
    *swelling_fit.RULES,
    *cure_trigger.RULES,
    *heat.RULES,
    *filler.RULES,
    *mixing.RULES,
    *ageing.RULES,
    *outlet.RULES,
    *at_rest.RULES,
    *tip_at_rest.RULES,
    *sensor.RULES,
    *drive.RULES,
    *pressure.RULES,
    *restart.RULES,
    *speed.RULES,
    *metering.RULES,
    *filling.RULES,
    *supply.RULES,
    *carrier.RULES,
)
"""All rules; a finding's order in an answer is this order."""


def rule_named(name: str) -> Rule | None:
    """The rule with this name in plain words, or None."""
    return next((rule for rule in RULEBOOK if rule.name == name), None)
