"""The trial commands, from plan to evidence and back into a list of builds."""

from __future__ import annotations

import json

import pytest
from simulated_head import SimulatedHead, filled, plan_of

from configurator.cli.main import run
from configurator.trial.planning import TrialAims

PAIR = ["probe-grease", "plug-grease"]


@pytest.fixture
def trial(small_catalog, capsys):
    def ask(command: str, *arguments: object) -> tuple[int, str, str]:
        middle = [*PAIR, "--catalog", str(small_catalog)] if command == "plan" else []
        code = run(["trial", command, *middle, *map(str, arguments)])
        return (code, *capsys.readouterr())

    return ask


def fill(path, head: SimulatedHead, seed: int = 0) -> None:
    path.write_text(filled(plan_of(path.read_text("utf-8")), head, seed), encoding="utf-8")


def test_a_plan_is_printed_with_its_size_order_and_rule(trial):
    code, out, err = trial("plan", "--seed", "7")

    assert (code, err) == (0, "")
    for said in ("order from seed 7", "Balance", "tolerance interval asks for", "Stop rule"):
        assert said in " ".join(out.split())
    assert max(map(len, out.splitlines())) <= 100


def test_the_form_goes_to_a_file_and_its_numbers_to_json(trial, tmp_path):
    form = tmp_path / "weighings.csv"
    code, out, _ = trial("plan", "--out", form, "--format", "json")
    data = json.loads(out)
    again = trial("plan", "--format", "csv")[1]

    assert code == 0
    assert form.read_text("utf-8") == again
    assert len(data["runs"]) == again.count("\n") - sum(
        line.startswith(("#", "run,")) for line in again.splitlines()
    )
    assert trial("plan", "--out", form)[0] == 2


def test_the_page_to_print_has_a_row_for_each_run(trial, tmp_path):
    page = tmp_path / "plan.html"
    code, out, _ = trial("plan", "--page", page, "--format", "json")
    text = page.read_text("utf-8")

    assert code == 0
    assert text.count('<td class="blank"></td>' * 4) == len(json.loads(out)["runs"])
    assert "Left out because" in text
    assert "default-src" in text
    assert "<script" not in text
    assert "Stop rule" in text


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--confidence", "120 %"], "confidence"),
        (["--confidence", "0,95"], "confidence"),
        (["--reliability", "10 %"], "50 % to 99.99 %"),
        (["--tolerance", "0.1 %"], "no trial of up to"),
        (["--spread", "0 %"], "above zero"),
        (["--balance-step", "5"], "write a unit"),
        (["--look", "2"], "--shots"),
        (["--shots", "4"], "--look 2"),
        (["--look", "3", "--shots", "4"], "up to --looks"),
        (["--build", "0"], "--build"),
        (["--hours", "0.1"], "the flows alone take"),
        (["--hours", "0"], "--hours"),
        (["--again", "dwell"], "a later look alone"),
        (["--look", "2", "--shots", "4", "--hours", "4"], "the first look alone"),
        (["--look", "2", "--shots", "4", "--again", "dwel"], "did you mean dwell?"),
    ],
)
def test_what_makes_no_sense_is_refused_in_a_line(trial, options, said):
    code, out, err = trial("plan", *options)

    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


def test_a_good_head_is_accepted_and_kept_and_used(trial, tmp_path, small_catalog, capsys):
    form, shop = tmp_path / "weighings.csv", tmp_path / "shop.jsonl"
    trial("plan", "--out", form)
    fill(form, SimulatedHead(off=0.03, noise=0.003))
    code, out, err = trial("evaluate", form, "--into", shop)
    again = trial("evaluate", form, "--into", shop)

    assert code == 0
    assert out.startswith("Verdict: accept")
    assert "1 new head record" in err
    assert "held them already" in again[2]
    record = json.loads(shop.read_text("utf-8"))
    assert record["displacement_ml"] == pytest.approx(0.04 * 1.03, rel=0.01)

    def speed(*evidence: str) -> float:
        out = tmp_path / "sheet.json"
        run(
            [
                "sheet",
                *PAIR,
                "--catalog",
                str(small_catalog),
                "--out",
                str(out),
                "--force",
                *evidence,
            ]
        )
        capsys.readouterr()
        return float(json.loads(out.read_text("utf-8"))["figures"]["speed_low_rpm"])

    assert speed("--evidence", str(shop)) == pytest.approx(speed() / 1.03, rel=0.01)


def test_a_plan_says_what_people_have_to_mind(trial, tmp_path):
    page = tmp_path / "plan.html"
    _, out, _ = trial("plan", "--page", page)
    data = json.loads(trial("plan", "--format", "json")[1])

    assert data["cautions"]
    assert "Cautions:" in out
    assert "risk assessment" in " ".join(out.split())
    for caution in data["cautions"]:
        assert caution["topic"] in out
        assert caution["topic"] in page.read_text("utf-8")


def test_the_record_of_a_rejected_head_is_kept_and_said_to_be_unused(trial, tmp_path):
    form, shop = tmp_path / "weighings.csv", tmp_path / "shop.jsonl"
    trial("plan", "--out", form)
    fill(form, SimulatedHead(noise=0.03))
    _, _, err = trial("evaluate", form, "--into", shop)

    assert "rejected head: kept, and not used" in err
    assert json.loads(shop.read_text("utf-8"))["verdict"] == "reject"


def test_a_bad_head_is_exit_code_one_with_the_reason_first(trial, tmp_path):
    form = tmp_path / "weighings.csv"
    trial("plan", "--out", form)
    fill(form, SimulatedHead(noise=0.03))
    code, out, _ = trial("evaluate", form)
    data = json.loads(trial("evaluate", form, "--format", "json")[1])

    assert code == 1
    assert out.startswith("Verdict: reject")
    assert data["verdict"]["word"] == "reject"
    assert max(map(len, out.splitlines())) <= 100


