"""Trade-offs against a brute-force search for builds that nothing beats."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from shipped import shipped_answer

from configurator.errors import UsageError
from configurator.workshop.answer import Answer
from configurator.workshop.figures import figure_named
from configurator.workshop.told import RankedBuild

PICKS = {
    "body": "316l",
    "rotor": "alumina-l",
    "seal": "packed-barrier",
    "feed": "pail-20-fkm",
    "stator": "ffkm-l",
}


@pytest.fixture(scope="module")
def answer() -> Answer:
    return shipped_answer("lid-sealant", "lid-bead", **PICKS)


@pytest.fixture(scope="module")
def every(answer: Answer) -> tuple[RankedBuild, ...]:
    return answer.builds(limit=answer.count)


@pytest.mark.parametrize(
    "names",
    [
        ("cost_index", "volume_error_pct"),
        ("head_mass_kg", "back_pressure_bar"),
        ("cost_index", "speed_high_rpm", "torque_nm"),
    ],
)
def test_the_front_is_what_no_listed_build_beats(
    answer: Answer, every: tuple[RankedBuild, ...], names: tuple[str, ...]
) -> None:
    figures = [figure_named(name) for name in names]
    values = np.array([[build.figures[name] for name in names] for build in every])
    beaten = [
        bool(((values <= row) & (values < row).any(axis=1, keepdims=True)).all(axis=1).any())
        for row in values
    ]
    unbeaten = {tuple(row) for row, out in zip(values.tolist(), beaten, strict=True) if not out}

    front = answer.front(figures)

    found = [tuple(build.figures[name] for name in names) for build in front]
    assert set(found) == unbeaten
    assert len(found) == len(set(found))


def test_a_front_of_builds_that_fit_only_is_empty_where_none_fits(answer: Answer) -> None:
    figures = [figure_named("cost_index"), figure_named("volume_error_pct")]

    strict = answer.with_question(replace(answer.question, strict=True))
    assert strict.front(figures) == ()


@pytest.mark.parametrize("names", [("cost_index",), ("cost_index", "cost_index"), ()])
def test_a_trade_off_takes_two_to_four_different_figures(
    answer: Answer, names: tuple[str, ...]
) -> None:
    with pytest.raises(UsageError, match="2 to 4 different figures"):
        answer.front([figure_named(name) for name in names])


def test_every_pair_of_sortable_figures_has_a_front(answer: Answer) -> None:
    names = ["cost_index", "torque_nm", "back_pressure_bar", "head_mass_kg"]
    for first, second in product(names, names):
        if first != second:
            assert answer.front([figure_named(first), figure_named(second)])


def test_between_no_builds_there_is_no_trade_off():
    answer = shipped_answer("grip-mortar", "grip-dots")
    figures = [figure_named(name) for name in ("cost_index", "head_mass_kg")]

    assert answer.count == 0
    assert answer.front(figures) == ()
