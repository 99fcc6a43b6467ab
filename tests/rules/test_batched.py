"""Requests judged as one against each by itself: every rule with numbers, any material."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from random_materials import materials

from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.errors import HeadwrightError
from configurator.physics.domain import PhysicsDomainError
from configurator.request.load import load_material, load_process, material_from
from configurator.request.material import Material
from configurator.request.process import Process
from configurator.request.question import Question
from configurator.rules.applied import judgements
from configurator.rules.batched import batch_key, batched
from configurator.rules.case import Case
from configurator.rules.comparison import Comparison
from configurator.rules.finding import LISTED, State
from configurator.rules.frame import Frame
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.ruleset import PROBLEMS
from configurator.rules.subject import Subject
from configurator.rules.total import Total
from configurator.workshop.answering import parts_of, subject_of

PROCESSES = ("lid-bead", "cap-dots", "bay-potting-pour")
NUMBERS = [rule for rule in RULEBOOK if rule.words is None]
"""Rules in words are asked of each material by itself."""


@cache
def catalog() -> Catalog:
    shipped = shipped_folder()
    return load_catalog(shipped / "generic", substances=shipped / "substances")


@cache
def process(name: str) -> Process:
    return load_process(name, folder=shipped_folder() / "examples")


def frame_of(subject: Subject, draw: np.random.Generator) -> Frame:
    """A grid over a few parts of each slot."""
    parts = parts_of(subject.question, catalog())
    return Frame(
        {
            slot: tuple(
                entries[place]
                for place in sorted(draw.choice(len(entries), min(3, len(entries)), replace=False))
            )
            for slot, entries in parts.items()
        }
    )


def worked_out(material: Material, name: str) -> Subject | None:
    try:
        return subject_of(Question(material, process(name)), catalog(), None)
    except (HeadwrightError, PhysicsDomainError):
        return None


def refused(subject: Subject, frame: Frame) -> bool:
    """Whether some figure is beyond the reach of the formulas: such a material is asked alone."""
    case = Case(subject, frame)
    try:
        for rule, side in judgements(case, NUMBERS):
            rule.check(case, side)
    except PhysicsDomainError:
        return True
    return False


def sides_of(outcome: Comparison, ndim: int) -> list[np.ndarray]:
    """Need and allowance at each level, with all axes."""
    found = [side for level in LISTED for side in outcome.sides(level)]
    return [np.reshape(side, (1,) * (ndim - side.ndim) + side.shape) for side in found]


def check(subjects: list[Subject], frame: Frame) -> None:
    """Hold what rules say of all at once to what they say of each."""
    every = Frame({PROBLEMS: next(iter(frame.parts.values()))[:1], **frame.parts})
    with np.errstate(all="ignore"):  # figures beyond all reason overflow, alone as together
        subjects = [subject for subject in subjects if not refused(subject, frame)]
        if subjects:
            many = every.only({PROBLEMS: np.zeros(len(subjects), dtype=np.intp)})
            _compare(subjects, frame, many)


def _compare(subjects: list[Subject], frame: Frame, many: Frame) -> None:
    whole = Case(batched(subjects, len(frame.slots)), many)
    alone = [Case(subject, frame) for subject in subjects]
    for rule, side in judgements(whole, NUMBERS):
        together = rule.check(whole, side)
        for row, case in enumerate(alone):
            own = next(each for each in case.sides if each.prefix == side.prefix)
            single = rule.check(case, own)
            if isinstance(together, Total) or isinstance(single, Total):
                assert isinstance(together, Total)
                assert isinstance(single, Total)
                assert [each.shape[1:] for each in together.summands] == [
                    each.shape for each in single.summands
                ]
                continue
            if together is None:
                assert single is None
                continue
            assert isinstance(together, Comparison)
            row_of = [each[row if len(each) > 1 else 0] for each in sides_of(together, many.ndim)]
            states = together.states
            states = states.reshape((1,) * (many.ndim - states.ndim) + states.shape)
            states = states[row if len(states) > 1 else 0]
            if single is None:  # nothing is asked, so that nothing speaks against any part
                assert (states == State.FITS).all(), (rule.name, row)
                continue
            assert isinstance(single, Comparison)
            expected = np.broadcast_to(single.states, states.shape)
            np.testing.assert_array_equal(states, expected, err_msg=rule.name)
            for mine, theirs in zip(row_of, sides_of(single, frame.ndim), strict=True):
                np.testing.assert_allclose(
                    *np.broadcast_arrays(mine, theirs), rtol=1e-9, atol=1e-12, err_msg=rule.name
                )


@settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(
    tables=st.lists(materials(), min_size=3, max_size=8),
    name=st.sampled_from(PROCESSES),
    seed=st.integers(0, 1000),
)
def test_random_materials_are_judged_as_one_as_they_are_alone(
    tables: list[dict[str, Any]], name: str, seed: int
) -> None:
    batches: dict[object, list[Subject]] = {}
    for each in tables:
        subject = worked_out(material_from(each, "random"), name)
        if subject is not None:
            batches.setdefault(batch_key(subject), []).append(subject)
    assert len(batches) <= 2
    for subjects in batches.values():
        check(subjects, frame_of(subjects[0], np.random.default_rng(seed)))


@pytest.mark.parametrize("name", PROCESSES)
def test_the_shipped_materials_are_judged_as_one_as_they_are_alone(name: str) -> None:
    examples = shipped_folder() / "examples"
    batches: dict[object, list[Subject]] = {}
    for path in sorted((examples / "materials").glob("*.toml")):
        subject = worked_out(load_material(path.stem, folder=examples), name)
        assert subject is not None
        batches.setdefault(batch_key(subject), []).append(subject)
    assert sorted(len(subjects) for subjects in batches.values()) == [6, 15]
    for subjects in batches.values():
        check(subjects, frame_of(subjects[0], np.random.default_rng(7)))
