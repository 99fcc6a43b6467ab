"""Plans of shipped examples, made once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest
from shipped import cheapest_first, shipped_catalog

from configurator.catalog.catalog import Catalog
from configurator.trial.head import Head, head_of
from configurator.trial.plan import TrialPlan
from configurator.trial.planning import TrialAims, plan_trial
from configurator.workshop.answer import Answer
from configurator.workshop.told import RankedBuild

PAIRS = {
    "lid-sealant": "lid-bead",
    "bay-potting": "bay-potting-pour",
    "bearing-oil": "pulley-drops",
    "hull-paste": "hull-seam",
}

LINED = {"bearing-oil": {"stator": "nbr-s"}, "lid-sealant": {"feed": "pail-20-epdm"}}
"""A stator with a lining, which opens under pressure as no rigid one does; a pail, behind which the
cheapest head slips enough."""

Built = tuple[Answer, RankedBuild, Head]


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    return shipped_catalog()


@pytest.fixture(scope="session")
def built() -> Callable[[str], Built]:
    """Answer, first build and head for a shipped material."""

    @cache
    def found(material: str) -> Built:
        answer = cheapest_first(material, PAIRS[material], **LINED.get(material, {}))
        build = answer.builds(limit=1)[0]
        return answer, build, head_of(answer.subject, build.parts)

    return found


@pytest.fixture(scope="session")
def planned(built: Callable[[str], Built]) -> Callable[..., TrialPlan]:
    """The plan for a shipped material: `planned("lid-sealant", TrialAims(looks=1))`."""

    @cache
    def plan(
        material: str, wanted: TrialAims | None = None, look: int = 1, further: int | None = None
    ) -> TrialPlan:
        _, build, head = built(material)
        return plan_trial(head, wanted or TrialAims(), build.findings, look=look, further=further)[
            0
        ]

    return plan
