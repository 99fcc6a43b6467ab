"""Gaps of a catalog: what one new part would open, what stays closed, what serves nothing."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from functools import cache, partial

import pytest
from gap_ways import ANY, LACKS, entries, idle_parts, lacking, opened_one_by_one
from screened import Entry
from small_catalog import SMALL
from small_world import World
from two_part_world import TWO_PART

from configurator.catalog.load import shipped_folder
from configurator.chemistry.evidence import Evidence, EvidenceRecord
from configurator.errors import InputError
from configurator.request.load import load_process, process_from
from configurator.rules.finding import State
from configurator.screen import openings as openings_module
from configurator.screen.gap_search import GapsAsked
from configurator.screen.gaps import Gaps, find_gaps
from configurator.screen.gaps_kept import GapsKept
from configurator.screen.gaps_text import exit_code, gaps_csv, gaps_json, gaps_text
from configurator.screen.hypothetical.every import CAVEAT, hypothetical_parts
from configurator.screen.hypothetical.part import with_added
from configurator.screen.openings import Idle, look
from configurator.screen.sources import open_list
from configurator.screen.verdict import verdict_on
from configurator.screen.workers import in_processes
from configurator.workshop.workshop import Workshop

EXAMPLES = shipped_folder() / "examples"


@cache
def of_small(*lacks: str) -> Gaps:
    """Gaps of the small catalog with some lacks."""
    return found(lacking(*(LACKS[each] for each in lacks)))


def found(world: World, evidence: Evidence | None = None, *, strict: bool = False) -> Gaps:
    shop = Workshop(world.catalog, evidence or Evidence())
    listed = entries([world.question.material])
    return find_gaps(listed, GapsAsked((world.question.process,), shop, strict=strict))


def names(gaps: Gaps) -> set[tuple[str, str]]:
    return {(each.part.slot, each.part.name) for each in gaps.ranked}


@pytest.mark.parametrize("lack", LACKS)
def test_what_fills_a_known_lack_is_found(lack: str) -> None:
    gaps = of_small(lack)

    assert len(gaps.unserved) == 1
    assert LACKS[lack].filled_by in names(gaps)
    assert gaps.closed == ()


def test_a_list_that_is_served_has_no_gap() -> None:
    gaps = of_small()

    assert (gaps.unserved, gaps.ranked) == ((), ())
    assert exit_code(gaps) == 0
    assert "none: every row has a build" in gaps_text(gaps, 100)
    assert CAVEAT not in gaps_text(gaps, 100)


def test_two_lacks_at_once_are_opened_by_no_single_part() -> None:
    gaps = of_small("moisture", "interface")

    assert gaps.ranked == ()
    assert gaps.closed == (0,)
    assert exit_code(gaps) == 1


def two_sided() -> World:
    """Side a turns too fast for every drive, and side b too slowly."""
    return TWO_PART.with_parts(
        {
            "drive": [
                {"speed_min": "14 rpm", "speed_max": "45 rpm"},
                {"name": "other", "speed_min": "17 rpm", "speed_max": "40 rpm"},
            ]
        }
    ).having({"mix.ratio": [4, 1], "process.mixing_quality": None})


def test_a_part_for_either_side_is_not_taken_for_one_part() -> None:
    world = two_sided()
    material, process = world.question.material, world.question.process
    gaps = found(world)
    drives = [
        part
        for each in hypothetical_parts(world.catalog)
        if each.slot == "drive"
        for part in each.parts["drive"]
    ]
    with_all = with_added(world.catalog, {"drive": drives})

    assert len(gaps.unserved) == 1
    assert verdict_on(material, process, Workshop(with_all)).builds > 0
    assert names(gaps) == set(opened_one_by_one(material, process, world.catalog))
    assert not any(each.part.slot == "drive" for each in gaps.ranked)


def test_one_part_on_both_sides_is_one_part() -> None:
    world = TWO_PART.having({"process.control": ["step and direction"]})

    assert names(found(world)) == {("drive", "motor+interfaces")}


def test_rows_that_were_not_read_are_told_and_passed_over() -> None:
    world = lacking(LACKS["reach"])
    rows = [*entries([world.question.material]), Entry(2, 7, {}, None, "line 7: no flow")]
    gaps = find_gaps(rows, GapsAsked((world.question.process,), world.workshop))

    assert [(row.number, row.line, row.fault) for row in gaps.unread] == [(2, 7, "line 7: no flow")]
    assert gaps.rows == 2
    assert exit_code(gaps) == 1


def test_every_process_has_rows_of_its_own() -> None:
    world = lacking(LACKS["reach"])
    near = process_from({**SMALL.process, "name": "near"}, "near")
    gaps = find_gaps(
        entries([world.question.material]),
        GapsAsked((world.question.process, near), world.workshop),
    )

    assert [(row.process, row.number) for row in gaps.unserved] == [
        (world.question.process.name, 1)
    ]
    assert gaps.processes == (world.question.process.name, "near")


def test_parts_are_ranked_by_rows_and_further_counts_what_is_new() -> None:
    world = lacking(LACKS["reach"])
    wired = {"name": "wired", "reach": "9 mm", "control": ["step and direction"]}
    other = process_from({**world.process, **wired}, "wired")
    gaps = find_gaps(
        entries([world.question.material] * 2),
        GapsAsked((world.question.process, other), world.workshop),
    )
    counts = [len(each.opened) for each in gaps.ranked]

    assert counts == sorted(counts, reverse=True)
    assert {each.part.slot for each in gaps.ranked} == {"outlet", "drive"}
    assert [each.further for each in gaps.ranked if each.further] == [2, 2]
    assert len(gaps.unserved) == 4


def test_strict_asks_for_builds_that_fit() -> None:
    world = SMALL.having({"component.constituents": [{"name": "strangeol"}]})
    plain, strict = found(world), found(world, strict=True)

    assert plain.unserved == ()
    assert [row.state for row in strict.unserved] == ["unproven"]
    assert strict.unserved[0].reason
    assert all(state is State.FITS for each in strict.ranked for _, state in each.opened)


def test_findings_of_the_shop_count() -> None:
    world = SMALL.with_parts({"stator": [{"material": "BAD"}]})
    record = EvidenceRecord.model_validate(
        {
            "date": "2025-03-01",
            "material": "BAD",
            "substance": "plainol",
            "temperature_c": 22,
            "hours": 1000,
            "swelling_pct": 0.5,
            "hardness_change": 0,
        }
    )

    assert len(found(world).unserved) == 1
    assert len(found(world, evidence=Evidence(())).unserved) == 1
    assert found(world, evidence=Evidence((record,))).unserved == ()
    assert found(lacking(LACKS["reach"]), evidence=Evidence((record,))).ranked == (
        of_small("reach").ranked
    )


def test_parts_whose_figures_no_head_can_have_are_told_and_the_others_tried(monkeypatch) -> None:
    from configurator.physics.domain import PhysicsDomainError

    world = lacking(LACKS["interface"])

    def refusing(material, process, workshop):
        if any(part.name == "weak+interfaces" for part in workshop.catalog.parts["drive"]):
            raise PhysicsDomainError("a torque that no drive has")
        return look(material, process, workshop)

    monkeypatch.setattr(openings_module, "look", refusing)
    gaps = found(world)

    assert gaps.refused == ("weak+interfaces",)
    assert names(gaps) == {("drive", "big+interfaces"), ("drive", "motor+interfaces")}
    assert "no head can have their figures: weak+interfaces" in gaps_text(gaps, 100)


def test_patience_moves_nothing() -> None:
    materials = [
        SMALL.having({"component.flow.viscosity": f"{v} Pa*s"}).question.material
        for v in (2, 5, 9, 10, 10.2)
    ]
    wanted = idle_parts(SMALL, materials)
    for patience in (0, 1, 2, 100):
        idle = Idle(SMALL.workshop, ANY, patience=patience)
        idle.look(SMALL.question.process, materials, [SMALL.workshop] * len(materials))
        assert {slot: left for slot, left in idle.left.items() if slot != "mixing"} == wanted


def test_idle_parts_leave_out_mixers_where_nothing_is_mixed() -> None:
    assert "mixing" not in of_small().idle
    assert found(TWO_PART).idle.get("mixing") == ("none",)


def test_the_table_says_what_is_hypothetical_and_where_it_came_from() -> None:
    gaps = of_small("reach")
    text = " ".join(gaps_text(gaps, 100).split())

    assert CAVEAT in text
    assert "outlet long+long-22.5mm length of 22.5 mm in place of 15 mm" in text
    assert "opens: m1 (" in text


def test_parts_that_open_the_same_rows_share_a_line_and_the_limit_counts_lines() -> None:
    gaps = of_small("interface")
    text = gaps_text(gaps, 100, 1)

    assert len(gaps.ranked) == 3
    assert "likewise motor+interfaces, weak+interfaces" in text
    assert "more part" not in text


def test_json_and_csv_hold_every_part_and_every_row() -> None:
    gaps = of_small("interface")
    data = json.loads(gaps_json(gaps))
    rows = list(csv.DictReader(io.StringIO(gaps_csv(gaps))))

    assert data["caution"] == CAVEAT
    assert data["unserved"][0]["opened_by"] == data["opening"] == len(rows) == 3
    assert [each["part"] for each in data["parts"]] == [row["part"] for row in rows]
    (opened,) = data["parts"][0]["rows"]
    assert (opened["row"], opened["material"], opened["process"]) == (1, "m1", gaps.processes[0])
    assert opened["state"] in ("fits", "marginal", "unproven")
    assert all(row["change"].startswith("hypothetical: ") for row in rows)
    assert data["serve_nothing"] == {slot: list(left) for slot, left in gaps.idle.items()}
    assert len(json.loads(gaps_json(gaps, 2))["parts"]) == 2


@pytest.mark.slow
def test_on_the_shipped_list_the_best_part_opens_what_is_named_and_nothing_else(shipped) -> None:
    process = load_process("hinge-dots", folder=EXAMPLES)
    with open_list(EXAMPLES / "lists" / "one-part.csv", folder=EXAMPLES) as listed:
        rows = list(listed)[16:32]  # a transcript of the documentation asks for the whole list
    gaps = find_gaps(rows, GapsAsked((process,), Workshop(shipped)))
    materials = {row.number: row.material for row in rows}
    assert gaps.ranked
    assert len(gaps.unserved) > 2
    for each in gaps.ranked[:3]:
        opened = {gaps.unserved[place].number: state.words for place, state in each.opened}
        for row in gaps.unserved:
            verdict = verdict_on(
                materials[row.number], process, Workshop(with_added(shipped, each.part.parts))
            )
            assert verdict.state == opened.get(row.number, "ruled out")


@pytest.mark.slow
def test_the_shipped_examples_are_served_so_that_leaving_out_their_part_is_a_gap(shipped) -> None:
    process = load_process("lid-bead", folder=EXAMPLES)
    with open_list(EXAMPLES / "lists" / "one-part.csv", folder=EXAMPLES) as listed:
        (row,) = [each for each in listed if each.material and each.material.name == "lid-sealant"]
    without = replace(
        shipped,
        parts={
            **shipped.parts,
            "feed": tuple(part for part in shipped.parts["feed"] if part.kind == "pressure pot"),
        },
    )

    assert not find_gaps([row], GapsAsked((process,), Workshop(shipped))).unserved
    assert len(find_gaps([row], GapsAsked((process,), Workshop(without))).unserved) == 1


def test_several_processes_and_other_chunks_find_the_very_same(monkeypatch) -> None:
    world = lacking(LACKS["reach"])
    other = process_from(
        {**world.process, "name": "wired", "reach": "9 mm", "control": ["step and direction"]},
        "wired",
    )
    asked = GapsAsked((world.question.process, other), world.workshop)
    rows = [*entries([world.question.material] * 3), Entry(4, 5, {}, None, "no flow")]
    alone = find_gaps(rows, asked)

    assert find_gaps(rows, asked, partial(in_processes, workers=2)) == alone
    monkeypatch.setattr("configurator.screen.gaps.CHUNK", 2)
    assert find_gaps(rows, asked) == alone
    assert len(alone.unserved) == 6


def keeping(path, rows, asked, *, resume=False) -> Gaps:
    return find_gaps(rows, asked, store=GapsKept(path, asked, resume=resume))


def test_a_search_that_was_ended_goes_on_from_what_it_kept(tmp_path, monkeypatch) -> None:
    monkeypatch.setattr("configurator.screen.gaps.CHUNK", 2)
    world = lacking(next(iter(LACKS.values())))
    rows = entries([world.question.material] * 7)
    asked = GapsAsked((world.question.process,), world.workshop)
    path = tmp_path / "kept.jsonl"
    whole = keeping(path, rows, asked)
    assert whole == find_gaps(rows, asked)
    lines = path.read_bytes().splitlines(keepends=True)
    assert len(lines) > 3

    # As a kill leaves it: some chunks, and a line that is torn.
    path.write_bytes(b"".join(lines[:3]) + lines[3][:20])
    judged = []
    once = GapsAsked.judged
    monkeypatch.setattr(GapsAsked, "judged", lambda s, c: judged.extend(c.rows) or once(s, c))
    assert keeping(path, rows, asked, resume=True) == whole
    done = sum(json.loads(line)["rows"] for line in lines[1:3])
    assert len(judged) == 7 - done
    judged.clear()
    assert keeping(path, rows, asked, resume=True) == whole
    assert judged == []


def test_what_is_another_search_is_refused_and_stays(tmp_path) -> None:
    world = lacking(next(iter(LACKS.values())))
    rows = entries([world.question.material] * 3)
    asked = GapsAsked((world.question.process,), world.workshop)
    path = tmp_path / "kept.jsonl"
    keeping(path, rows, asked)
    before = path.read_bytes()
    with pytest.raises(InputError, match="--resume goes on"):
        GapsKept(path, asked, resume=False)
    with pytest.raises(InputError, match="strict"):
        GapsKept(path, replace(asked, strict=True), resume=True)
    fewer = entries([world.question.material] * 2)
    with pytest.raises(InputError, match="rows changed since"):
        keeping(path, fewer, asked, resume=True)
    assert path.read_bytes() == before
    (tmp_path / "notes.txt").write_text("mine\n")
    with pytest.raises(InputError, match="another file"):
        GapsKept(tmp_path / "notes.txt", asked, resume=True)
    assert (tmp_path / "notes.txt").read_text() == "mine\n"
    with pytest.raises(InputError, match="No such file"):
        GapsKept(tmp_path / "none" / "kept.jsonl", asked, resume=False)
    with pytest.raises(InputError, match="no plain file"):
        GapsKept(tmp_path, asked, resume=True)


def test_a_reason_of_a_component_is_told_by_its_rule() -> None:
    gaps = of_small(next(iter(LACKS)))
    (row,) = gaps.unserved
    reasons = {
        "a: shot in rotor turns: the shot is 0.02 turns": (
            "1 row for shot in rotor turns, component a, as the shot is 0.02 turns"
        ),
        "shot in rotor turns: the shot is 0.02 turns": (
            "1 row for shot in rotor turns, as the shot is 0.02 turns"
        ),
    }
    for reason, told in reasons.items():
        closed = replace(gaps, ranked=(), unserved=(replace(row, reason=reason),))
        assert told in " ".join(gaps_text(closed, 200).split())
