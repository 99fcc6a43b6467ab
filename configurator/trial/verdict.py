"""Accept, extend by a number of shots, or reject; by the rule that the plan fixed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from configurator.trial.named import Named
from configurator.trial.plan import TrialPlan
from configurator.trial.sample_size import two_sided_factor
from configurator.trial.shots import Level

ACCEPT, EXTEND, REJECT = "accept", "extend", "reject"


@dataclass(frozen=True, slots=True)
class TrialVerdict:
    """What the trial says."""

    word: str
    """accept, extend or reject."""
    further: int
    """Shots a flow to weigh before the next look; 0 unless `word` is extend for want of shots."""
    reasons: tuple[str, ...]
    """Sentences with numbers."""


def verdict_of(
    plan: TrialPlan,
    levels: Sequence[Level],
    named: Sequence[Named],
    missing: Sequence[int],
    *,
    look: int,
) -> TrialVerdict:
    """Apply the stop rule.

    Parameters
    ----------
    plan : TrialPlan
        Of the first look.
    levels : sequence of Level
        One a flow.
    named : sequence of Named
        What shows in the weighings.
    missing : sequence of int
        Planned runs without a mass.
    look : int
        How often the data have been looked at, this time included.
    """
    systematic = sum(each.effect for each in named if each.adds)
    decisive = [each for each in named if each.decides]
    limit = plan.tolerance
    reasons = [_interval_in_words(level, systematic, limit) for level in levels]
    if decisive:
        return TrialVerdict(
            REJECT, 0, (*(f"{each.topic}: {each.says}" for each in decisive), *reasons)
        )
    if missing or not levels:
        listed = ", ".join(map(str, missing[:12])) + (" ..." if len(missing) > 12 else "")  # noqa: PLR2004
        runs = "1 planned run has" if len(missing) == 1 else f"{len(missing)} planned runs have"
        text = f"{runs} no mass: {listed}" if missing else "no shots"
        return TrialVerdict(EXTEND, 0, (text, *reasons))
    if all(level.farthest + systematic <= limit for level in levels):
        return TrialVerdict(ACCEPT, 0, tuple(reasons))
    needed = [_needed(level, systematic, plan) for level in levels]
    known = [count for count in needed if count is not None]
    if len(known) < len(needed):
        text = (
            f"no number of shots up to {plan.most_shots} a flow would do with the spread, the mean "
            "and the drifts as seen"
        )
        return TrialVerdict(REJECT, 0, (text, *reasons))
    if look >= plan.looks:
        text = f"this was look {look} of {plan.looks}: no further one was planned"
        return TrialVerdict(REJECT, 0, (text, *reasons))
    further = max(count - level.count for count, level in zip(known, levels, strict=True))
    text = f"{further} further shots a flow would do if they spread as these"
    return TrialVerdict(EXTEND, max(further, 1), (text, *reasons))


def _needed(level: Level, systematic: float, plan: TrialPlan) -> int | None:
    """Shots in all that this flow would take with the spread and mean as seen."""
    room = plan.tolerance - systematic - abs(level.mean)
    if room <= 0.0:
        return None
    low, high = level.count - 1, plan.most_shots

    def enough(count: int) -> bool:
        factor = two_sided_factor(count, plan.reliability, plan.look_confidence)
        return factor * level.deviation <= room

    if high < level.count or not enough(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if enough(middle):
            high = middle
        else:
            low = middle
    return high


def _interval_in_words(level: Level, systematic: float, limit: float) -> str:
    widened = f", {systematic * 100:.3g} % more by drifts" if systematic else ""
    total = level.farthest + systematic
    state = "within" if total <= limit else "outside"
    return (
        f"{level.level} flow: {level.low * 100:+.3g} to {level.high * 100:+.3g} %{widened}: {state} "
        f"+/- {limit * 100:.3g} %"
    )
