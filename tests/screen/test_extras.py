"""Columns on request: what the commands for one material say, in each row, whoever works on it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from screened import StandIn, entry, kept, material, process, setup

from configurator.explain.measure import measurements
from configurator.request.question import Question
from configurator.screen.chunk import Setup
from configurator.screen.extras import Extras
from configurator.screen.result_columns import MEASURED, NAMES, PURPOSES
from configurator.screen.results import heads_of, read_results
from configurator.screen.run import EarlierRows, screen
from configurator.screen.tally import Tally
from configurator.workshop.shortlist import PURPOSES as ASKED
from configurator.workshop.shortlist import shortlist_of

BOTH = Extras(purposes=True, questions=1000)

THIN = "2 Pa*s"
"""Of a material that has builds in every state."""

LISTED = StandIn([entry(1, viscosity=THIN), entry(2, bad=True), entry(3, viscosity="5 Pa*s")])


def asking(extras: Extras, form: str = "csv") -> Setup:
    return replace(setup(form), extras=extras)  # type: ignore[arg-type]


def run(out: Path, asked: Setup, earlier: Path | None = None) -> Tally:
    with kept(out, asked) as store:
        if earlier is None:
            return screen(LISTED, asked, store)
        with EarlierRows(earlier) as known:
            return screen(LISTED, asked, store, earlier=known)


def test_each_purpose_has_a_column():
    names = [f"{purpose.replace(' ', '_')}_build" for purpose in ASKED]
    assert [column.name for column in PURPOSES] == names


@pytest.mark.parametrize("form", ["csv", "jsonl", "parquet"])
def test_a_row_says_what_shortlist_and_measure_say(tmp_path, form):
    out = tmp_path / f"out.{form}"
    run(out, asking(BOTH, form))
    first, unread, _ = read_results(out)
    answer = setup().workshop.answer(Question(material(1, THIN), process()))

    listed = shortlist_of(answer)
    builds = {
        f"{purpose.name.replace(' ', '_')}_build": purpose.build
        for head in listed.heads
        for purpose in head.purposes
    }
    assert builds
    for column in PURPOSES:
        build = builds.get(column.name)
        said = (
            ", ".join(f"{slot}={part.name}" for slot, part in build.parts.items()) if build else ""
        )
        assert (first[column.name] or "") == said
    best = measurements(answer).useful[0]
    assert first["measure_ranked"] == f"{best.field}: {best.test}"
    assert first["measure_settles"] == str(best.settled)
    assert not any(unread[column.name] for column in (*PURPOSES, *MEASURED))


def test_a_row_that_would_cost_more_than_is_stated_is_told_and_not_ranked(tmp_path):
    run(tmp_path / "all.csv", asking(BOTH))
    (whole, *_) = read_results(tmp_path / "all.csv")
    cost = int(whole["measure_questions"])
    run(tmp_path / "less.csv", asking(Extras(questions=cost - 1)))
    (less, *_) = read_results(tmp_path / "less.csv")

    assert not less["measure_ranked"]
    assert less["measure_questions"] == str(cost)
    assert less["measure_first"] == whole["measure_first"]
    assert "least_cost_build" not in less


@pytest.mark.parametrize(
    ("then", "now", "reused"),
    [
        (BOTH, BOTH, 2),
        (BOTH, Extras(purposes=True), 2),
        (Extras(), BOTH, 0),
        (Extras(purposes=True), BOTH, 0),
        (Extras(questions=1), Extras(questions=1000), 0),
        (Extras(questions=1000), Extras(questions=1), 0),
        (BOTH, Extras(), 2),
    ],
)
def test_earlier_rows_are_taken_over_where_they_say_the_same(tmp_path, then, now, reused):
    run(tmp_path / "earlier.csv", asking(then))
    run(tmp_path / "whole.csv", asking(now))
    tally = run(tmp_path / "again.csv", asking(now), tmp_path / "earlier.csv")

    assert tally.reused == reused
    assert (tmp_path / "again.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()


def test_a_column_of_the_list_called_like_one_on_request_is_kept_apart():
    assert heads_of(["lightest_build"], ["lightest_build"]) == (
        "list_lightest_build",
        *NAMES,
        "lightest_build",
    )
    assert heads_of(["lightest_build"])[0] == "lightest_build"