def test_an_empty_form_is_refused_in_a_line(trial, tmp_path):
    form = tmp_path / "weighings.csv"
    trial("plan", "--out", form)
    code, out, err = trial("evaluate", form)

    assert (code, out) == (2, "")
    assert "at least one mass" in err
    assert len(err.splitlines()) == 1


def test_a_plan_for_some_hours_says_what_it_takes_and_what_it_leaves_out(trial):
    code, out, _ = trial("plan", "--hours", "2")
    data = json.loads(trial("plan", "--hours", "2", "--format", "json")[1])
    whole = json.loads(trial("plan", "--format", "json")[1])

    assert code == 0
    assert "Not proven by it:" in out
    assert "the full plan has" in " ".join(out.split())
    assert data["duration_h"] <= 2.0 < whole["duration_h"]
    assert data["material_g"] < whole["material_g"]
    assert len(data["not_proven"]) > len(whole["not_proven"])


def test_how_a_form_was_read_is_one_line_beside_the_verdict(trial, tmp_path):
    form = tmp_path / "weighings.csv"
    trial("plan", "--hours", "2", "--out", form)
    fill(form, SimulatedHead(noise=0.003))
    code, out, err = trial("evaluate", form)

    assert code == 0
    assert out.startswith("Verdict: accept")
    assert "Not tested:" in out
    assert len(err.splitlines()) == 1
    assert "runs weighed, masses in g" in err


def test_what_is_no_trial_of_this_program_is_one_line_and_nothing_is_written(trial, tmp_path):
    form, other, shop = (tmp_path / name for name in ("one.csv", "other.csv", "shop.jsonl"))
    trial("plan", "--out", form)
    trial("plan", "--tolerance", "8 %", "--out", other)
    for path in (form, other):
        fill(path, SimulatedHead(noise=0.003))
    old = tmp_path / "old.csv"
    old.write_text(form.read_text("utf-8").replace("#headwright trial,2", "#headwright trial,1"))

    for given, said in (
        ([form, other], "belongs to trial"),
        ([old], "version 1"),
        ([form, form], "of look 1"),
    ):
        code, out, err = trial("evaluate", *given, "--into", shop)

        assert (code, out) == (2, "")
        assert said in err
        assert len(err.splitlines()) == 1
        assert not shop.exists()


def test_an_unknown_build_or_a_page_that_is_there_leaves_no_form_behind(trial, tmp_path):
    form, page = tmp_path / "form.csv", tmp_path / "page.html"
    page.write_text("of somebody else", encoding="utf-8")

    for options in (["--build", "9999"], ["--page", page]):
        code, _, err = trial("plan", "--out", form, *options)

        assert code in {1, 2}
        assert len(err.splitlines()) == 1
        assert not form.exists()


def test_a_further_look_weighs_again_what_is_open(trial):
    plan = ["plan", "--look", "2", "--shots", "4", "--again", "dwell", "--format", "json"]
    data = json.loads(trial(*plan)[1])
    dwells = [run["dwell_min"] for run in data["runs"] if run["block"] == "dwell"]

    assert {run["block"] for run in data["runs"]} == {"dwell", "blank"}
    assert all(dwells.count(dwell) == 4 for dwell in dwells)


def test_a_missing_form_is_refused(trial, tmp_path):
    code, _, err = trial("evaluate", tmp_path / "none.csv")

    assert code == 2
    assert "No such file" in err


def test_wanted_defaults_are_those_of_the_command(trial):
    data = json.loads(trial("plan", "--format", "json")[1])
    wanted = TrialAims()

    assert wanted.confidence is None
    assert data["confidence_pct"] == 95.0  # plug-grease states it
    assert data["reliability_pct"] == wanted.reliability * 100
    assert (data["looks"], data["seed"]) == (wanted.looks, wanted.seed)


def test_a_running_head_is_judged_against_the_record_that_its_trial_left(trial, tmp_path):
    form, shop, weekly = (tmp_path / name for name in ("form.csv", "shop.jsonl", "weekly.csv"))
    trial("plan", "--out", form)
    fill(form, SimulatedHead(off=0.03, noise=0.002))
    trial("evaluate", form, "--into", shop)
    record = json.loads(shop.read_text("utf-8"))

    def judged(change: float, *options: object) -> tuple[int, str, str]:
        lines = ["date;mass [g];turns"]
        for week in range(6):
            mass = 0.04 * 1.03 * (1.0 + change * week) * 10 * 1.25
            lines += [f"0{week + 1}.03.2026;{mass + place * 1e-4:.5f};10" for place in range(3)]
        weekly.write_text("\n".join(lines), encoding="utf-8")
        density = ("--density", "1.25 g/cm^3")
        return trial("recalibrate", weekly, "--record", shop, *density, *options)

    assert record["delivered_ml"] == pytest.approx(0.04 * 1.03, rel=0.005)
    for change, word, code in ((0.0, "still in", 0), (0.004, "drifting", 1), (0.03, "out", 1)):
        found, out, err = judged(change)
        data = json.loads(judged(change, "--format", "json")[1])

        assert (found, out.splitlines()[0]) == (code, f"Verdict: {word}")
        assert data["verdict"] == word
        assert (data["weigh_again_by"] is None) == (word == "out")
        assert err.count("\n") == 1
    code, out, err = judged(0.0, "--trial", "nobody")
    assert (code, out) == (2, "")
    assert err == f"--trial: given 'nobody'; accepted: {record['trial']}\n"
