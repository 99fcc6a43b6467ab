"""Bad weighings: each gets one clear line, and nothing is guessed."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from simulated_head import SimulatedHead, filled

from configurator.errors import InputError, UsageError
from configurator.trial.evaluate import evaluate
from configurator.trial.form_reader import load_weighings, read_weighings
from configurator.trial.planning import TrialAims

MASS = 15


@pytest.fixture
def good(planned) -> str:
    return filled(planned("lid-sealant"), SimulatedHead())


def faults(text: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_weighings(text, "own.csv")
    return str(caught.value).splitlines()


def changed(text: str, run: int, column: int, value: str) -> str:
    lines = text.splitlines()
    for place, line in enumerate(lines):
        if line.startswith(f"{run},"):
            cells = line.split(",")
            cells[column] = value
            lines[place] = ",".join(cells)
    return "\n".join(lines) + "\n"


def fact(text: str, key: str, value: str) -> str:
    return "\n".join(
        f"#{key},{value}" if line.startswith(f"#{key},") else line for line in text.splitlines()
    )


def test_a_good_form_has_no_faults(good):
    assert not read_weighings(good, "own.csv").missing


def test_masses_without_a_unit_are_one_line(good):
    (line,) = faults(good.replace("mass [g]", "mass"))

    assert "without a unit" in line
    assert "209 more like it" in line
    assert "mass [g]" in line


@pytest.mark.parametrize("word", ["about 7", "7.1.2", "?", "7 kilos of it"])
def test_however_many_cells_are_wrong_there_is_a_line_for_the_kind_and_not_for_the_cell(good, word):
    lines = faults(everywhere(good, lambda _: word))

    assert len(lines) == 1
    assert "209 more like it: run 2, 3, 4, 5, 6, 7 ..." in lines[0]


def test_masses_in_mg_under_the_head_as_it_was_are_understood_and_told(good):
    grams = read_weighings(good, "own.csv")
    found = read_weighings(everywhere(good, lambda mass: f"{float(mass) * 1e3:.3f}"), "own.csv")

    assert "masses in mg, not g as the head says" in found.read_as
    for ours, theirs in zip(found.readings, grams.readings, strict=True):
        assert ours.mass == pytest.approx(theirs.mass, rel=1e-5, abs=1e-9)


def test_a_head_in_mg_is_read_as_such_and_told(good):
    text = everywhere(good, lambda mass: f"{float(mass) * 1e3:.3f}").replace(
        "mass [g]", "mass (mg)"
    )

    assert "210 of 210 runs weighed, masses in mg" in read_weighings(text, "own.csv").read_as


def test_units_may_stand_in_the_cells(good):
    text = changed(good, 2, MASS, "6800 mg").replace("mass [g]", "mass [g]")

    assert read_weighings(text, "own.csv").readings[1].mass == pytest.approx(6.8e-3)


def test_a_slip_of_the_unit_is_told_with_the_expectation(good):
    line = faults(good.replace("mass [g]", "mass [lb]"))[0]

    assert "accepted: about" in line
    assert "a slip of the unit" in line


def test_a_mass_that_is_far_off_may_stand_with_a_reason(good):
    text = changed(changed(good, 3, MASS, "0.01"), 3, MASS + 1, "cup tipped over")
    found = evaluate([read_weighings(text, "own.csv")])

    assert found.left_out == ((3, "cup tipped over"),)


def everywhere(text: str, change: Callable[[str], str], separator: str = ",") -> str:
    """The form with every mass changed, saved with a separator."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, lineterminator="\n")
    for row in csv.reader(io.StringIO(text)):
        if row[0].isdigit():
            row[MASS] = change(row[MASS])
        writer.writerow(row)
    return out.getvalue()


@pytest.mark.parametrize("separator", [";", "\t"])
def test_a_form_as_a_country_with_decimal_commas_saves_it_is_read(good, separator):
    text = everywhere(good, lambda mass: mass.replace(".", ","), separator)
    text = text.replace("1.25 g/cm^3 +/- 0.05 %", "1,25 g/cm^3 +/- 0,05 %").replace(
        "0.01 mg", "0,01 mg"
    )
    found = read_weighings(text, "own.csv")

    assert found.readings == read_weighings(good, "own.csv").readings
    assert found.densities == read_weighings(good, "own.csv").densities
    assert "decimal commas" in found.read_as
    assert {";": "semicolons", "\t": "tabs"}[separator] in found.read_as


def test_planned_columns_that_a_spreadsheet_respelt_change_nothing(good):
    """13.4 becomes 13,4 or 13.40 or a date; the plan stands above the table."""
    text = everywhere(good, str, ";").replace("13.4;", "13. Apr;").replace("18.8;", "18,80;")

    assert text != everywhere(good, str, ";")
    assert read_weighings(text, "own.csv").readings == read_weighings(good, "own.csv").readings


