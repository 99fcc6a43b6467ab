"""Bad weighings: each gets one clear line, and nothing is guessed."""

from __future__ import annotations

import csv
import io

import pytest
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

    assert "without a unit, and 209 more" in line
    assert "mass [g]" in line


def test_units_may_stand_in_the_cells(good):
    text = changed(good, 2, MASS, "6800 mg").replace("mass [g]", "mass [g]")

    assert read_weighings(text, "own.csv").readings[1].mass == pytest.approx(6.8e-3)


def test_a_slip_of_the_unit_is_told_with_the_expectation(good):
    line = faults(good.replace("mass [g]", "mass [mg]"))[0]

    assert "accepted: about" in line
    assert "a slip of the unit" in line


def test_a_mass_that_is_far_off_may_stand_with_a_reason(good):
    text = changed(changed(good, 3, MASS, "0.01"), 3, MASS + 1, "cup tipped over")
    found = evaluate([read_weighings(text, "own.csv")])

    assert found.left_out == ((3, "cup tipped over"),)


def with_semicolons(text: str, run: int, mass: str) -> str:
    """The form as a spreadsheet of a country with decimal commas saves it."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";", lineterminator="\n")
    for row in csv.reader(io.StringIO(text)):
        if row[0] == str(run):
            row[MASS] = mass
        writer.writerow(row)
    return out.getvalue()


def test_a_form_with_semicolons_is_read(good):
    found = read_weighings(with_semicolons(good, 2, "7.1"), "own.csv")

    assert found.readings[1].mass == pytest.approx(7.1e-3)


def test_a_comma_decimal_is_refused_with_its_remedy(good):
    (line,) = faults(with_semicolons(good, 2, "7,1234"))

    assert "run 2: mass" in line
    assert "write a decimal point, not a comma" in line


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


def test_a_run_twice_is_told(good):
    line = next(line for line in good.splitlines() if line.startswith("9,"))
    found = faults(good + line + "\n")

    assert any("run 9" in each and "2 rows" in each for each in found)


def test_a_run_that_is_gone_is_told_with_the_counts(good):
    text = "\n".join(line for line in good.splitlines() if not line.startswith("9,"))
    (line,) = faults(text)

    assert "without run 9" in line
    assert "left out because" in line


def test_planned_columns_may_not_change(good):
    (line,) = faults(changed(good, 2, 6, "3"))

    assert "planned columns that differ" in line


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


def test_a_broken_plan_line_is_told(good):
    (line,) = faults(fact(good, "plan", "{}"))

    assert "plan: given" in line


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
