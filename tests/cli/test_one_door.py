"""One question with the shop's own findings through every face: one first build, one set of counts."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from measured_cavity import MEASURED

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.chemistry.evidence import add_evidence, load_evidence
from configurator.chemistry.evidence_files import record_from
from configurator.cli.main import COMMANDS, run
from configurator.cli.opening import EVIDENCE_VARIABLE
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.rules.finding import LISTED
from configurator.tui.app import HeadwrightApp
from configurator.tui.build_list import BuildList
from configurator.workshop.answer import Answer
from configurator.workshop.head_record import add_records
from configurator.workshop.workshop import Workshop

PAIR = ("probe-grease", "plug-grease")
PARTS = ("--pick", "body=316l", "--without", "outlet=needle-14g-50")

SWOLLEN = {
    "date": "2026-03-04",
    "material": "NBR",
    "substance": "silicone oil",
    "temperature": "28 degC",
    "time": "168 h",
    "swelling": "12 %",
}
"""The stator of the first build, as the tables have it, swells in this shop."""

SOAKED = {**SWOLLEN, "material": "EPDM", "substance": "probe-grease", "swelling": "1 %"}
"""What lets another stator fit: no grade of a chart does."""

HEAD = MEASURED.model_copy(
    update={"material": "probe-grease", "cavity": "h2-0.04-2s", "stator": "epdm-s"}
    | {"displacement_ml": 0.045, "displacement_half_ml": 0.001}
)
"""A trial moved an eighth more than the catalog says."""


@dataclass(frozen=True)
class Shop:
    """A small catalog, a record of findings, and what they answer."""

    catalog: Path
    record: Path
    answer: Answer
    without_findings: Answer

    @property
    def first(self) -> dict[str, str]:
        build = self.answer.first
        assert build is not None
        return {slot: part.name for slot, part in build.parts.items()}

    @property
    def counts(self) -> dict[str, int]:
        return {level.words: self.answer.counts[level] for level in LISTED}

    @property
    def findings(self) -> list[tuple[str, str]]:
        assert self.answer.first is not None
        return [(each.rule, each.state.words) for each in self.answer.first.findings]


@pytest.fixture(scope="module")
def shop(small_catalog, tmp_path_factory) -> Shop:
    record = tmp_path_factory.mktemp("shop") / "shop.jsonl"
    add_evidence(record, [record_from(SWOLLEN), record_from(SOAKED)])
    add_records(record, [HEAD])
    shipped = shipped_folder()
    catalog = load_catalog(small_catalog, substances=shipped / "substances")
    question = Question(
        load_material(PAIR[0], folder=shipped / "examples"),
        load_process(PAIR[1], folder=shipped / "examples"),
        {"body": "316l"},
        {"outlet": frozenset({"needle-14g-50"})},
    )
    knowing = Workshop(catalog, load_evidence(record), (HEAD,))
    return Shop(small_catalog, record, knowing.answer(question), Workshop(catalog).answer(question))


@pytest.fixture(params=["by option", "by environment"])
def ask(request, shop, monkeypatch, capsys, tmp_path):
    """Puts the question with a command; gives exit code, standard output, the folder."""
    given: list[str] = []
    if request.param == "by option":
        given = ["--catalog", str(shop.catalog), "--evidence", str(shop.record)]
    else:
        monkeypatch.setenv("HEADWRIGHT_CATALOG", str(shop.catalog))
        monkeypatch.setenv(EVIDENCE_VARIABLE, str(shop.record))

    def put(*words: str) -> tuple[int, str]:
        code = run([*words, *PARTS, *given])
        out, err = capsys.readouterr()
        assert code in (0, 1), err
        return code, out

    return put


def asked_json(ask, *words: str) -> Any:
    code, out = ask(*words, "--format", "json")
    assert code == 0
    return json.loads(out)


def listed(tmp_path: Path) -> str:
    path = tmp_path / "list.csv"
    path.write_text(f"file\n{PAIR[0]}\n", encoding="utf-8")
    return str(path)


def test_the_findings_move_what_is_asked(shop):
    """Else the tests below could not tell a face that ignores them."""
    before = shop.without_findings.first
    assert before is not None
    assert before.parts["stator"].name == "nbr-s"
    assert shop.first["stator"] != "nbr-s"
    assert shop.answer.counts != shop.without_findings.counts
    assert shop.answer.first is not None
    assert shop.first["cavity"] == HEAD.cavity
    assert shop.answer.first.figures["speed_low_rpm"] != before.figures["speed_low_rpm"]


def test_builds_as_json(ask, shop):
    data = asked_json(ask, "builds", *PAIR)

    assert data["counts"] == shop.counts
    assert data["builds"][0]["parts"] == shop.first
    found = [(each["rule"], each["state"]) for each in data["builds"][0]["findings"]]
    assert found == shop.findings


def test_builds_as_csv(ask, shop):
    text = ask("builds", *PAIR, "--limit", "1000", "--format", "csv")[1]
    rows = list(csv.DictReader(io.StringIO(text)))

    assert {slot: rows[0][slot] for slot in shop.first} == shop.first
    states = [row["state"] for row in rows]
    assert {state: states.count(state) for state in shop.counts} == shop.counts


def test_builds_as_a_table(ask, shop):
    words = " ".join(ask("builds", *PAIR, "--each", "--limit", "1")[1].split())

    assert f"{shop.answer.count} of " in words
    assert ", ".join(f"{count} {state}" for state, count in shop.counts.items()) in words
    shown = words.partition("This build: ")[2]
    named = [f"{'tip' if slot == 'outlet' else slot} {name}" for slot, name in shop.first.items()]
    assert shown.startswith(", ".join(named))


def test_why(ask, shop):
    data = asked_json(ask, "why", *PAIR, "--quick")

    assert data["count"] == shop.answer.count
    assert data["build"]["parts"] == shop.first


def test_why_of_a_build_by_its_number(ask, shop):
    data = asked_json(ask, "why", *PAIR, "--quick", "--build", "1")

    assert data["build"]["parts"] == shop.first


def test_compare(ask, shop):
    data = asked_json(ask, "compare", *PAIR, "--build", "1", "--build", "2")

    assert data["builds"][0]["parts"] == shop.first
    states = {row["rule"]: row["findings"][0]["state"] for row in data["rules"]}
    assert states == dict(shop.findings)


def test_shortlist(ask, shop):
    data = asked_json(ask, "shortlist", *PAIR)
    state = next(level for level in LISTED if shop.answer.counts[level])

    assert (data["state"], data["first_build"]) == (state.words, shop.first)
    assert {head["parts"]["body"] for head in data["heads"]} == {"316l"}
    assert {head["parts"]["cavity"] for head in data["heads"]} <= {HEAD.cavity, "h2-0.04-4s"}


def test_measure(ask, shop):
    data = asked_json(ask, "measure", *PAIR)

    assert {state: data["now"][state] for state in shop.counts} == shop.counts


def test_a_row_of_a_screening(ask, shop, tmp_path):
    code, out = ask("screen", listed(tmp_path), "--process", PAIR[1])
    (row,) = csv.DictReader(io.StringIO(out))

    assert code == 0
    assert row["best_build"] == ", ".join(f"{slot}={name}" for slot, name in shop.first.items())
    assert {state: int(row[state]) for state in shop.counts} == shop.counts
    assert row["evidence_sha256"]


def test_gaps(ask, shop, tmp_path):
    data = asked_json(ask, "gaps", listed(tmp_path), "--process", PAIR[1])
    used = {
        (slot, part.part.name)
        for slot, parts in shop.answer.choices.items()
        for part in parts
        if part.builds
    }

    assert data["unserved"] == []
    idle = {(slot, name) for slot, names in data["serve_nothing"].items() for name in names}
    assert idle
    assert not idle & used
    assert ("stator", "nbr-s") in idle  # the finding leaves it no use here


def test_the_data_sheet(ask, shop, tmp_path):
    out = tmp_path / "head.json"
    assert ask("sheet", *PAIR, "--out", str(out))[0] == 0
    data = json.loads(out.read_text(encoding="utf-8"))

    assert data["parts"] == shop.first
    found = [(each["rule"], each["state"]) for each in data["findings"]]
    assert found == shop.findings


def test_the_plan_of_a_trial(ask, shop):
    data = asked_json(ask, "trial", "plan", *PAIR)

    assert data["parts"] == shop.first


def test_the_terminal_ui(ask, shop, monkeypatch, tmp_path):
    apps = []
    monkeypatch.setenv("HEADWRIGHT_SESSION", str(tmp_path))
    monkeypatch.setattr(HeadwrightApp, "run", lambda app, **_: apps.append(app))
    ask("tui", *PAIR)
    session = apps[0].session
    session.solved(apps[0].solve(session.to_solve))
    builds = BuildList(session.answer)
    builds.fetch(0, 1)

    assert {level.words: session.answer.counts[level] for level in LISTED} == shop.counts
    assert {slot: part.name for slot, part in builds.row(0).parts.items()} == shop.first


def test_what_the_material_lacks_is_counted_in_the_same_builds(ask, shop):
    data = asked_json(ask, "material", "check", PAIR[0], "--process", PAIR[1])
    (entry,) = data["processes"]

    assert {state: entry["now"][state] for state in shop.counts} == shop.counts


ORDERED = ("builds", "why", "compare", "sheet", "trial plan")


@pytest.mark.parametrize("command", ORDERED)
def test_order_and_strictness_are_those_of_the_list(command, shop, capsys, tmp_path):
    """`--sort` and `--strict` lead every command that is about a build to the same one."""
    order = {"sort": "shot_revolutions", "strict": True}
    best = shop.answer.with_question(replace(shop.answer.question, **order)).builds(limit=1)[0]
    first = {slot: part.name for slot, part in best.parts.items()}
    assert first != shop.first
    given = ["--sort", "shot_revolutions", "--catalog", str(shop.catalog)]
    given += ["--evidence", str(shop.record), *PARTS]
    more = {
        "why": ["--quick", "--format", "json"],
        "compare": ["--build", "1", "--build", "2", "--strict", "--format", "json"],
        "sheet": ["--out", str(tmp_path / "a.json"), "--strict"],
    }.get(command, ["--strict", "--format", "json"])
    assert run([*command.split(), *PAIR, *given, *more]) == 0
    out = capsys.readouterr().out
    data = json.loads((tmp_path / "a.json").read_text() if command == "sheet" else out)
    built = data.get("build") or (data["builds"][0] if "builds" in data else data)

    assert built["parts"] == first


def test_a_soak_that_is_on_record_is_not_asked_for_again(small_catalog, tmp_path, capsys):
    def asks() -> set[str]:
        pair = ("lens-adhesive", "lens-ring")
        run(["measure", *pair, "--catalog", str(small_catalog), *record, "--format", "json"])
        data = json.loads(capsys.readouterr().out)
        return {each["field"] for each in data["measurements"] + data["no_build_hangs_on"]}

    record: list[str] = []
    before = asks()
    assert "316L" in before
    record = ["--evidence", str(tmp_path / "shop.jsonl")]
    soaked = SWOLLEN | {"material": "316L", "substance": "photoinitiator"}
    found = record_from({**soaked, "swelling": None, "grade": "satisfactory"})
    add_evidence(tmp_path / "shop.jsonl", [found])
    after = asks()
    assert "316L" not in after
    assert after < before


REFUSED = {
    "shortlist": ("--sort",),
    "common": ("--sort",),
    "why": ("--strict",),
    "measure": ("--strict",),
    "screen": ("--sort",),
    "gaps": ("--sort",),
    "material": ("--sort", "--strict"),
}
"""What has no meaning for a command: it is refused, and its help does not offer it."""
QUESTION = ("--catalog", "--in-stock", "--evidence", "--pick", "--without", "--sort", "--strict")
PUT = [name for name in COMMANDS if name not in {"evidence", "catalog", "examples", "new"}]


@pytest.mark.parametrize("command", PUT)
def test_every_command_that_puts_a_question_takes_the_same_options(command, capsys):
    inner = {"material": ["check"], "trial": ["plan"]}.get(command, [])
    assert run([command, *inner, "--help"]) == 0
    told = capsys.readouterr().out

    refused = REFUSED.get(command, ())
    assert all((f"  {option} " in told) == (option not in refused) for option in QUESTION)


@pytest.mark.parametrize(
    "words",
    [
        ["why", *PAIR, "--strict"],
        ["measure", *PAIR, "--strict"],
        ["shortlist", *PAIR, "--sort", "torque_nm"],
        ["common", "jobs.csv", "--sort", "torque_nm"],
        ["screen", "list.csv", "--process", PAIR[1], "--sort", "torque_nm"],
        ["gaps", "list.csv", "--process", PAIR[1], "--sort", "torque_nm"],
        ["material", "check", PAIR[0], "--sort", "torque_nm"],
        ["material", "check", PAIR[0], "--strict"],
    ],
    ids=" ".join,
)
def test_an_option_without_a_meaning_is_refused_in_one_line(words, capsys):
    assert run(words) == 2
    out, err = capsys.readouterr()

    assert out == ""
    assert err.count("\n") == 1
    assert "leave it out" in err


NONE = ("grip-mortar", "grip-dots")
UNPROVEN = ("lens-adhesive", "lens-ring")


@pytest.mark.parametrize(
    "words",
    [
        ["builds", *NONE],
        ["shortlist", *NONE],
        ["shortlist", *UNPROVEN, "--strict"],
        ["why", *NONE, "--quick"],
        ["why", *NONE, "--build", "1"],
        ["compare", *NONE, "--build", "1", "--build", "2"],
        ["measure", *NONE],
        ["sheet", *NONE, "--out", "none.json"],
        ["trial", "plan", *NONE],
        ["builds", *PAIR, "--without", "mixing=none"],
        ["why", *PAIR, "--without", "mixing=none", "--quick"],
        ["measure", *PAIR, "--without", "mixing=none"],
        ["builds", *UNPROVEN, "--strict"],
        ["compare", *UNPROVEN, "--strict", "--build", "1", "--build", "2"],
        ["sheet", *UNPROVEN, "--strict", "--out", "none.json"],
        ["trial", "plan", *UNPROVEN, "--strict"],
    ],
    ids=" ".join,
)
def test_no_build_is_exit_code_one_everywhere(words, small_catalog, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code = run([*words, "--catalog", str(small_catalog)])

    assert code == 1, capsys.readouterr().err
    assert not list(tmp_path.glob("none*"))
