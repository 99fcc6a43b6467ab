"""What is said: reasons, comparisons, the command line, and what is kept on disk."""

from __future__ import annotations

import json
import shlex
from dataclasses import replace

import pytest
from tui_worlds import asked, small_catalog

from configurator.cli.question import exclusions_from, picks_from
from configurator.explain.compare import compare
from configurator.report.compare import compare_text
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.rules.finding import State
from configurator.tui.build_list import PAGE, BuildList, View
from configurator.tui.desk_work import (
    FORMS,
    WIDEST,
    compared,
    exported,
    marked_builds,
    reasons_for_none,
    reasons_of_build,
    reasons_of_part,
    sheet_for,
)
from configurator.tui.form import fields_of
from configurator.tui.kept import (
    KEPT,
    bring_back,
    command_line,
    earlier,
    keep,
    set_aside,
)
from configurator.tui.looks import ASCII
from configurator.tui.needs import lifted, needs_of
from configurator.tui.session import Session, key_of
from configurator.workshop.heads import heads_of, is_exchanged
from configurator.workshop.workshop import Workshop


def solved(session):
    session.solved(session.workshop.answer(session.to_solve))
    return session


@pytest.fixture
def session(examples):
    return solved(asked(examples, "plain", "flow"))


def text_of(said):
    return "\n".join(entry.text for entry in said)


def why_part(session, slot, name):
    found = session.board.slot(slot)
    option = next(option for option in found.options if option.name == name)
    return reasons_of_part(session.answer, session.draft, found, option)[1]


def test_a_part_that_a_rule_shuts_out_is_told_with_number_source_and_basis(examples):
    session = solved(asked(examples, "gritty", "flow"))
    said = text_of(why_part(session, "outlet", "tip"))

    assert "tip bore against largest particle" in said
    assert "source: " in said
    assert "weakest input: " in said
    assert "1.33 times" in said


def test_a_part_that_a_pick_shuts_out_has_a_remedy_that_brings_it_back(session):
    session.pick("size", "tall")
    board = session.board
    out = next(option for option in board.slot("cavity").options if option.name == "one-ml")
    assert out.left == 0
    said = why_part(session, "cavity", "one-ml")
    remedies = [entry.remedy for entry in said if entry.remedy is not None]

    assert [remedy.words for remedy in remedies] == ["free size"]
    session.put(remedies[0].draft)
    back = next(
        option for option in session.board.slot("cavity").options if option.name == "one-ml"
    )
    assert back.left > 0


def test_without_builds_the_reasons_name_slots_rules_and_numbers(examples):
    session = solved(asked(examples, "gritty", "flow"))
    said = text_of(reasons_for_none(session.answer, session.draft)[1])

    assert said.startswith("No build is left. None passes all of these at once: ")
    assert "No part is left for: cavity, outlet." in said
    assert "1.5 mm" in said


def test_picks_that_leave_nothing_are_freed_one_by_one(session):
    session.pick("size", "tall")
    session.pick("cavity", "one-ml")
    assert session.answer.count == 0
    _, said = reasons_for_none(session.answer, session.draft)
    remedies = {entry.remedy.words: entry.remedy for entry in said if entry.remedy}

    assert set(remedies) == {"free size", "free cavity"}
    for remedy in remedies.values():
        session.put(remedy.draft)
        assert session.answer.count > 0
        session.undo()


def test_a_build_is_told_with_every_rule_once(session):
    build = session.answer.builds(limit=10_000)[-1]
    assert build.state is State.MARGINAL
    said = text_of(reasons_of_build(session.answer, session.draft, build)[1])

    for finding in build.findings:
        assert finding.rule in said
    assert "marginal: " in said


def test_a_comparison_on_the_screen_is_that_of_the_command(session):
    builds = session.answer.builds(limit=2)
    ranks = {key_of(build): build.rank for build in builds}
    page = compared(session.answer, list(ranks), 200, ASCII, ranks)
    lines = ["".join(text for text, _ in line) for line in page.page._lines]
    bars = lines.index("Left of the limit in each build, the least first:")
    heads, shown = "\n".join(lines[: bars - 1]).split("\n\n", 1)
    rules = {f.rule for build in builds for f in build.findings if f.margin is not None}
    assert len(lines) - bars - 1 == len(rules)
    told = compare_text(session.answer, compare(session.answer, ["1", "2"]), WIDEST)

    assert heads.splitlines() == [
        f"Build {place}  {build.state.words}" for place, build in enumerate(builds, start=1)
    ]
    assert told.endswith(f"\n\n{shown}\n")
    assert compared(session.answer, [key_of(builds[0])], 200, ASCII).startswith(
        "of the marked builds"
    )


def test_marks_outlive_a_new_answer_and_say_when_a_part_is_out(session):
    builds = session.answer.builds(limit=2)
    keys = [key_of(build) for build in builds]
    field = next(f for f in fields_of(session.draft.process) if f.path == "tolerance")
    session.type("process", field, "3 %")
    solved(session)
    again = marked_builds(session.answer, keys)
    assert [key_of(build) for build in again] == keys

    gone = (*keys[0][:-1], ("feed", "no-such-part"))
    assert [key_of(build) for build in marked_builds(session.answer, [gone, keys[1]])] == keys[1:]
    assert marked_builds(session.answer, [gone]) == ()


