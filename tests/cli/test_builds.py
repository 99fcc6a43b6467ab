"""The builds command, in this process and as people run it."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from configurator.cli.main import run
from configurator.cli.question import exclusions_from, picks_from
from configurator.errors import UsageError
from configurator.request.orders import ORDERS
from configurator.workshop.figures import FIGURES

PAIR = ["builds", "probe-grease", "plug-grease", "--each"]
ROOT = Path(__file__).resolve().parents[2]
NEED_A_MIXER = {"mixing_cov", "residence_s", "purge_waste_ml"}
NEED_A_SHOP = {"price", "delivery_days"}  # the small catalog states neither
EXAMPLES = ROOT / "catalogs" / "examples"


@pytest.fixture
def asked(small_catalog, capsys):
    """Run on the small catalog; gives the exit code, standard output and standard error."""

    def ask(*arguments: str, pair: list[str] = PAIR) -> tuple[int, str, str]:
        code = run([*pair, "--catalog", str(small_catalog), *arguments])
        return (code, *capsys.readouterr())

    return ask


def test_builds_that_exist_are_exit_code_zero(asked):
    code, out, err = asked()

    assert code == 0
    assert "Silicone grease" in out
    assert err == ""


def test_the_table_fits_a_hundred_columns_and_has_no_escapes(asked):
    _, out, _ = asked("--limit", "50")

    assert max(map(len, out.splitlines())) <= 100
    assert out.replace("\n", "").isprintable()


def test_the_table_names_what_was_asked_and_from_what(asked, small_catalog):
    _, out, _ = asked()

    for said in ("probe-grease", "plug-grease", str(small_catalog), "sha256", "considered"):
        assert said in " ".join(out.split())
    for word in ("fits", "marginal", "unproven"):
        assert word in out
    assert "part figures invented" in " ".join(out.split())


def test_json_and_csv_and_table_agree_on_the_builds(asked):
    data = json.loads(asked("--format", "json", "--limit", "7")[1])
    rows = list(csv.DictReader(io.StringIO(asked("--format", "csv", "--limit", "7")[1])))

    assert len(rows) == len(data["builds"]) == 7
    for row, build in zip(rows, data["builds"], strict=True):
        assert int(row["rank"]) == build["rank"]
        assert row["state"] == build["state"]
        assert {slot: row[slot] for slot in build["parts"]} == build["parts"]
        for name, value in build["figures"].items():
            assert (None if row[name] == "" else float(row[name])) == value


def test_pages_put_together_are_the_list(asked):
    whole = asked("--format", "csv", "--limit", "9")[1].splitlines()[1:]
    first = asked("--format", "csv", "--limit", "4")[1].splitlines()[1:]
    second = asked("--format", "csv", "--limit", "5", "--offset", "4")[1].splitlines()[1:]

    assert first + second == whole


def test_a_pick_leaves_builds_with_that_part_and_as_many_as_promised(asked):
    whole = json.loads(asked("--format", "json", "--limit", "1")[1])
    promised = {choice["part"]: choice["builds"] for choice in whole["choices"]["stator"]}
    picked = json.loads(asked("--format", "json", "--pick", "stator=nbr-s")[1])

    assert picked["count"] == promised["nbr-s"] > 0
    assert {build["parts"]["stator"] for build in picked["builds"]} == {"nbr-s"}


def test_parts_left_out_are_in_no_build_and_no_choice(asked):
    data = json.loads(
        asked("--format", "json", "--without", "outlet=needle-14g-50", "--without", "rotor=316l-s")[
            1
        ]
    )

    assert data["builds"]
    assert all(build["parts"]["outlet"] != "needle-14g-50" for build in data["builds"])
    assert all(build["parts"]["rotor"] != "316l-s" for build in data["builds"])
    assert "needle-14g-50" not in [choice["part"] for choice in data["choices"]["outlet"]]


@pytest.mark.parametrize("name", ORDERS)
def test_a_list_is_in_the_order_asked_for(asked, name):
    text = asked("--format", "csv", "--sort", name, "--limit", "200")[1]
    rows = list(csv.DictReader(io.StringIO(text)))
    figure = next(figure for figure in FIGURES if figure.name == name)
    sign = -1 if figure.highest_first else 1
    keys = [
        (("fits", "marginal", "unproven").index(row["state"]), sign * float(row[name]))
        for row in rows
        if row[name]
    ]

    if name in NEED_A_MIXER | NEED_A_SHOP:
        assert keys == []
        return
    assert len(keys) > 20
    # A figure is rounded for the list; the order is that of the figure itself.
    assert all(
        earlier[0] < later[0] or earlier[1] <= later[1] + 1e-5 * abs(later[1])
        for earlier, later in pairwise(keys)
    )


def test_help_lists_every_figure_that_sorts():
    assert tuple(figure.name for figure in FIGURES if figure.sorts) == ORDERS


def test_an_unknown_figure_is_refused_with_the_nearest(asked):
    code, out, err = asked("--sort", "cost_indx")

    assert (code, out) == (2, "")
    assert "did you mean cost_index?" in err


def test_strict_lists_fits_only(asked, tmp_path):
    """A stator fits where it was soaked: no grade of a chart lets it."""
    soak = {"date": "2026-03-04", "material": "NBR", "substance": "probe-grease", "hours": 168}
    found = {**soak, "temperature_c": 60, "swelling_pct": 1, "grade": "satisfactory"}
    (tmp_path / "shop.jsonl").write_text(json.dumps(found) + "\n")
    record = ("--evidence", str(tmp_path / "shop.jsonl"))
    data = json.loads(asked("--strict", "--format", "json", "--limit", "500", *record)[1])

    assert 0 < len(data["builds"]) == data["counts"]["fits"] < data["count"]
    assert {build["state"] for build in data["builds"]} == {"fits"}


def test_strict_without_a_fit_is_exit_code_one(asked):
    loose, out, _ = asked("--pick", "rotor=316l-s", "--format", "json")
    counts = json.loads(out)["counts"]
    strict, table, _ = asked("--pick", "rotor=316l-s", "--strict")

    assert counts["fits"] == 0 < sum(counts.values())
    assert (loose, strict) == (0, 1)
    assert "Leave out --strict" in table


def test_no_build_is_exit_code_one_and_says_which_rules_leave_none(small_catalog, headwright):
    done = headwright("builds", "lid-sealant", "lid-bead", "--catalog", small_catalog)

    assert done.returncode == 1
    assert done.stderr == ""
    said = " ".join(done.stdout.split())
    assert "None passes all of these at once: " in said
    assert "--format json shows the reasons" in said


def test_a_picked_part_that_is_out_is_told_with_its_reason(asked):
    data = json.loads(asked("--format", "json", "--limit", "1")[1])
    out_alone = [
        (slot, choice)
        for slot, choices in data["choices"].items()
        for choice in choices
        if choice["reasons"]
    ]
    assert out_alone, "the small catalog holds a part that is out by itself"
    slot, choice = out_alone[0]

    code, out, _ = asked("--pick", f"{slot}={choice['part']}")

    assert code == 1
    said = " ".join(out.split())
    assert f"No build with {slot}={choice['part']} passes '" in said
    assert any(f"'{reason['rule']}': " in said for reason in choice["reasons"])


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--pick", "stator=nbr"], "did you mean nbr-s?"),
        (["--pick", "statr=nbr-s"], "did you mean stator?"),
        (["--pick", "stator"], "accepted: SLOT=PART"),
        (["--pick", "=nbr-s"], "accepted: SLOT=PART"),
        (["--without", "stator="], "accepted: SLOT=PART"),
        (["--pick", "size=h2", "--pick", "size=h3"], "both"),
        (["--pick", "stator=\x1b[31mnbr"], "\\x1b[31mnbr"),
    ],
)
def test_a_pick_that_makes_no_sense_is_refused(asked, arguments, said):
    code, out, err = asked(*arguments)

    assert (code, out) == (2, "")
    assert said in err
    assert "\x1b" not in err


def test_all_faults_of_the_picks_come_in_one_go(asked):
    _, _, err = asked("--pick", "statr=nbr-s", "--pick", "rotor=steel", "--without", "seal=x")

    assert len(err.splitlines()) == 3


def test_files_are_taken_as_well_as_names(asked):
    by_name = asked("--format", "json")[1]
    files = [
        "builds",
        "--each",
        str(EXAMPLES / "materials" / "probe-grease.toml"),
        str(EXAMPLES / "processes" / "plug-grease.toml"),
    ]

    assert asked("--format", "json", pair=files)[1] == by_name


def test_a_misspelt_example_is_refused_with_the_nearest(asked):
    code, _, err = asked(pair=["builds", "probe-greese", "plug-grease"])

    assert code == 2
    assert "did you mean probe-grease?" in err


def test_a_bad_material_file_is_exit_code_two_with_one_line_a_fault(asked, tmp_path):
    text = (EXAMPLES / "materials" / "probe-grease.toml").read_text(encoding="utf-8")
    bad = tmp_path / "bad.toml"
    bad.write_text(text.replace("schema = 1", "schema = 1\nname_ = 3"), encoding="utf-8")

    code, out, err = asked(pair=["builds", str(bad), "plug-grease"])

    assert (code, out) == (2, "")
    assert "name_" in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    "content",
    [b"\xff\xfe\x00", b"x = " + b"[" * 500, b"#" * 3_000_000, b'title = "\x1b[31m"', b""],
    ids=["not UTF-8", "deep", "large", "escape", "empty"],
)
def test_hostile_files_are_refused_in_plain_words(asked, tmp_path, content):
    bad = tmp_path / "bad.toml"
    bad.write_bytes(content)

    code, out, err = asked(pair=["builds", str(bad), "plug-grease"])

    assert (code, out) == (2, "")
    assert str(bad) in err
    assert err.replace("\n", "").isprintable()


def test_a_bad_catalog_is_exit_code_three(tmp_path, capsys):
    assert run([*PAIR, "--catalog", str(tmp_path / "nowhere")]) == 3
    out, err = capsys.readouterr()

    assert out == ""
    assert "no such folder" in err


def test_output_is_the_same_byte_for_byte_whatever_the_hash_seed(small_catalog):
    code = (
        f"from configurator.cli.main import run\nasked = {[*PAIR, '--catalog', str(small_catalog)]}"
    )
    code += "\nfor form in ('json', 'table', 'csv'):\n    run([*asked, '--format', form])"
    first, second = (
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            timeout=120,
        ).stdout
        for seed in ("1", "4242")
    )
    assert len(first) > 5000
    assert first == second


def test_escapes_in_a_catalog_title_do_not_reach_the_terminal(small_catalog, tmp_path, capsys):
    folder = tmp_path / "hostile"
    folder.mkdir()
    for path in small_catalog.glob("*.toml"):
        text = path.read_text(encoding="utf-8")
        if path.name == "catalog.toml":
            text = text.replace("Generic starter", r"\u001b]0;gone\u0007\u202e\u009b31m starter")
        (folder / path.name).write_text(text, encoding="utf-8")

    for form in ("table", "json", "csv"):
        run([*PAIR, "--catalog", str(folder), "--format", form])
        out, err = capsys.readouterr()
        assert (out + err).replace("\n", "").isprintable()


def test_an_encoding_that_lacks_a_letter_does_not_stop_the_list(
    small_catalog, headwright, tmp_path
):
    text = (EXAMPLES / "materials" / "probe-grease.toml").read_text(encoding="utf-8")
    named = tmp_path / "fett.toml"
    named.write_text(text.replace('title = "', 'title = "Schl\u00fcssel ', 1), encoding="utf-8")

    done = headwright(
        "builds", named, "plug-grease", "--catalog", small_catalog, PYTHONIOENCODING="ascii"
    )

    assert done.returncode == 0
    assert "Schl\\xfcssel" in done.stdout


def test_picks_are_read_one_a_slot():
    assert picks_from(["stator=nbr-s", "size = h2", "size=h2"]) == {"stator": "nbr-s", "size": "h2"}
    with pytest.raises(UsageError, match="both 'h2' and 'h3'"):
        picks_from(["size=h2", "size=h3"])


def test_exclusions_are_gathered_by_slot():
    assert exclusions_from(["stator=a", "rotor=b", "stator=c"], {}) == {
        "stator": frozenset({"a", "c"}),
        "rotor": frozenset({"b"}),
    }


def test_a_trade_off_lists_builds_that_nothing_beats(asked):
    code, out, _ = asked("--pareto", "cost_index,volume_error_pct", "--format", "json")

    assert code == 0
    figures = [build["figures"] for build in json.loads(out)["builds"]]
    costs = [entry["cost_index"] for entry in figures]
    errors = [entry["volume_error_pct"] for entry in figures]
    assert costs == sorted(costs)
    assert errors == sorted(errors, reverse=True)


def test_the_numbers_of_a_trade_off_are_its_own_and_its_builds_are_handed_on_by_their_parts(asked):
    traded = ("--pareto", "cost_index,volume_error_pct")
    _, told, _ = asked(*traded)
    _, out, _ = asked(*traded, "--format", "json")
    words = " ".join(told.replace("\\\n", " ").split())

    assert "# counts this list alone: `--build` counts the list without --pareto." in words
    picks = re.findall(r"--pick (\S+=\S+)", words)
    assert picks
    _, alone, _ = asked(*(arg for pick in picks for arg in ("--pick", pick)), "--format", "json")
    (build,) = json.loads(alone)["builds"]
    assert build["parts"] == json.loads(out)["builds"][0]["parts"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--pareto", "cost_index"), "2 to 4 different figures"),
        (("--pareto", "cost_index,colour"), "accepted: shortfall_steps"),
        (("--pareto", "cost_index,torque_nm", "--offset", "2"), "one page"),
    ],
)
def test_a_trade_off_that_has_no_meaning_is_refused(asked, arguments, words):
    code, out, err = asked(*arguments)

    assert (code, out) == (2, "")
    assert words in err


def test_a_part_both_picked_and_left_out_is_refused(asked):
    same = "outlet=taper-14g"

    code, out, err = asked("--pick", same, "--without", same)

    assert (code, out) == (2, "")
    assert "both picked and left out" in err
