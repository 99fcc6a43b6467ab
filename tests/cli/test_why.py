"""The commands that explain, in this process and as people run them."""

from __future__ import annotations

import json
import re

import pytest

from configurator.cli.main import run

PAIR = ["probe-grease", "plug-grease"]
NOTHING = ["--pick", "outlet=taper-14g"]
"""Shorter than the reach that is asked for."""


@pytest.fixture
def asked(small_catalog, capsys):
    """Run a command on the small catalog; gives exit code, standard output, standard error."""

    def ask(command: str, *arguments: str, pair: list[str] = PAIR) -> tuple[int, str, str]:
        code = run([command, *pair, "--catalog", str(small_catalog), *arguments])
        return (code, *capsys.readouterr())

    return ask


def test_where_builds_exist_the_first_is_held_up_and_the_exit_code_is_zero(asked):
    code, out, err = asked("why", "--quick")

    assert code == 0
    assert "Tightest margins:" in out
    assert err == ""


def test_where_nothing_fits_the_exit_code_is_one_and_every_reason_has_numbers(asked):
    code, out, _ = asked("why", *NOTHING, "--quick")

    assert code == 1
    assert "reach of the tip" in out
    assert "32 mm" in out
    assert "40 mm" in out
    assert "So, because of 1 and 2, no tip is left." in out


def test_json_and_prose_state_the_same(asked):
    data = json.loads(asked("why", *NOTHING, "--quick", "--format", "json")[1])
    prose = " ".join(asked("why", *NOTHING, "--quick")[1].split())

    assert data["count"] == 0
    assert data["conflicts"]
    for conflict in data["conflicts"]:
        for sentence in conflict["text"]:
            assert " ".join(sentence.split()) in prose
        for step in conflict["steps"]:
            assert step["name"]


def test_a_remedy_in_json_was_solved_again_and_opens_builds(asked):
    data = json.loads(asked("why", *NOTHING, "--format", "json")[1])

    remedies = data["remedies"]["single"]
    assert remedies
    assert all(remedy["builds"] > 0 for remedy in remedies)
    assert {"process.reach", "pick outlet"} <= {
        change["field"] for remedy in remedies for change in remedy["changes"]
    }


def test_a_part_that_is_out_is_explained_by_itself(asked):
    code, out, _ = asked("why", "--part", "outlet=taper-14g", "--quick")

    assert code == 1
    assert "why outlet=taper-14g is out" in out
    assert "enough by itself" in out


def test_a_build_by_rank_and_by_its_parts_reads_the_same(asked):
    _, by_rank, _ = asked("why", "--build", "1", "--quick")
    parts = re.search(r"The build (?:fits|is \w+): (.*?)\.\n", by_rank, re.DOTALL)
    named = " ".join(parts[1].split())

    _, by_parts, _ = asked("why", "--build", named, "--quick")

    assert by_parts == by_rank


@pytest.mark.parametrize(
    "arguments",
    [
        ["--part", "outlet"],
        ["--part", "outlet=taper-14g, body=316l"],
        ["--part", "outlet=nothing"],
        ["--build", "0"],
        ["--build", "999999999"],
        ["--build", "outlet=taper-14g, outlet=taper-14g-black"],
        ["--part", "outlet=taper-14g", "--build", "1"],
    ],
)
def test_what_names_no_part_or_build_is_bad_usage(asked, arguments):
    code, out, err = asked("why", *arguments)

    assert code == 2
    assert out == ""
    assert err


def test_progress_is_no_part_of_what_a_pipe_gets(headwright, small_catalog):
    done = headwright("why", *PAIR, "--catalog", small_catalog, *NOTHING)

    assert done.returncode == 1
    assert done.stderr == ""
    assert "\r" not in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 100


def test_builds_points_to_why_where_nothing_fits(asked):
    code, out, _ = asked("builds", *NOTHING)

    assert code == 1
    assert "headwright why" in " ".join(out.split())


def test_compare_puts_what_differs_first(asked):
    code, out, _ = asked("compare", "--build", "1", "--build", "9")
    data = json.loads(asked("compare", "--build", "1", "--build", "9", "--format", "json")[1])

    assert code == 0
    assert "Build 9 against build 1" in out
    for table in ("parts", "figures", "rules"):
        differs = [row["differs"] for row in data[table]]
        assert differs == sorted(differs, reverse=True)
    assert [build["rank"] for build in data["builds"]] == [1, 9]


def test_compare_takes_two_to_four_builds(asked):
    assert asked("compare", "--build", "1")[0] == 2
    assert asked("compare", *["--build", "1"] * 5)[0] == 2


def test_comparing_with_a_build_that_is_out_is_exit_code_one(asked):
    data = json.loads(asked("builds", "--limit", "1", "--format", "json")[1])
    parts = data["builds"][0]["parts"] | {"outlet": "taper-14g"}
    named = ", ".join(f"{slot}={part}" for slot, part in parts.items())

    code, out, _ = asked("compare", "--build", "1", "--build", named)

    assert code == 1
    assert "ruled out" in out


def test_measure_says_what_a_test_settles_and_that_hours_have_no_source(asked):
    code, out, _ = asked("measure")
    data = json.loads(asked("measure", "--format", "json")[1])

    assert code == 0
    assert all(each["hours_basis"] == "common practice" for each in data["measurements"])
    assert {"now", "measurements", "no_build_hangs_on"} <= data.keys()
    assert data["measurements"] == [] or "common practice, without a source" in " ".join(
        out.split()
    )