def test_a_list_fetches_what_is_looked_at_and_agrees_with_the_engine(session):
    builds = BuildList(session.answer, View(folds=False))
    assert len(builds) == session.answer.count == 144
    assert builds.row(0) is None
    assert builds.lacks(0, 5)

    builds.fetch(100, 110)
    assert builds.row(0) is None
    page = session.answer.builds(offset=100, limit=10)
    assert [builds.row(at).parts for at in range(100, 110)] == [build.parts for build in page]
    assert builds.row(100).rank == 101
    builds.fetch(0, 1)
    assert not builds.lacks(0, PAGE)
    assert builds.row(0).parts == session.answer.builds(limit=1)[0].parts


def test_a_strict_list_holds_builds_that_fit(session):
    session.order(session.sort, strict=True)
    builds = BuildList(session.answer, View(folds=False))
    builds.fetch(0, len(builds))

    assert builds.total == session.answer.counts[State.FITS]
    assert {build.state for build in builds.fetched()} == {State.FITS}


def counted_by(command, examples):
    """Builds that the command line asks for, through the readers of the command itself."""
    words = shlex.split(command)
    assert words[:2] == ["headwright", "builds"]
    material, process, *rest = words[2:]
    options = list(zip(rest[::2], rest[1::2], strict=False))
    question = Question(
        load_material(material, folder=examples),
        load_process(process, folder=examples),
        picks_from([value for option, value in options if option == "--pick"]),
        exclusions_from([value for option, value in options if option == "--without"], {}),
    )
    return Workshop(small_catalog()).answer(question).count


def test_the_command_gives_what_is_on_the_screen(session, examples, tmp_path):
    session.pick("stator", "stiff")
    session.exclude("drive", "slow")
    assert command_line(session, tmp_path) == (
        "headwright builds plain flow --pick stator=stiff --without drive=slow"
    )
    assert counted_by(command_line(session, tmp_path), examples) == session.answer.count

    field = next(f for f in fields_of(session.draft.process) if f.path == "deposit.flow")
    session.type("process", field, "70..90 mL/min")
    solved(session)
    keep(session, tmp_path)
    command = command_line(session, tmp_path)
    assert str(tmp_path / "process.toml") in command
    assert counted_by(command, examples) == session.answer.count


def test_the_command_names_order_strictness_and_options(session, tmp_path):
    session.order("torque_nm", strict=session.strict)
    session.order(session.sort, strict=True)
    words = command_line(session, tmp_path, ["--catalog", "my parts"])

    assert words == "headwright builds plain flow --catalog 'my parts' --sort torque_nm --strict"


def test_before_a_question_there_is_no_command(examples, tmp_path):
    assert command_line(asked(examples), tmp_path) == ""


def test_a_session_comes_back_as_it_was(session, examples, tmp_path):
    field = next(f for f in fields_of(session.draft.process) if f.path == "tolerance")
    session.type("process", field, "3,5 %")
    session.pick("stator", "stiff")
    session.exclude("outlet", "odd")
    session.put(
        lifted(
            session.draft,
            next(n for n in needs_of(session.draft) if n.key == "process:feed_pressure"),
        )
    )
    session.mark(session.answer.builds(limit=1)[0])
    session.order("torque_nm", strict=True)
    keep(session, tmp_path)

    other = Session(Workshop(small_catalog()), examples)
    assert bring_back(other, tmp_path / "session.json")
    assert other.draft == session.draft
    assert other.faults == session.faults
    assert other.marked == session.marked
    assert (other.sort, other.strict) == (session.sort, session.strict)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"schema": 2}',
        '{"schema": 1}',
        '{"schema": 1, "material": {"tables": []}}',
        "\x00",
    ],
)
def test_a_broken_file_is_no_session(text, examples, tmp_path):
    (tmp_path / "session.json").write_text(text)
    session = asked(examples)

    assert not bring_back(session, tmp_path / "session.json")
    assert session.draft.material is None


def test_parts_that_the_catalog_lost_are_left_out(session, examples, tmp_path):
    session.pick("stator", "stiff")
    keep(session, tmp_path)
    path = tmp_path / "session.json"
    data = json.loads(path.read_text())
    data["picks"]["drive"] = "gone"
    data["without"] = {"outlet": ["gone"]}
    path.write_text(json.dumps(data))
    other = Session(Workshop(small_catalog()), examples)

    assert bring_back(other, tmp_path / "session.json")
    assert other.draft.picks == {"stator": "stiff"}
    assert other.draft.without == {}


def test_earlier_sessions_are_kept_to_a_number(session, tmp_path):
    for number in range(KEPT + 3):
        keep(session, tmp_path)
        (tmp_path / "session.json").write_text(str(number))
        set_aside(tmp_path)
    kept = sorted(path.name for path in tmp_path.glob("session-*.json"))

    assert kept == [f"session-{number}.json" for number in range(1, KEPT + 1)]
    assert (tmp_path / "session-1.json").read_text() == str(KEPT + 2)
    assert not (tmp_path / "session.json").exists()


