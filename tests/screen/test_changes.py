"""An earlier results file against a newer one: which row is which, what became of it, and why."""

from __future__ import annotations

import csv
import json
import tracemalloc
from pathlib import Path

import pytest
from result_files import BASE, numbered, row, unread, written

from configurator.errors import InputError, UsageError
from configurator.screen.changes import (
    CAUSES,
    OUTCOMES,
    PROCESS_GONE,
    PROCESS_NEW,
    ROW_GONE,
    ROW_NEW,
    UNEXPLAINED,
    Change,
    changes_between,
    check_earlier,
)
from configurator.screen.changes_text import (
    HEADS,
    Summary,
    because_in_words,
    change_lines,
    write_changes,
)
from configurator.screen.result_columns import RESULT_COLUMNS
from configurator.screen.results_file import Journal, journal_path, save_journal

PROCESSES = ("pour",)


def compared(folder: Path, was, now, processes=PROCESSES) -> list[Change]:
    earlier = written(folder / "earlier.csv", numbered(was))
    newer = written(folder / "now.csv", numbered(now))
    return list(changes_between(earlier, newer, processes=processes))


def only(folder: Path, was, now) -> Change:
    (change,) = compared(folder, [was], [now])
    return change


def test_a_run_against_itself_is_the_same_everywhere(tmp_path) -> None:
    rows = [row(), row(name="Oil", material_name="oil"), unread(name="Glue"), row()]
    changes = compared(tmp_path, rows, rows)

    assert [change.kind for change in changes] == ["same"] * 4
    assert [change.because for change in changes] == [()] * 4


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet"])
@pytest.mark.parametrize("other", [".csv", ".jsonl", ".parquet"])
def test_the_forms_of_the_files_do_not_matter(tmp_path, suffix, other) -> None:
    rows = numbered([row(), row(reason="two\nlines\t"), row(reason="=1"), unread(name="Glue")])
    earlier = written(tmp_path / f"earlier{suffix}", rows)
    now = written(tmp_path / f"now{other}", rows)

    kinds = [c.kind for c in changes_between(earlier, now, processes=PROCESSES)]
    assert kinds == ["same"] * 4


@pytest.mark.parametrize(("column", "cause"), CAUSES.items())
def test_one_datum_that_differs_is_the_cause(tmp_path, column, cause) -> None:
    change = only(tmp_path, row(), row(**{column: "999999999999", "builds": 4}))

    assert (change.kind, change.because) == ("changed", (cause,))
    assert change.differs == ("builds",)


def test_a_cause_without_effect_is_no_change(tmp_path) -> None:
    assert only(tmp_path, row(), row(catalog_sha256="9" * 12)).kind == "same"


def test_several_causes_are_all_named(tmp_path) -> None:
    other = dict.fromkeys(CAUSES, "9" * 12)
    change = only(tmp_path, row(), row(**other, state="fits"))

    assert change.because == tuple(CAUSES.values())
    assert because_in_words(change.because).endswith("one or several")
    assert because_in_words(("catalog", "rules")) == (
        "because of the catalog and the rules, one or both"
    )


def test_an_outcome_that_nothing_explains_says_so(tmp_path) -> None:
    change = only(tmp_path, row(), row(reason="another"))

    assert change.because == (UNEXPLAINED,)
    assert "another build of the tool" in because_in_words(change.because)


@pytest.mark.parametrize("column", OUTCOMES)
def test_every_outcome_counts(tmp_path, column) -> None:
    kinds = {column.name: column.kind for column in RESULT_COLUMNS}
    other = {str: "fits", int: 3, float: 0.5}[kinds[column]]
    change = only(tmp_path, row(), row(**{column: other}))

    assert change.differs == (column,)
    assert change.kind == ("better" if column == "state" else "changed")


def test_columns_are_either_outcomes_causes_or_which_row_it_is() -> None:
    names = {column.name for column in RESULT_COLUMNS}

    assert names == {*OUTCOMES, *CAUSES, "row", "line", "process", "material_name"}


@pytest.mark.parametrize(
    ("was", "now", "kind"),
    [
        ("fits", "marginal", "worse"),
        ("marginal", "unproven", "worse"),
        ("unproven", "ruled out", "worse"),
        ("ruled out", "not judged", "worse"),
        ("ruled out", "marginal", "better"),
        ("unproven", "fits", "better"),
    ],
)
def test_states_are_ordered_from_fits_to_not_judged(tmp_path, was, now, kind) -> None:
    assert only(tmp_path, row(state=was), row(state=now)).kind == kind


def test_a_row_that_is_read_no_more_is_worse_because_of_its_material(tmp_path) -> None:
    gone = unread(name="Paste", catalog_sha256="9" * 12)

    change = only(tmp_path, row(), gone)
    assert (change.kind, change.because) == ("worse", ("material",))
    change = only(tmp_path, gone, row())
    assert (change.kind, change.because) == ("better", ("material",))