def test_decimal_commas_between_commas_are_one_line_with_its_remedy(good):
    lines = good.splitlines()
    text = "\n".join(
        line.replace(".", ",") if line[0].isdigit() and place > 60 else line
        for place, line in enumerate(lines)
    )
    (line,) = faults(text)

    assert "more cells than the head has" in line
    assert "semicolons" in line


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_a_form_is_read_in_whatever_encoding_a_spreadsheet_saves(good, tmp_path, encoding):
    path = tmp_path / "form.csv"
    text = changed(changed(good, 3, MASS, "0.01"), 3, MASS + 1, "Becher \u00e4rgerlich gefallen")
    path.write_text("sep=,\n" + text, encoding=encoding)

    assert load_weighings(path).readings[2].left_out == "Becher \u00e4rgerlich gefallen"


@given(
    st.sets(st.integers(1, 210), max_size=150),
    st.lists(st.integers(211, 400), max_size=5),
    st.randoms(use_true_random=False),
)
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_rows_that_were_deleted_added_or_sorted_leave_the_others_as_they_are(
    good, gone, added, random
):
    lines = good.splitlines()
    table = [line for line in lines if line[0].isdigit()]
    kept = [line for line in table if int(line.partition(",")[0]) not in gone]
    kept += [f"{number},{table[0].partition(',')[2]}" for number in added]
    random.shuffle(kept)
    found = read_weighings("\n".join([*lines[: -len(table)], *kept]), "own.csv")
    whole = read_weighings(good, "own.csv")

    assert found.missing == tuple(sorted(gone))
    assert found.readings == tuple(each for each in whole.readings if each.run.number not in gone)
    assert found.plan == whole.plan
    assert ("without a row" in found.read_as) == bool(gone)
    assert ("that the plan does not have" in found.read_as) == bool(added)


@pytest.mark.parametrize("shots", [2, 3])
def test_a_cup_with_a_shot_too_many_is_told(good, planned, shots):
    run = planned("lid-sealant").of("repeatability")[4]
    found = read_weighings(good, "own.csv")
    mass = next(each.mass for each in found.readings if each.run.number == run.number)
    told = faults(changed(good, run.number, MASS, f"{mass * 1e3 * shots:.5f}"))

    assert len(told) == 1
    assert f"run {run.number}: mass" in told[0]
    if shots < 3:  # more is a slip of the unit or the row
        assert f"as much as {shots} shots, and the plan has 1 shot" in told[0]


def test_a_shot_that_is_missing_from_a_group_is_told(planned):
    plan = planned("bearing-oil")
    run = plan.of("repeatability")[3]
    text = filled(plan, SimulatedHead(), decimals=8)
    found = read_weighings(text, "own.csv")
    mass = next(each.mass for each in found.readings if each.run.number == run.number)
    (told,) = faults(changed(text, run.number, MASS, f"{mass * 1e3 / run.shots:.8f}"))

    assert run.shots == 2
    assert "as much as 1 shot, and the plan has 2 shots" in told


def test_a_run_with_two_masses_is_told_unless_one_of_them_is_left_out(good):
    line = next(line for line in good.splitlines() if line.startswith("9,"))
    (told,) = faults(good + line + "\n")
    again = read_weighings(good + line + "cup fell\n", "own.csv")

    assert "run 9: mass" in told
    assert "which one does not count" in told
    assert again.readings == read_weighings(good, "own.csv").readings


def test_rows_that_slipped_are_one_line(good):
    lines = good.splitlines()
    table = [line for line in lines if line[0].isdigit()]
    runs = [line.partition(",")[0] for line in table]
    rest = [line.partition(",")[2] for line in table]
    slipped = [f"{run},{row}" for run, row in zip(runs, rest[1:] + rest[:1], strict=True)]
    told = faults("\n".join([*lines[: -len(table)], *slipped]))

    assert len(told) <= 2  # blocks and levels
    assert "rows that slipped" in told[0]
    assert "more like it" in told[0]


def test_a_set_point_that_somebody_changed_is_one_line(good):
    lines = good.splitlines()
    heads = next(line for line in lines if line.startswith("run,")).split(",")
    speed = heads.index("speed [rpm]")
    rows = [line.split(",") for line in lines if line[0].isdigit()]
    wanted = float(rows[8][speed])
    faster = changed(good, 9, speed, f"{wanted * 1.05:.4g}")
    (told,) = faults(faster)

    assert "run 9: speed [rpm]" in told
    assert "as planned" in told
    assert "a run that was set otherwise is left out" in told
    # A spreadsheet that shows fewer digits saves fewer.
    rounded = changed(good, 9, speed, f"{wanted:.0f}")
    assert read_weighings(rounded, "own.csv").readings == read_weighings(good, "own.csv").readings


def test_a_dash_is_nothing_weighed(good):
    found = read_weighings(changed(good, 9, MASS, "-"), "own.csv")

    assert found.missing == (9,)


def test_the_clock_may_be_the_time_of_day(good):
    clock = MASS - 3
    early = changed(changed(good, 1, clock, "23:50"), 2, clock, "0:05:30")
    found = read_weighings(early, "own.csv")

    assert [each.clock for each in found.readings[:2]] == [0.0, 15.5]
    assert "clock as times of day from 23:50 on" in found.read_as