def test_a_file_is_written_whole_and_leaves_nothing_beside_it(session, tmp_path):
    keep(session, tmp_path)
    keep(session, tmp_path)

    assert [path.name for path in tmp_path.iterdir()] == ["session.json"]


def test_an_answer_under_other_picks_shares_what_was_dear(session):
    answer = session.answer
    grid = answer.grid
    other = answer.with_question(replace(answer.question, picks={"stator": "stiff"}))

    assert other.grid is grid
    assert other.subject.question.picks == {"stator": "stiff"}
    assert answer.subject.question.picks == {}


@pytest.mark.parametrize("form", list(FORMS))
def test_every_form_of_export_is_written_from_one_answer(session, form):
    answer = session.workshop.answer(session.draft.question()[0])
    build = answer.builds(offset=1, limit=1)[0]
    if form == "sheet":
        pytest.importorskip("jinja2")
        text = sheet_for(answer, build, ".html")
        assert sheet_for(answer, build, ".csv") != text
    else:
        text = exported(answer, form, View(folds=False))
    named = {part.name for part in answer.builds(offset=1, limit=1)[0].parts.values()}

    assert all(name in text for name in named)
    if form == "json":
        assert json.loads(text)["count"] == 144
    if form == "csv":
        assert len(text.splitlines()) == 145


def test_an_export_holds_what_the_list_shows(session):
    heads = heads_of(session.answer, limit=200)
    text = exported(session.answer, "table", View())
    assert all(head.best.parts["rotor"].name in text for head in heads)
    csv = exported(session.answer, "csv", View())
    assert len(csv.splitlines()) == 1 + len(heads)
    opened = exported(session.answer, "csv", View(folds=False, opened=heads[1].best))
    assert len(opened.splitlines()) == 1 + heads[1].builds


def test_two_screens_never_overwrite_each_other(session, examples, tmp_path):
    other = asked(examples, "gritty", "flow")
    assert keep(session, tmp_path) == tmp_path
    beside = keep(other, tmp_path)
    assert beside != tmp_path
    session.pick("stator", "stiff")
    assert keep(session, tmp_path) == tmp_path
    assert keep(other, beside) == beside

    again = asked(examples)
    assert bring_back(again, tmp_path / "session.json")
    assert again.draft == session.draft
    assert bring_back(again, beside / "session.json")
    assert again.draft == other.draft
    assert [words.split(",")[0] for words in earlier(tmp_path).values()] == ["gritty with flow"]


def test_undo_never_goes_behind_what_was_brought_back(session, examples, tmp_path):
    keep(session, tmp_path)
    again = asked(examples)
    assert bring_back(again, tmp_path / "session.json")

    assert not again.undo()
    assert again.draft == session.draft


def test_a_session_that_could_not_be_written_stays_in_its_folder(session, tmp_path, monkeypatch):
    def full(*_):
        raise OSError("no space left")

    keep(session, tmp_path)
    session.pick("stator", "stiff")
    with monkeypatch.context() as patched:
        patched.setattr("configurator.tui.kept.write_text", full)
        with pytest.raises(OSError, match="no space"):
            keep(session, tmp_path)

    assert keep(session, tmp_path) == tmp_path


def test_a_folded_list_holds_the_first_build_of_each_head(session):
    every = heads_of(session.answer, limit=session.answer.count)
    builds = BuildList(session.answer)
    while builds.lacks(0, len(builds)):
        builds.fetch(0, len(builds))

    assert 1 < len(builds) == len(every) < session.answer.count
    rows = [builds.head(at) for at in range(len(builds))]
    assert [row.best.rank for row in rows] == [head.best.rank for head in every]
    assert [row.folded for row in rows] == [head.folded for head in every]


def test_the_builds_of_a_head_are_all_that_have_its_parts_and_words_narrow_them(session):
    """Against the whole list, looked through."""
    every = session.answer.builds(limit=session.answer.count)
    second = heads_of(session.answer, limit=2)[1].best
    own = [
        build
        for build in every
        if all(is_exchanged(s) or build.parts[s] is p for s, p in second.parts.items())
    ]
    builds = BuildList(session.answer, View(folds=False, opened=second))
    builds.fetch(0, len(builds))
    assert [key_of(builds.row(at)) for at in range(len(builds))] == [key_of(b) for b in own]
    ranks = [builds.row(at).rank for at in range(len(builds))]
    assert [rank for rank in ranks if rank] == [second.rank]

    named = BuildList(session.answer, View(folds=False, words="STIFF lip"))
    while named.lacks(0, len(named)):
        named.fetch(0, len(named))
    wanted = [
        b for b in every if b.parts["stator"].name == "stiff" and b.parts["seal"].name == "lip"
    ]
    assert [named.row(at).rank for at in range(len(named))] == [b.rank for b in wanted]
    assert wanted
