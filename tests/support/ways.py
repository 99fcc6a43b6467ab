"""What a rule is tried with: changes to the small world under which it holds, fails and so on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from configurator.rules.finding import State

Changes = Mapping[str, Any]

CAUTION = 0.1
"""Caution margin of the small world's practice."""

BY_NAME = "names match or they do not"
REQUIRED = "required of the part, so that a catalog without it is refused"

SPREAD: Changes = {
    "component.flow.activation_energy": None,
    "process.temperature": "0..40 degC",
}
"""Nobody says how the liquid thins with warmth: 10 to 70 kJ/mol is then estimated, and between
0 and 40 degC the viscosity lies anywhere from 0.16 to 8.2 times the stated one."""

STATED_SPREAD: Changes = {
    "component.flow.activation_energy": "10..70 kJ/mol",
    "process.temperature": "0..40 degC",
}
"""The same spread, stated."""

NO_DENSITY: Changes = {"component.density": None}
"""No density, and no known class of constituents to estimate one from: slip is unknown."""

NO_HARDNESS: Changes = {"component.filler": {"name": "mystery", "d99": "100 um", "shape": "sphere"}}
"""A filler of which nobody says how hard it is; its name tells nothing either."""

FILLED: Changes = {
    "component.filler": {
        "name": "mystery",
        "d99": "100 um",
        "mohs": "3 Mohs",
        "shape": "sphere",
        "volume_fraction": "10 %",
    }
}


@dataclass(frozen=True)
class Limit:
    """A world exactly at a limit, or a hair on either side, and what the rule says there."""

    changes: Changes
    state: State


@dataclass(frozen=True)
class Ways:
    """The four tests of one rule.

    Attributes
    ----------
    rule : str
        Its name.
    setting : mapping
        What the small world needs so that the rule is asked.
    holds, fails : mapping
        Further changes.
    unknown : mapping or str
        Further changes that leave out what the rule needs, or why nothing can be left out.
    limits : tuple of Limit, or str
        Worlds at the limit, or why there is none.
    demand : float, optional
        By hand, in the world where the rule holds. [unit of the rule]
    accuracy : float
        How well the hand formula holds, as a share.
    failed : State
        What failing means: a rule about wear never rules out.
    held : State or None
        What holding means; None for a rule that is then not asked at all.
    absent_means : mapping
        For rules with nothing to leave out: fields that may be absent, and what that says.
    """

    rule: str
    holds: Changes
    fails: Changes
    unknown: Changes | str
    limits: tuple[Limit, ...] | str
    setting: Changes = field(default_factory=dict)
    demand: float | None = None
    accuracy: float = 1e-9
    failed: State = State.RULED_OUT
    held: State | None = State.FITS
    absent_means: Mapping[str, str] = field(default_factory=dict)


def spelled(value: float, unit: str) -> str:
    """A number in full, so that a limit can be typed exactly."""
    return f"{value!r} {unit}".strip()


def ceiling(
    rule: str,
    field_: str | Callable[[str], Changes],
    unit: str,
    demand: float,
    *,
    unknown: Changes | str,
    setting: Changes | None = None,
    caution: float | None = CAUTION,
    scale: float = 1.0,
    failed: State = State.RULED_OUT,
    absent_means: Mapping[str, str] | None = None,
) -> Ways:
    """Ways of a rule whose demand, known by hand, must stay below a stated figure.

    Parameters
    ----------
    rule : str
        Its name.
    field_ : str or callable
        The stated figure, or changes from its text.
    unit : str
        To type the figure in.
    demand : float
        By hand. [unit of the rule]
    unknown : mapping or str
        As in `Ways`.
    caution : float or None
        Share that must be left; None for rules without a caution margin.
    scale : float
        The figure typed over the limit it stands for.
    """

    def at(limit: float) -> Changes:
        text = spelled(limit * scale, unit)
        return {field_: text} if isinstance(field_, str) else field_(text)

    if caution is None:
        limits = [Limit(at(demand), State.FITS)]
    else:
        limits = [
            Limit(at(demand), State.MARGINAL),
            Limit(at(demand / (1.0 - caution)), State.FITS),
            Limit(at(demand / (1.0 - caution) * (1.0 - 1e-6)), State.MARGINAL),
        ]
    limits.append(Limit(at(demand * (1.0 - 1e-6)), failed))
    return Ways(
        rule=rule,
        setting=setting or {},
        holds=at(2.0 * demand),
        fails=at(0.9 * demand),
        unknown=unknown if isinstance(unknown, str) else {**at(2.0 * demand), **unknown},
        limits=tuple(limits),
        demand=demand,
        failed=failed,
        absent_means=absent_means or {},
    )
