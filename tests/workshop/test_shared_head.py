"""Heads for several jobs against every combination of every job."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from itertools import combinations

import pytest
from every_combination import SETTINGS, Product
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from random_worlds import request_changes, worlds
from shipped import EXAMPLES, shipped_catalog

from configurator.errors import HeadwrightError, InputError
from configurator.report.shared_head import common_json, common_text
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.rules.finding import LISTED, State
from configurator.workshop.heads import EXCHANGED, is_exchanged
from configurator.workshop.shared_head import _of_two_parts, common_heads
from configurator.workshop.workshop import Workshop

PAIRS = {
    "hinge-grease": "hinge-dots",
    "contact-adhesive": "contact-dots",
    "thread-retainer": "bolt-dots",
    "bearing-oil": "pulley-drops",
}


@st.composite
def several(draw: st.DrawFn):
    """One catalog and one to four jobs on it, with the same picks in all, and free slots."""
    world = draw(worlds())
    changes = draw(st.lists(request_changes(), max_size=3))
    free = draw(st.sampled_from([("outlet", "feed"), ("feed",), ("drive", "outlet"), ("size",)]))
    jobs = [world, *(world.having(each) for each in changes)]
    return [each.asking(world.picks, world.without) for each in jobs], free


def first_builds(world, free, question=None) -> dict[tuple[int, ...], tuple[State, tuple]]:
    """By head, the state of its first build in the list, and its steps, strain and cost."""
    oracle = Product(world, question)
    kept = [axis for axis, slot in enumerate(oracle.slots) if slot not in free]
    found: dict[tuple[int, ...], tuple[State, tuple]] = {}
    for row in oracle.listed:
        head = tuple(oracle.rows[row][kept].tolist())
        key = (int(oracle.steps[row]), int(oracle.strain[row]), float(oracle.costs[row]))
        found.setdefault(head, (State(int(oracle.worst[row])), key))
    return found


def names(world, free, head) -> list[str]:
    oracle = Product(world)
    kept = [slot for slot in oracle.slots if slot not in free]
    return [oracle.names[slot][place] for slot, place in zip(kept, head, strict=True)]


def fewest_by_trying(served) -> tuple[set[int], int]:
    """Jobs that any head serves, and how few heads serve all of them."""
    wanted = {job for job, each in enumerate(served) if each}
    masks = {frozenset(job for job in wanted if head in served[job]) for head in set.union(*served)}
    return wanted, next(
        size
        for size in range(len(served) + 1)
        if any(set().union(*some) == wanted for some in combinations(masks, size))
    )


@settings(SETTINGS, max_examples=20)
@given(several())
def test_heads_that_serve_all_and_the_fewest_are_those_of_every_combination(drawn):
    jobs, free = drawn
    try:
        questions = [world.question for world in jobs]
        found = common_heads(jobs[0].workshop, questions, free, limit=5)
    except HeadwrightError:
        assume(False)
        return
    of_jobs = [first_builds(world, free) for world in jobs]
    assert found.each == tuple(map(len, of_jobs))
    every = set.intersection(*map(set, of_jobs))
    worst = {head: max(each[head][0] for each in of_jobs) for head in every}
    counts = {level: sum(state is level for state in worst.values()) for level in LISTED}
    assert found.counts == counts
    if every:
        ranked = sorted(
            every,
            key=lambda head: (
                worst[head],
                *(round(sum(each[head][1][at] for each in of_jobs), 6) for at in range(3)),
                head,
            ),
        )
        told = [[part.name for part in head.parts.values()] for head in found.heads]
        listed = ranked[: min(5, len(told))]
        assert told == [names(jobs[0], free, head) for head in listed]
        for shared, head in zip(found.heads, listed, strict=True):
            assert shared.state is worst[head]
            for served, of_job in zip(shared.serves, of_jobs, strict=True):
                best = served.head.best
                assert best.state is of_job[head][0]
                assert best.figures["shortfall_steps"] == of_job[head][1][0]
        return
    served = [set(each) for each in of_jobs]
    wanted, number = fewest_by_trying(served)
    assert len(found.heads) == number
    assert {each.job for head in found.heads for each in head.serves} == wanted
    assert set(found.unserved) == set(range(len(jobs))) - wanted
    for job in range(len(jobs)) if len(jobs) > 1 else ():
        rest = [each for at, each in enumerate(served) if at != job]
        assert found.without[job] == len(set.intersection(*rest))
    for option, asked in released(jobs[0].question).items():
        of_all = [
            set(
                first_builds(
                    world, free, replace(world.question, picks=asked.picks, without=asked.without)
                )
            )
            for world in jobs
        ]
        number = len(set.intersection(*of_all))
        told = {each.option: each.heads for each in found.releases}
        assert told.get(option, 0) == number


TWO_PART = {
    "bay-potting": "bay-potting-pour",
    "cable-cast": "cable-exit-cast",
    "gap-filler": "gap-filler-pads",
    "hull-paste": "hull-seam",
}


def few_parts(seed: int) -> list[Question]:
    """Two-part jobs of which one or two parts a slot are left, so that all builds can be listed."""
    draw = random.Random(seed)
    workshop = Workshop(shipped_catalog())
    jobs = shipped(draw.sample(sorted(TWO_PART.items()), draw.choice([2, 3])))
    answers = [workshop.answer(question) for question in jobs]
    together = common_heads(workshop, jobs).heads[0]
    builds = [each.head.best.parts for each in together.serves]
    builds += [answer.first.parts for answer in answers if answer.first]
    several = set(draw.sample(list(answers[0].frame.slots), 13))
    without = {}
    for slot, parts in answers[0].frame.parts.items():
        names = [build[slot].name for build in builds]
        kept = set(draw.choices(names, k=3) if slot in several else draw.choices(names[:2], k=1))
        without[slot] = frozenset(part.name for part in parts) - kept
    return [replace(question, without=without) for question in jobs]


@pytest.mark.parametrize("seed", [0, 1, 2, 5])
def test_two_part_heads_that_serve_all_and_the_fewest_are_those_of_all_builds(seed):
    jobs, workshop = few_parts(seed), Workshop(shipped_catalog())
    answers = [workshop.answer(each) for each in jobs]
    found = _of_two_parts(answers, replace(jobs[0], without={}), EXCHANGED, 3)
    of_jobs = []
    for question in jobs:
        of_job: dict[tuple[str, ...], tuple[State, tuple[float, ...]]] = {}
        for build in workshop.answer(question).builds(limit=100_000):
            head = tuple(p.name for slot, p in build.parts.items() if not is_exchanged(slot))
            key = tuple(
                float(build.figures[each])
                for each in ("shortfall_steps", "comfort_steps", "cost_index")
            )
            of_job.setdefault(head, (build.state, key))
        of_jobs.append(of_job)
    assert [number is None for number in found.each] == [bool(each) for each in of_jobs]
    every = set.intersection(*map(set, of_jobs))
    assert found.one_serves_all == bool(every)
    told = [tuple(part.name for part in head.parts.values()) for head in found.heads]
    assert len(set(told)) == len(told)
    for head, code in zip(found.heads, told, strict=True):
        for served in head.serves:
            assert served.head.best.state is of_jobs[served.job][code][0]
    if every:
        keys = {
            head: (
                max(each[head][0] for each in of_jobs),
                *(round(sum(each[head][1][at] for each in of_jobs), 6) for at in range(3)),
            )
            for head in every
        }
        if found.in_order:
            assert [keys[head] for head in told] == sorted(keys.values())[:3]
        return
    served_by = [set(each) for each in of_jobs]
    wanted, number = fewest_by_trying(served_by)
    assert len(found.heads) == number
    assert {each.job for head in found.heads for each in head.serves} == wanted
    for job, heads_then in found.without.items():
        rest = [each for at, each in enumerate(served_by) if at != job]
        assert (heads_then is None) == bool(set.intersection(*rest))


def released(question: Question) -> dict[str, Question]:
    found = {}
    for slot, name in question.picks.items():
        picks = {other: part for other, part in question.picks.items() if other != slot}
        found[f"--pick {slot}={name}"] = replace(question, picks=picks)
    for slot, parts in question.without.items():
        for name in parts:
            without = {**question.without, slot: parts - {name}}
            found[f"--without {slot}={name}"] = replace(question, without=without)
    return found


def shipped(pairs, **asked) -> list[Question]:
    return [
        Question(
            load_material(material, folder=EXAMPLES),
            load_process(process, folder=EXAMPLES),
            **asked,
        )
        for material, process in pairs
    ]


def test_many_pairs_over_the_shipped_catalog_are_served_by_one_head():
    easy = [pair for pair in PAIRS.items() if pair[0] != "contact-adhesive"]
    found = common_heads(Workshop(shipped_catalog()), shipped(easy * 3))
    assert found.count == sum(found.counts.values()) > 0
    assert len(found.heads[0].serves) == 9


def test_shipped_jobs_of_two_parts_are_served_by_as_few_heads_as_can():
    pairs = {
        "bay-potting": "bay-potting-pour",
        "bracket-acrylate": "bracket-bead",
        "cable-cast": "cable-exit-cast",
        "gap-filler": "gap-filler-pads",
    }
    workshop = Workshop(shipped_catalog())
    found = common_heads(workshop, shipped(pairs.items()))
    assert not found.one_serves_all
    assert len(found.heads) == 2
    assert {each.job for head in found.heads for each in head.serves} == set(range(4))
    for head in found.heads:
        picks = {slot: part.name for slot, part in head.parts.items()}
        for served in head.serves:
            asked = replace(found.answers[served.job].question, picks=picks)
            assert workshop.answer(asked).count > 0
    text = common_text([(found, [(line, "job") for line in range(2, 6)])])
    assert "of two sides, not counted" in text
    assert "leaving out line 3 (job): some head" in text


def test_what_would_let_one_head_serve_all_is_told():
    questions = shipped(PAIRS.items())
    found = common_heads(Workshop(shipped_catalog()), questions)
    titles = [(line, question.material.name) for line, question in enumerate(questions, start=2)]
    text = common_text([(found, titles)])

    assert found.count == 0
    assert len(found.heads) == 2
    rest = common_heads(Workshop(shipped_catalog()), [questions[at] for at in (0, 2, 3)])
    assert found.without[1] == rest.count > 0
    assert (
        f"leaving out line 3 (contact-adhesive): {found.without[1]:,} heads".replace(",", " ")
        in text
    )
    data = json.loads(common_json([(found, titles)]))
    assert data["count"] == 0
    assert [len(head["serves"]) for head in data["heads"]] == [3, 2]


def test_a_pick_that_keeps_jobs_apart_is_named_and_an_unknown_one_refused():
    pairs = [pair for pair in PAIRS.items() if pair[0] != "contact-adhesive"]
    workshop = Workshop(shipped_catalog())
    picked = common_heads(workshop, shipped(pairs, picks={"stator": "nbr-s"}))
    free = common_heads(workshop, shipped(pairs))

    assert picked.count == 0
    assert [(each.option, each.heads) for each in picked.releases] == [
        ("--pick stator=nbr-s", free.count)
    ]
    with pytest.raises(InputError, match="did you mean nbr-s"):
        common_heads(workshop, shipped(pairs, picks={"stator": "nbr-z"}))