def test_a_balance_that_is_too_coarse_is_told_with_what_would_do(good):
    (line,) = faults(fact(good, "balance step", "0.1 g"))

    assert "16.6 mg" in line
    assert "finer balance" in line


def test_masses_written_too_coarsely_are_told(planned):
    (line,) = faults(filled(planned("lid-sealant"), SimulatedHead(), decimals=1))

    assert "masses written to 0.1 g" in line


def test_a_balance_step_that_is_not_stated_is_asked_for(good):
    (line,) = faults(fact(good, "balance step", ""))

    assert "#balance step: given 'nothing'" in line


def test_without_a_measured_density_the_stated_one_widens_the_displacement(good):
    measured = evaluate([read_weighings(good, "own.csv")]).sides[0]
    stated = evaluate([read_weighings(fact(good, "density batch 1", ""), "own.csv")]).sides[0]
    assert measured.map is not None
    assert stated.map is not None

    assert not stated.density_measured
    assert stated.map.displacement.half > 1.5 * measured.map.displacement.half


@pytest.mark.parametrize(
    "text",
    ["", "a,b\n1,2\n", "#headwright trial,2\n", "#headwright trial,1\n", '#headwright trial,1\n"'],
    ids=["nothing", "another table", "another version", "no table", "an open quote"],
)
def test_what_is_no_form_is_told_in_a_line(text):
    assert len(faults(text)) >= 1


@pytest.mark.parametrize("key", ["plan", "runs", "fingerprint"])
def test_a_broken_plan_line_is_told(good, key):
    (line,) = faults(fact(good, key, "{}"))

    assert "plan: given" in line


def test_a_form_of_another_version_is_one_line_that_says_what_to_do(good):
    (line,) = faults(fact(good, "headwright trial", "1"))

    assert "given 'version 1'; accepted: a form of version 2" in line
    assert "copy the masses over" in line


def test_a_file_that_is_not_there_or_no_text_is_told(tmp_path):
    binary = tmp_path / "form.csv"
    binary.write_bytes(b"\xff\xfe\x00")

    for path in (tmp_path / "none.csv", binary):
        with pytest.raises(InputError, match="form"):
            load_weighings(path)


def test_forms_of_two_trials_are_not_put_together(planned, good):
    other = filled(planned("lid-sealant", TrialAims(tolerance=0.04)), SimulatedHead())

    with pytest.raises(UsageError, match="belongs to trial"):
        evaluate([read_weighings(good, "a.csv"), read_weighings(other, "b.csv")])
    with pytest.raises(UsageError, match="of look 1"):
        evaluate([read_weighings(good, "a.csv"), read_weighings(good, "a.csv")])


def test_numbers_without_end_are_none(good):
    """Found by the fuzz of readers: such a run number ended the program."""
    assert (
        "row that the plan does not have"
        in read_weighings(good + "1e999,,,,,,,,,,,,,,,3\n", "own.csv").read_as
    )
    (line,) = faults(changed(good, 3, MASS, "1e999"))
    assert "1e999 g" in line


def column(text: str, head: str) -> str:
    """The same form under another head of the masses."""
    assert "mass [g]" in text
    return text.replace("mass [g]", head)


def test_masses_under_the_wrong_unit_are_read_as_what_they_can_only_be(good):
    read = read_weighings(column(good, "mass [kg]"), "own.csv")

    assert "not kg as the head says" in read.read_as
    assert read.readings == read_weighings(good, "own.csv").readings


def test_a_unit_that_nobody_knows_is_one_line(good):
    (line,) = faults(column(good, "mass [florins]"))

    assert "columns: mass: given 'in florins'; accepted: kg, g, mg" in line


def test_masses_in_another_column_are_told_as_such(good):
    swapped = "\n".join(
        ",".join([*line.split(",")[:14], line.split(",")[15], "", ""])
        if line[0].isdigit()
        else line
        for line in good.splitlines()
    )
    (line,) = faults(swapped)

    assert "filled is 'read temperature': columns swapped?" in line


def test_a_density_that_was_not_measured_is_said(good):
    one = read_weighings(fact(good, "density batch 2", ""), "own.csv")

    assert "density of batch 2 as of batch 1" in one.read_as
    assert one.densities[2, ""] == (one.densities[1, ""][0], False)
    assert any("volume of batch 2" in text for text in evaluate([one]).untested)
    neither = fact(fact(good, "density batch 2", ""), "density batch 1", "")
    assert "density of batch 1 as the data sheet has it" in read_weighings(neither, "a.csv").read_as


@pytest.mark.parametrize(("raw", "words"), [(b"", "an empty file"), (b"PK\0\0\1", "no text")])
def test_an_empty_or_binary_file_is_one_line(tmp_path, raw, words):
    path = tmp_path / "form.csv"
    path.write_bytes(raw)
    with pytest.raises(InputError, match=words) as told:
        load_weighings(path)

    assert len(told.value.faults) == 1
