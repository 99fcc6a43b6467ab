"""A claim over a stated range is a claim about every point of it: thousands of points inside.

Pressure, torque, speed, volume error and quality of the mix of builds at points without any range
never lie beyond the hard end that was told for the range. Points are drawn here, and worked out
by the same formulas: what is held is which ends were taken, not the formulas.

Each run of the tests tries 80 requests of each kind with 25 materials inside; `HEADWRIGHT_ALL_DRAWS=1`
tries 1 000 of each kind, which is what the claim rests on.
"""

from __future__ import annotations

import numpy as np
import pytest
from draws import draws
from points_inside import Point, parts_inside, point_of
from ranged_requests import Draw, request_of

from configurator.chemistry.evidence import Evidence
from configurator.rules.applied import apply_rules
from configurator.rules.batched import batched
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.answering import parts_of, subject_of

HELD = {
    "pressure in the body",
    "pressure on each stage",
    "running torque",
    "rotor speed against the drive",
    "slowest smooth speed",
    "volume error",
    "shot in rotor turns",
    "mixed well enough",
    "laminar flow in the tip",
}
RULES = tuple(rule for rule in RULEBOOK if rule.name in HELD)
CATALOGS, REQUESTS = draws(10, 50), draws(8, 20)
PROCESSES, MATERIALS, BUILDS = 1, 25, 2
BEYOND = 1e-3
"""By which a point may pass the hard end, relative."""


def outcomes(subject, frame):
    """Demand and limit of each rule at the hard end, as if each were a demand under a ceiling."""
    found = {}
    for applied in apply_rules(Case(subject, frame), RULES):
        if isinstance(applied.outcome, Comparison):
            sign = -1.0 if applied.outcome.at_least else 1.0
            found[applied.title] = (
                sign * applied.outcome.demand.hard,
                sign * applied.outcome.limit.hard,
            )
    return found


def beyond(point, told):
    """How far points lie beyond what was told, relative; unknown is no claim."""
    point = np.broadcast_to(point, BUILDS * MATERIALS).reshape(BUILDS, MATERIALS)
    told = np.broadcast_to(told, BUILDS)[:, np.newaxis]
    over = (point - told) / np.maximum(np.abs(told), 1e-12)
    return float(np.nan_to_num(over, nan=0.0, neginf=0.0).max(initial=0.0))


def farthest(two_part):
    """How many claims were held against points, and which of them points passed how far."""
    random = np.random.default_rng(20261129)
    draw, far, checked = Draw(random), {}, 0
    for _ in range(CATALOGS):
        world = draw.parts(two_part=two_part)
        for _ in range(REQUESTS):
            asked = request_of(world, draw, two_part=two_part)
            subject = subject_of(asked.question, world.catalog, Evidence())
            parts = parts_of(asked.question, world.catalog)
            rows = random.integers(
                [len(each) for each in parts.values()], size=(BUILDS, len(parts))
            )
            with np.errstate(all="ignore"):
                told = outcomes(subject, Frame(parts, rows))
                for _ in range(PROCESSES):
                    point = Point(random)
                    process = point.inside(subject.question.process)
                    subjects = [point_of(subject, process, Point(random)) for _ in range(MATERIALS)]
                    # Each build stands in a row of its own for each of the materials.
                    frame = Frame(parts_inside(parts, point), rows.repeat(MATERIALS, axis=0))
                    points = outcomes(batched(subjects * BUILDS, 0), frame)
                    for title, (demand, limit) in points.items():
                        checked += np.size(demand)
                        over = max(beyond(demand, told[title][0]), beyond(-limit, -told[title][1]))
                        if over > far.get(title, (BEYOND,))[0]:
                            far[title] = over, asked
    return checked, far


@pytest.mark.parametrize("two_part", [False, True], ids=["one-part", "two-part"])
def test_no_point_inside_the_ranges_lies_beyond_the_hard_end(two_part):
    checked, far = farthest(two_part)

    assert checked > CATALOGS * REQUESTS * PROCESSES * MATERIALS * BUILDS * 5
    assert not far, {title: (over, repr(world)) for title, (over, world) in far.items()}
