"""Laws of comparing two runs, on random results files: every row is told once, and exactly."""

from __future__ import annotations

import tempfile
from collections import Counter
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from result_files import Row, numbered, result_rows, written

from configurator.screen.changes import CAUSES, KINDS, OUTCOMES, Change, changes_between
from configurator.screen.result_columns import NAMES
from configurator.screen.tally import STATES
from configurator.units.cell import short_name

SETTINGS = settings(max_examples=50, deadline=None, derandomize=True, database=None)
FORMS = st.sampled_from([".csv", ".jsonl"])


def compared(was: list[Row], now: list[Row], forms: tuple[str, str]) -> list[Change]:
    with tempfile.TemporaryDirectory() as folder:
        earlier = written(Path(folder) / f"earlier{forms[0]}", was)
        newer = written(Path(folder) / f"now{forms[1]}", now)
        processes = {each["process"] for each in now}
        return list(changes_between(earlier, newer, processes=processes))


def who(row: Row) -> tuple[str, ...]:
    """Which row this is, worked out afresh."""
    if row["name"]:
        return short_name(row["name"]), row["process"]
    return "", row["process"], row["lot"]


def outcome(row: Row) -> tuple[object, ...]:
    return tuple(row[name] or None for name in OUTCOMES)


@SETTINGS
@given(rows=result_rows(), forms=st.tuples(FORMS, FORMS))
def test_a_run_compared_with_itself_is_the_same_everywhere(
    rows: list[Row], forms: tuple[str, str]
) -> None:
    changes = compared(rows, rows, forms)

    assert [change.kind for change in changes] == ["same"] * len(rows)


@SETTINGS
@given(was=result_rows(), now=result_rows(), forms=st.tuples(FORMS, FORMS))
def test_every_row_of_either_file_is_told_once(
    was: list[Row], now: list[Row], forms: tuple[str, str]
) -> None:
    changes = compared(was, now, forms)

    assert [c.now["row"] for c in changes if c.now] == [each["row"] for each in now]
    assert sorted(c.was["row"] for c in changes if c.was) == [each["row"] for each in was]
    assert all((c.kind == "new") == (c.was is None) for c in changes)
    assert all((c.kind == "gone") == (c.now is None) for c in changes)
    assert {c.kind for c in changes} <= set(KINDS)
    # As many pairs as there can be: what is left over of a name is on one side alone.
    names = Counter(map(who, was)), Counter(map(who, now))
    pairs = sum((names[0] & names[1]).values())
    assert sum(c.kind not in {"new", "gone"} for c in changes) == pairs


@SETTINGS
@given(was=result_rows(), now=result_rows(), forms=st.tuples(FORMS, FORMS))
def test_kinds_and_causes_are_what_the_two_rows_say(
    was: list[Row], now: list[Row], forms: tuple[str, str]
) -> None:
    earlier = {each["row"]: each for each in was}
    newer = {each["row"]: each for each in now}
    for change in compared(was, now, forms):
        if change.was is None or change.now is None:
            continue
        then, here = earlier[change.was["row"]], newer[change.now["row"]]
        assert who(then) == who(here)
        rank = STATES.index(then["state"]) - STATES.index(here["state"])
        alike = [
            a == b or {a, b} <= {None, ""}
            for a, b in zip(outcome(then), outcome(here), strict=True)
        ]
        assert (change.kind == "same") == all(alike)
        assert (change.kind == "better", change.kind == "worse") == (rank > 0, rank < 0)
        if change.kind == "same":
            assert change.because == ()
            continue
        named = set(change.because) & set(CAUSES.values())
        truly = {words for column, words in CAUSES.items() if then[column] != here[column]}
        unread = "not read" in {then["state"], here["state"]}
        if not unread:
            assert named == (truly - {"material"} if not then["name"] else truly)
        assert change.because


@SETTINGS
@given(rows=result_rows(), seed=st.integers(0, 2**32 - 1), forms=st.tuples(FORMS, FORMS))
def test_the_order_of_the_list_does_not_matter(
    rows: list[Row], seed: int, forms: tuple[str, str]
) -> None:
    order = np.random.default_rng(seed).permutation(len(rows))
    moved = numbered([rows[at] for at in order])
    for each in moved:
        if not each["name"] and each["state"] != "not read":
            each["material_name"] = f"row-{each['row']}"
    told_apart = Counter((who(row), row["material_sha256"]) for row in rows)
    for change in compared(rows, moved, forms):
        assert change.was is not None
        assert change.now is not None
        if told_apart[who(moved[change.now["row"] - 1]), change.now["material_sha256"]] == 1:
            assert change.kind == "same"


@SETTINGS
@given(
    rows=result_rows(most=5).filter(bool),
    column=st.sampled_from([*OUTCOMES, *CAUSES]),
    forms=st.tuples(FORMS, FORMS),
)
def test_one_cell_that_is_changed_changes_its_row_alone(
    rows: list[Row], column: str, forms: tuple[str, str]
) -> None:
    read = [each for each in rows if each["state"] in {"fits", "marginal"} and each["name"]]
    if not read:
        return
    target = read[0]
    others = {"state": "ruled out", "tightest_margin": 0.75}
    counts = ("builds", "fits", "marginal", "unproven")
    value = others.get(column, 12345 if column in counts else "another")
    now = [{**each, column: value} if each is target else each for each in rows]
    changed = [c for c in compared(rows, now, forms) if c.kind != "same"]

    assert column in NAMES
    if column in OUTCOMES:
        (change,) = changed
        assert change.differs == (column,)
        assert change.now is not None
        if column != "material_sha256":
            assert change.now["row"] == target["row"]
    else:
        assert changed == [] or column == "material_sha256"
