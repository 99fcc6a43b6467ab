"""Metering: a shot against one turn of the rotor, and everything that moves the volume."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from configurator.rules.case import Case
from configurator.rules.comparison import Bound, Comparison
from configurator.rules.error_budget import READS, ErrorSum, error_parts, rounded
from configurator.rules.finding import State
from configurator.rules.rule import Rule
from configurator.rules.side import Side
from configurator.units.interval import ENDS
from configurator.units.kinds import NUMBER


def shot_turns(case: Case, side: Side) -> Comparison | None:
    """Turns of the rotor in one shot: less than a part of a turn shows the rotor's angle."""
    shot = case.duty.shot
    if shot is None:
        return None
    practice = case.practice
    tight = case.duty.tolerance <= practice.tight_tolerance.nominal * (1 + 1e-9)
    needed = np.where(tight, practice.shot_turns_tight.nominal, practice.shot_turns.nominal)
    least, usual, most = (side.column("cavity", "displacement", end) for end in ENDS)
    demand = Bound(
        kind=shot.high * side.share.high / least,
        nominal=shot.nominal * side.share.nominal / usual,
        hard=shot.low * side.share.low / most,
        corner="smallest shot",
    )
    return Comparison(demand, Bound.exact(needed), NUMBER, at_least=True)


def volume_error_weighed(case: Case, side: Side) -> Comparison:
    """What is left of the volume error once the head is set on the scale, against the tolerance."""
    return _against_tolerance(case, side, weighed=True)


def volume_error_before(case: Case, side: Side) -> Comparison:
    """The same of a head that nobody has weighed: to weigh it is all that it may come to."""
    return replace(_against_tolerance(case, side, weighed=False), cap=State.MARGINAL)


def _against_tolerance(case: Case, side: Side, *, weighed: bool) -> Comparison:
    parts = error_parts(case, side)
    found = ErrorSum.of(parts, weighed=weighed).against(case.duty.tolerance, case)
    if case.frame.is_grid:
        return found
    made_of = {
        name: rounded(part.weighed.hard if weighed else part.before, case)
        for name, part in parts.items()
    }
    return replace(found, made_of=made_of)


ERROR_PARTS = tuple(dict.fromkeys(path for reads in READS.values() for path in reads.parts))
ERROR_ASKS = tuple(dict.fromkeys(path for reads in READS.values() for path in reads.asks))
ERROR_PRACTICE = tuple(dict.fromkeys(name for reads in READS.values() for name in reads.practice))

RULES: tuple[Rule, ...] = (
    Rule(
        name="shot in rotor turns",
        family="metering",
        parts=("cavity.displacement",),
        asks=("process.deposit", "process.tolerance"),
        practice=("shot_turns", "shot_turns_tight", "tight_tolerance"),
        check=shot_turns,
        sentence="the smallest shot is {demand} turns of {cavity}; "
        "this tolerance needs {limit} turns",
        source="least share of a turn, shop practice",
    ),
    Rule(
        name="volume error",
        family="metering",
        parts=ERROR_PARTS,
        asks=(*ERROR_ASKS, "process.tolerance"),
        practice=(*ERROR_PRACTICE, "error_left_out"),
        check=volume_error_weighed,
        sentence="once it is set on the scale, {cavity} with stator {stator}, tip {outlet} and "
        "drive {drive} is off by up to {demand}, most of it {leading}; the tolerance is {limit}",
        source="parts that keep their sign added, random ones in quadrature, as in JCGM 100; "
        "figures of shop practice",
    ),
    Rule(
        name="volume error before weighing",
        family="metering",
        parts=ERROR_PARTS,
        asks=(*ERROR_ASKS, "process.tolerance"),
        practice=(*ERROR_PRACTICE, "error_left_out"),
        check=volume_error_before,
        sentence="before it is weighed, {cavity} with stator {stator}, tip {outlet} and drive "
        "{drive} is off by up to {demand}, most of it {leading}; where that passes the tolerance "
        "of {limit}, it has to be set on the scale first",
        source="as the volume error, with a displacement that nobody has weighed",
    ),
)