def test_a_row_that_was_never_read_changes_with_its_fault_alone(tmp_path) -> None:
    was = unread(name="Paste")
    changed = unread(name="Paste", fault="line 2: 'many'", catalog_sha256="9" * 12)

    assert only(tmp_path, was, unread(name="Paste", catalog_sha256="9" * 12)).kind == "same"
    assert only(tmp_path, was, changed).because == ("material",)


def test_rows_are_found_by_name_wherever_they_stand(tmp_path) -> None:
    rows = [row(name=f"M{n}", material_name=f"m{n}", builds=n) for n in range(5)]
    changes = compared(tmp_path, rows, rows[::-1])

    assert {change.kind for change in changes} == {"same"}
    assert [change.was["row"] for change in changes] == [5, 4, 3, 2, 1]


def test_rows_of_one_name_are_told_apart_by_their_material_first(tmp_path) -> None:
    thin = row(material_sha256="1" * 12, builds=1)
    thick = row(material_sha256="2" * 12, builds=2)
    third = row(material_sha256="3" * 12, builds=3)

    assert {c.kind for c in compared(tmp_path, [thin, thick], [thick, thin])} == {"same"}
    changes = compared(tmp_path, [thin, thick], [third, thin])
    assert [(c.kind, c.because) for c in changes] == [("changed", ("material",)), ("same", ())]
    assert changes[0].was["builds"] == 2


def test_a_duplicate_more_is_new_and_one_less_is_gone(tmp_path) -> None:
    more = compared(tmp_path, [row()], [row(), row()])
    assert [(c.kind, c.because) for c in more] == [("same", ()), ("new", (ROW_NEW,))]
    less = compared(tmp_path, [row(), row()], [row()])
    assert [(c.kind, c.because) for c in less] == [("same", ()), ("gone", (ROW_GONE,))]


def test_a_renamed_material_is_one_gone_and_one_new(tmp_path) -> None:
    changes = compared(tmp_path, [row()], [row(name="Putty", material_name="putty")])

    assert [change.kind for change in changes] == ["new", "gone"]


def test_rows_without_a_name_are_found_by_their_cells(tmp_path) -> None:
    def nameless(number: int, lot: str, **more):
        digest = f"{number}" * 12  # the number of the row is in the material's digest
        return row(name="", material_name=f"row-{number}", lot=lot, material_sha256=digest, **more)

    was = [nameless(1, "x"), nameless(2, "y", catalog_sha256="8" * 12)]
    now = [nameless(1, "y", builds=3), nameless(2, "x")]
    changes = compared(tmp_path, was, now)

    assert [(c.kind, c.because) for c in changes] == [("changed", ("catalog",)), ("same", ())]


def test_a_process_that_is_new_or_gone_is_said(tmp_path) -> None:
    was = [row(), row(process="dots")]
    now = [row(), row(process="bead")]
    changes = compared(tmp_path, was, now, processes=("pour", "bead"))

    assert [(c.kind, c.because) for c in changes] == [
        ("same", ()),
        ("new", (PROCESS_NEW,)),
        ("gone", (PROCESS_GONE,)),
    ]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("none.csv", None),
        ("empty.csv", b""),
        ("list.csv", b"name,at,viscosity\npaste,20 degC,3 Pa*s\n"),
        ("binary.csv", bytes(range(256))),
        ("binary.jsonl", bytes(range(256))),
        ("binary.parquet", bytes(range(256))),
        ("other.jsonl", b'{"a": 1}\n'),
        ("list.jsonl", b"[1, 2]\n"),
        ("deep.jsonl", b"[" * 100_000 + b"\n"),
    ],
)
def test_a_file_that_is_no_results_file_is_refused_in_a_line(tmp_path, name, content) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(InputError) as refused:
        check_earlier(path)
    assert len(str(refused.value).splitlines()) == 1
    assert name in str(refused.value)


@pytest.mark.parametrize(
    "changes",
    [
        {"state": "splendid"},
        {"state": None},
        {"state": ["fits"]},
        {"process": None},
        {"process": 7},
        {"row": None},
        {"row": "many"},
        {"builds": "many"},
        {"builds": [1]},
    ],
    ids=str,
)
def test_rows_that_no_run_writes_are_refused_with_their_number(tmp_path, changes) -> None:
    path = written(tmp_path / "earlier.jsonl", numbered([row()]))
    with path.open("a") as file:
        file.write(json.dumps({**row(), **changes}) + "\n")
    with pytest.raises(InputError) as refused:
        check_earlier(path)
    assert "result row 2" in str(refused.value)
    assert len(str(refused.value).splitlines()) == 1


def test_a_run_that_was_not_finished_is_doubtful(tmp_path) -> None:
    path = written(tmp_path / "earlier.csv", numbered([row()]))

    assert check_earlier(path) == ""
    save_journal(journal_path(path), Journal({}, done=True))
    assert check_earlier(path) == ""
    save_journal(journal_path(path), Journal({}))
    assert "not finished" in check_earlier(path)
    journal_path(path).write_text("{}")
    assert check_earlier(path) == ""


