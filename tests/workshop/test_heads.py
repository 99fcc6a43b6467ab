"""Heads against the list of single builds, one by one."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import islice

import pytest
from small_catalog import SMALL
from two_part_world import TWO_PART

from configurator.cli.main import run
from configurator.report.heads import folded
from configurator.workshop.heads import heads_of, holding, is_exchanged

WORLDS = {"one part": SMALL, "two parts": TWO_PART}


def head(build) -> tuple[str, ...]:
    return tuple(part.name for slot, part in build.parts.items() if not is_exchanged(slot))


@pytest.mark.parametrize("world", WORLDS.values(), ids=WORLDS.keys())
def test_heads_come_in_the_order_of_their_first_builds_with_all_their_tips_and_feeds(world):
    every = world.answer.builds(limit=5_000)
    first = {}
    for build in every:
        first.setdefault(head(build), build)
    found = heads_of(world.answer, limit=12)

    assert [head(each.best) for each in found] == list(first)[:12]
    assert [each.best.rank for each in found] == [build.rank for build in first.values()][:12]
    assert heads_of(world.answer, offset=3, limit=4) == found[3:7]
    if world.answer.count > len(every):
        return
    for each in found:
        mine = [b for b in every if head(b) == head(each.best) and b.state <= each.best.state]
        assert each.builds == len(mine)
        for slot, names in each.folded.items():
            assert set(names) == {build.parts[slot].name for build in mine}


@pytest.mark.parametrize("sort", ["shortfall_steps", "least_margin_pct", "head_mass_kg"])
@pytest.mark.parametrize("words", [["i"], ["s", "1"], ["wide"], ["e", "a"], ["nowhere"]])
@pytest.mark.parametrize("world", WORLDS.values(), ids=WORLDS.keys())
def test_what_holds_words_is_found_among_all_builds_in_their_order(world, words, sort):
    question = replace(world.answer.question, sort=sort)
    answer = world.answer.with_question(question)
    parts = answer.grid.frame.parts

    def names(build):
        return [parts[slot][place].name for slot, place in build.items()]

    wanted = (
        build
        for build in answer.in_order()
        if all(any(w in n for n in names(build)) for w in words)
    )
    found = [*map(names, islice(holding(answer, words), 150))]
    assert found == [*map(names, islice(wanted, 150))]


@pytest.mark.parametrize(
    ("names", "text"),
    [
        (["taper-21g", "taper-14g", "taper-15g"], "taper-14g to 21g (3)"),
        (["shut-off-2", "shut-off-10", "cone-3"], "shut-off-2 to 10 (2), cone-3"),
        (["wide", "fine"], "wide, fine"),
    ],
)
def test_names_of_a_family_are_told_as_a_range(names, text):
    assert folded(names) == text


@pytest.mark.parametrize(
    ("material", "process"), [("lid-sealant", "lid-bead"), ("gap-filler", "gap-filler-pads")]
)
def test_ten_heads_take_forty_lines_and_scripts_have_builds_as_before(
    material, process, capsys, monkeypatch
):
    monkeypatch.setenv("COLUMNS", "100")
    assert run(["builds", material, process, "--limit", "10"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 40
    (table,) = [at for at, line in enumerate(lines) if line.lstrip().startswith("# ")]
    begun = [line.split()[0] for line in lines[table:] if line.split()[:1]]
    ranks = [int(word) for word in begun if word.isdigit()]
    assert len(ranks) == 10
    assert ranks == sorted(ranks)
    run(["builds", material, process, "--limit", "2", "--format", "json"])
    data = json.loads(capsys.readouterr().out)
    assert [build["rank"] for build in data["builds"]] == [1, 2]
    assert data["heads"][0]["first_build"] == 1
    assert set(data["heads"][0]["parts"]) | set(data["heads"][0]["folded"]) == set(
        data["builds"][0]["parts"]
    )
