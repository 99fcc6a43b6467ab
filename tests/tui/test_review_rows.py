"""Which rows a review shows and in which order, and the way from a row back to its question."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from result_files import numbered, result_rows, row, unread, written
from tui_results import LIQUID, ROWS, results, screened, write_list
from tui_worlds import small_catalog

from configurator.errors import InputError
from configurator.screen.digests import content_digest
from configurator.screen.results import read_results
from configurator.screen.tally import STATES
from configurator.tui.document import open_document
from configurator.tui.review.rebuilt import Bench, rebuild
from configurator.tui.review.result_file import SORTS
from configurator.tui.review.result_row import MARKS, ResultRow, said_of, whole_row
from configurator.tui.review.review import AT_FIRST, Review
from configurator.tui.reviewing import parts_of, remarks
from configurator.tui.session import Session
from configurator.workshop.workshop import Workshop


def read_wholly(path, bench):
    review = Review(path, bench)
    while review.reading:
        review.take(review.read_on())
    return review


def searched(review):
    while review.searching:
        review.took(review.search()(lambda: False))


def shown(review):
    """What is shown of each row: enough to tell rows apart."""
    return [(review.row(at).number, review.row(at).state) for at in range(len(review))]


FIGURES = {
    "state": lambda each: STATES.index(each["state"]),
    "builds": lambda each: each["builds"],
    "margin": lambda each: each["tightest_margin"],
}


def in_order(rows, sort, *, turned):
    """Rows in an order, told without numpy: those without the figure last."""
    if sort == "row":
        return rows[::-1] if turned else rows
    figure = FIGURES[sort]
    first = -1 if (sort == "builds") != turned else 1
    there = [each for each in rows if figure(each) is not None]
    there.sort(key=lambda each: first * figure(each))
    return [*there, *(each for each in rows if figure(each) is None)]


@settings(max_examples=60, deadline=None)
@given(
    rows=result_rows(most=12),
    state=st.sampled_from(["", *STATES]),
    typed=st.sampled_from(["", "paste", "glue dots", "nothing of the kind"]),
    sort=st.sampled_from([*SORTS]),
    turned=st.booleans(),
)
def test_what_is_shown_is_what_the_filters_say_in_the_order_that_was_chosen(
    rows, state, typed, sort, turned
):
    with tempfile.TemporaryDirectory() as folder:
        path = written(Path(folder) / "results.csv", rows)
        every = list(read_results(path))
        review = read_wholly(path, Bench(Workshop(small_catalog()), Path()))
        review.show_state(state)
        review.show_words(typed)
        searched(review)
        for _ in range(1 + turned):
            review.sort_by(sort)
        if sort == "row":  # it sorts already, so that the first time turns it around
            review.turned = turned
            review.show_state(state)

        text = {
            id(each): "\n".join(
                str(value) for name, value in each.items() if value and "sha256" not in name
            ).lower()
            for each in every
        }
        kept = [
            each
            for each in every
            if (not state or each["state"] == state)
            and all(word in text[id(each)] for word in typed.split())
        ]
        expected = in_order(kept, sort, turned=turned)
        assert shown(review) == [(each["row"], each["state"]) for each in expected]
        assert sum(review.listing.totals.values()) == len(every)


def test_somebody_stays_on_the_row_when_filter_and_order_change(tmp_path, bench):
    rows = numbered(row(tightest_margin=-at, name=f"Paste {at}") for at in range(50))
    review = Review(written(tmp_path / "results.csv", rows), bench)
    review.cursor = 17
    review.sort_by("margin")
    assert (review.here.number, review.cursor) == (18, 32)
    review.sort_by("margin")
    assert (review.here.number, review.cursor) == (18, 17)
    review.show_state("fits")
    assert review.here is None
    review.show_state("")
    review.show_words("paste 17")
    searched(review)
    assert review.here.text("name") == "Paste 17"


def test_a_large_file_is_read_in_steps_and_words_are_found_in_what_comes_later(tmp_path, bench):
    rows = numbered(row(name=f"Paste {at}") for at in range(AT_FIRST + 3000))
    review = Review(written(tmp_path / "results.csv", rows), bench)
    assert review.reading
    assert AT_FIRST <= len(review) < len(rows)
    review.show_words("paste 12345")
    searched(review)
    assert len(review) == 0

    while review.reading:
        review.take(review.read_on())
    assert review.searching
    searched(review)
    assert shown(review) == [(12346, "marginal")]
    review.show_words("paste 1234")  # shorter words: all has to be looked at anew
    searched(review)
    assert len(review) == sum("1234" in str(at) for at in range(len(rows)))
    review.show_words("")
    assert len(review) == len(rows)
    assert review.row(len(rows) - 1).number == len(rows)


def test_a_fault_further_down_leaves_the_rows_before_it(tmp_path, bench):
    path = written(tmp_path / "results.csv", numbered([row()] * (AT_FIRST + 3000)))
    lines = path.read_bytes().splitlines(keepends=True)
    lines[AT_FIRST + 2000] = b"no row\n"
    path.write_bytes(b"".join(lines))
    review = read_wholly(path, bench)

    assert f"line {AT_FIRST + 2001}" in str(review.fault)
    assert AT_FIRST <= len(review) <= AT_FIRST + 2000


def test_a_fault_near_the_top_is_refused_at_once(tmp_path, bench):
    path = written(tmp_path / "results.csv", numbered([row()] * 5))
    head, _, rest = path.read_bytes().partition(b"\n")
    path.write_bytes(head + b"\n" + rest.replace(b"marginal", b"splendid", 1))
    with pytest.raises(InputError, match="splendid"):
        Review(path, bench)


# One row in words


def text_of(said):
    return "\n".join(each.text for each in said)


def test_a_row_tells_reason_test_build_and_margin():
    cells = row(
        reason="volume error: off by 5 %",
        measure_first="weigh ten shots",
        builds=12,
        unproven=7,
        tightest_margin=-0.125,
    )
    text = text_of(said_of(ResultRow(cells)))
    for words in (
        "Paste",
        "! marginal: 12 builds, 5 marginal, 7 unproven",
        "Why: volume error: off by 5 %",
        "Measure first: weigh ten shots",
        "Best build: size=small, cavity=one-ml",
        "Tightest: 12.5 % over: volume error",
    ):
        assert words in text
    assert "Fault" not in text


def test_a_row_that_was_not_read_tells_its_fault_and_the_name_of_the_list():
    one = ResultRow(unread(name="Slip", fault="line 5: viscosity"))
    assert one.name == "Slip"
    assert one.mark == "#"
    assert "Fault: line 5: viscosity" in text_of(said_of(one))
    assert ResultRow(unread(name="")).name == "row 1"


def test_every_filled_cell_is_on_the_page_of_the_whole_row():
    cells = row()
    text = text_of(whole_row(ResultRow(cells)))
    for column, value in cells.items():
        assert (f"{column}: {value}" in text) == (value not in (None, "")), column


def test_marks_tell_all_states_apart_that_have_builds():
    assert [MARKS[state] for state in STATES] == [".", "!", "?", "x", "#", "#"]


def test_a_best_build_is_taken_apart():
    text = "a.size=h3, a.cavity=h3-0.25-2s, mixing=none"
    assert parts_of(text) == {"a.size": "h3", "a.cavity": "h3-0.25-2s", "mixing": "none"}
    assert parts_of("") == {}


# Back to the question


@pytest.fixture(params=["results.csv", "results.jsonl", "results.parquet"])
def path(request, tmp_path, examples):
    return results(tmp_path, examples, request.param)


@pytest.fixture
def beside(bench, tmp_path):
    return replace(bench, folders=(tmp_path,))


def rows_of(path):
    return [ResultRow(cells) for cells in read_results(path)]


def test_every_row_that_was_read_is_rebuilt_as_it_was_judged(path, beside):
    count = 0
    for each in rows_of(path):
        found = rebuild(each, beside)
        if each.state == "not read":
            assert found.material is None
            assert "viscosity: given 'ten'" in found.refusals[0]
            continue
        count += 1
        assert found.refusals == found.differs == ()
        material, _ = found.material.checked()
        assert content_digest(material) == each.text("material_sha256")
        assert material.name == each.text("material_name")
        assert found.process.name == each.text("process")
    assert count == 10


def test_a_row_of_a_file_names_the_file_and_one_of_cells_is_a_document_of_its_own(path, beside):
    of_cells, of_example, of_file = (
        rebuild(next(each for each in rows_of(path) if each.text("shop") == shop), beside).material
        for shop in ("Q-1", "Q-3", "Q-6")
    )
    assert (of_cells.source, of_cells.edited) == ("", True)
    assert of_cells.at("component.density") == "1000 kg/m^3"
    assert (of_example.source, of_example.edited) == ("unseen", False)
    assert of_file.source == str(path.parent / "own" / "plain.toml")


def test_files_are_looked_for_beside_the_list_as_well(path, beside, bench, tmp_path):
    last = rows_of(path)[-1]
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    lost = rebuild(last, replace(bench, folders=(elsewhere,)))
    assert "own/plain.toml" in lost.refusals[0]
    assert "a material file" in lost.refusals[0]
    found = rebuild(last, replace(bench, folders=(elsewhere, tmp_path)))
    assert found.refusals == found.differs == ()

    # Of two files of that name, the one that was judged.
    (elsewhere / "own").mkdir()
    text = (tmp_path / "own" / "plain.toml").read_text().replace("1000 kg/m^3", "1100 kg/m^3")
    (elsewhere / "own" / "plain.toml").write_text(text)
    both = rebuild(last, replace(bench, folders=(elsewhere, tmp_path)))
    assert both.material.source == str(tmp_path / "own" / "plain.toml")
    assert both.differs == ()


def test_a_process_is_found_where_it_was_given_beside_the_results_or_among_the_examples(
    path, beside, examples, tmp_path
):
    one = rows_of(path)[0]
    own = open_document("process", "flow", examples).with_value("name", "own")
    own_row = ResultRow({**one.cells, "process": "own", "process_sha256": ""})
    assert (
        "no process 'own' at hand; start with --process FILE" in rebuild(own_row, beside).refusals
    )
    assert rebuild(own_row, replace(beside, processes=(own,))).process is own

    flow = (examples / "processes" / "flow.toml").read_text()
    (tmp_path / "flow.toml").write_text(flow.replace("2 %", "3 %"))
    assert rebuild(one, beside).process.source == "flow"  # that beside is not what was judged
    (tmp_path / "flow.toml").write_text(f"# ours\n{flow}")
    assert rebuild(one, beside).process.source == str(tmp_path / "flow.toml")


@pytest.mark.parametrize("name", ["../flow", "/etc/passwd", "", "flow.toml/..", "FLOW"])
def test_a_process_is_no_path_into_other_folders(path, beside, name):
    odd = ResultRow({**rows_of(path)[0].cells, "process": name})
    assert rebuild(odd, beside).process is None


@pytest.mark.parametrize(
    ("column", "words"),
    [
        ("catalog_sha256", "judged with another catalog"),
        ("rules_sha256", "judged with other rules"),
        ("evidence_sha256", "judged with other findings of the shop"),
        ("material_sha256", "the material reads otherwise than when it was judged"),
        ("process_sha256", "the process flow is not as it was when it was judged"),
    ],
)
def test_what_is_not_as_it_was_is_said(path, beside, column, words):
    one = rows_of(path)[0]
    found = rebuild(ResultRow({**one.cells, column: "f" * 12}), beside)
    assert found.differs == (words,)
    (said,) = remarks(one, found)
    assert words in said.text
    assert said.style == "marginal"
    same = remarks(one, rebuild(one, beside))
    assert [each.style for each in same] == [""]


def test_a_list_in_json_with_tables_numbers_and_truth_values_is_rebuilt(tmp_path, examples, bench):
    nested = {
        "schema": 1,
        "name": "nested",
        "title": "A nested one",
        "trigger": "none",
        "component": {
            "flow": {"viscosity": "10 Pa*s", "at": "20 degC", "activation_energy": "0 kJ/mol"},
            "density": "1000 kg/m^3",
            "constituents": [{"name": "plainol", "mass_fraction": "100 %"}],
            "complete": True,
        },
    }
    flat = {**LIQUID, "name": "Flat", "complete": True, "lot": 7}
    typed = {**{key: value for key, value in LIQUID.items() if key != "constituents"}}
    typed |= {"name": "With a list", "constituents": [{"name": "plainol"}], "complete": False}
    for number, listed in enumerate(([nested], [flat, typed], [{"name": "first"}, flat, nested])):
        folder = tmp_path / str(number)
        folder.mkdir()
        listed_as = write_list(folder / "list.jsonl", listed)
        path = screened(listed_as, folder / "results.csv", examples, ("flow",))
        for each in rows_of(path):
            found = rebuild(each, replace(bench, folders=(folder,)))
            if each.state == "not read":
                assert found.refusals
            else:
                assert found.refusals == found.differs == (), each.cells


def test_the_question_of_a_row_has_the_answer_of_the_row(path, beside, examples):
    """Solved the long way, what is rebuilt has as many builds in each state as the row says."""
    from configurator.rules.finding import LISTED

    for each in rows_of(path):
        if each.text("shop") not in ("Q-1", "Q-2", "Q-3") or each.text("process") != "flow":
            continue
        found = rebuild(each, beside)
        session = Session(Workshop(small_catalog()), examples)
        session.put(session.draft.with_document(found.process).with_document(found.material))
        answer = session.workshop.answer(session.to_solve)
        for level in LISTED:
            assert answer.counts[level] == each.cells[level.words]


def test_rows_of_the_sample_are_all_of_its_kinds(path):
    states = {each.state for each in rows_of(path)}
    assert {"fits", "ruled out", "unproven", "not read"} <= states
    assert len(rows_of(path)) == 2 * len(ROWS)