def test_every_row_is_written_with_what_became_of_it(tmp_path) -> None:
    changes = compared(
        tmp_path,
        [row(), row(name="Oil", material_name="oil")],
        [row(builds=3, catalog_sha256="9" * 12), unread(name="Glue")],
    )
    for suffix in (".csv", ".jsonl"):
        path = tmp_path / f"changes{suffix}"
        write_changes(path, changes, force=False)
        with path.open(encoding="utf-8", newline="") as file:
            rows = (
                list(csv.DictReader(file))
                if suffix == ".csv"
                else [json.loads(line) for line in file]
            )
        assert tuple(rows[0]) == HEADS
        assert [(each["change"], each["because"]) for each in rows] == [
            ("changed", "catalog"),
            ("new", ROW_NEW),
            ("gone", ROW_GONE),
        ]
        assert [str(each["was_builds"] or "") for each in rows] == [
            str(BASE["builds"]),
            "",
            str(BASE["builds"]),
        ]
        assert [str(each["was_row"] or "") for each in rows] == ["1", "", "2"]


def test_a_file_of_changes_is_whole_or_not_there(tmp_path) -> None:
    path = tmp_path / "changes.csv"

    def broken():
        yield from compared(tmp_path, [row()], [row()])
        raise InputError([])

    with pytest.raises(ValueError, match="at least one fault"):
        write_changes(path, broken(), force=False)
    assert not path.exists()
    assert not list(tmp_path.glob(".*.part"))
    path.write_text("mine")
    with pytest.raises(InputError, match="--force"):
        write_changes(path, [], force=False)
    assert path.read_text() == "mine"
    with pytest.raises(UsageError, match=r"ends in .csv"):
        write_changes(tmp_path / "changes.xls", [], force=False)


def test_the_summary_counts_by_kind_and_cause(tmp_path) -> None:
    changes = compared(
        tmp_path,
        [row(name=f"M{n}", material_name=f"m{n}") for n in range(6)],
        [
            row(name="M0", material_name="m0"),
            row(name="M1", material_name="m1", state="fits", catalog_sha256="9" * 12),
            row(name="M2", material_name="m2", state="unproven", catalog_sha256="9" * 12),
            row(name="M3", material_name="m3", builds=1, material_sha256="9" * 12),
            row(name="M9", material_name="m9"),
            row(name="M4", material_name="m4", fits=2, rules_sha256="8" * 12, tool_version="9"),
        ],
    )
    summary = Summary()
    assert list(summary.counted(changes)) == changes

    assert summary.lines("earlier.csv") == [
        "against earlier.csv: 7 rows: 1 better, 1 worse, 2 changed, 1 new, 1 gone, 1 same",
        "  because of the catalog: 1 better, 1 worse",
        "  because of the material: 1 changed",
        "  row not in the earlier list: 1 new",
        "  row not in the list any more: 1 gone",
        "  because of the rules and the tool version, one or both: 1 changed",
    ]
    assert summary.data("earlier.csv")["counts"] == {
        "better": 1,
        "worse": 1,
        "changed": 2,
        "new": 1,
        "gone": 1,
        "same": 1,
    }


def test_a_change_for_a_person_says_what_was_and_what_is(tmp_path) -> None:
    change = only(
        tmp_path, row(), row(state="ruled out", builds=0, reason="no part", catalog_sha256="9")
    )
    text = " ".join(" ".join(change_lines(change, 100)).split())

    assert text.startswith(
        "worse: paste for pour, was marginal, 1 200 000 000 000 000 000 000 builds"
    )
    assert "is ruled out; because of the catalog" in text
    assert "-> no part" in text
    moved = only(tmp_path, row(), row(best_build="size=small, cavity=half-ml"))
    lines = change_lines(moved, 200)
    assert lines[1:] == ["    best build, cavity: one-ml -> half-ml"]
    assert change_lines(only(tmp_path, row(), row()), 100) == []


@pytest.mark.slow
def test_memory_stays_flat_and_many_rows_of_one_name_stay_quick(tmp_path) -> None:
    def file(name: str, count: int, digest: str) -> Path:
        rows = (row(row=n, line=n + 1, builds=n, material_sha256=digest) for n in range(1, count))
        return written(tmp_path / name, list(rows))

    peaks = []
    for count in (500, 2_000):
        earlier = file(f"earlier-{count}.csv", count, "1" * 12)
        now = file(f"now-{count}.csv", count, "2" * 12)
        tracemalloc.start()
        same = sum(c.kind == "same" for c in changes_between(earlier, now, processes=PROCESSES))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert same == count - 1
    assert peaks[1] < 1.5 * peaks[0] + 100_000
