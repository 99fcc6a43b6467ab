"""Which builds of an answer are shown, and what is said to be left."""

from __future__ import annotations

from dataclasses import replace

import pytest

from configurator.report.page import page_of
from configurator.rules.finding import State
from configurator.workshop.figures import FIGURES


def strict(answer):
    return answer.with_question(replace(answer.question, strict=True))


@pytest.mark.parametrize("limit", [0, 1, 7])
def test_shown_and_left_add_up_to_all(grease, limit):
    page = page_of(grease, offset=3, limit=limit)

    assert len(page.builds) == limit
    assert page.offset + len(page.builds) + page.more == page.total == grease.count
    assert page.hidden == 0


def test_strict_counts_fits_only(grease):
    page = page_of(strict(grease))

    assert page.total == grease.counts[State.FITS] > 0
    assert page.hidden == grease.count - page.total
    assert {build.state for build in page.builds} == {State.FITS}


def test_past_the_end_there_is_nothing_more(ask):
    answer = ask("probe-grease", "plug-grease", outlet="needle-14g-50", feed="syringe-10")
    assert answer.count > 0

    for offset in (answer.count, answer.count + 5):
        page = page_of(answer, offset=offset, limit=2)
        assert (page.builds, page.more) == ((), 0)


def test_ranks_go_on_where_the_page_begins(grease):
    ranks = [build.rank for build in page_of(grease, offset=4, limit=3).builds]

    assert ranks == [5, 6, 7]


def test_the_first_figure_sorts_by_default(grease):
    assert page_of(grease).sort is FIGURES[0]
