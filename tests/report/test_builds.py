"""Which builds are shown; the JSON of schema 1, key by key and type by type, and the CSV beside it."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from typing import Any

import pytest
from shipped import shipped_answer

from configurator.catalog.parts import SLOTS
from configurator.report.builds import builds_csv, builds_json, heads_page, page_of
from configurator.report.heads import heads_table
from configurator.rules.finding import State
from configurator.rules.rulebook import RULEBOOK
from configurator.workshop.figures import FIGURES


def strict(answer):
    return answer.with_question(replace(answer.question, strict=True))


@pytest.mark.parametrize("limit", [0, 1, 7])
def test_shown_and_left_add_up_to_all(grease, limit):
    page = page_of(grease, offset=3, limit=limit)

    assert len(page.builds) == limit
    assert page.offset + len(page.builds) + page.more == page.total == grease.count
    assert page.hidden == 0


def test_strict_counts_fits_only(grease):
    page = page_of(strict(grease))

    assert page.total == grease.counts[State.FITS] > 0
    assert page.hidden == grease.count - page.total
    assert {build.state for build in page.builds} == {State.FITS}


def test_past_the_end_there_is_nothing_more(ask):
    answer = ask("probe-grease", "plug-grease", outlet="needle-14g-50", feed="syringe-10")
    assert answer.count > 0

    for offset in (answer.count, answer.count + 5):
        page = page_of(answer, offset=offset, limit=2)
        assert (page.builds, page.more) == ((), 0)


def test_ranks_go_on_where_the_page_begins(grease):
    ranks = [build.rank for build in page_of(grease, offset=4, limit=3).builds]

    assert ranks == [5, 6, 7]


def test_the_first_figure_sorts_by_default(grease):
    assert page_of(grease).sort is FIGURES[0]


STATES = ("fits", "marginal", "unproven", "ruled out")

BASES = (
    "measured",
    "published",
    "datasheet",
    "common practice",
    "from memory",
    "invented",
    "estimated",
)

FINDING = {
    "rule": str,
    "state": STATES,
    "demand": (str, float, None),
    "limit": (str, float, None),
    "unit": str,
    "margin": (float, None),
    "corner": str,
    "basis": BASES,
    "reason": str,
}

ANSWER = {
    "schema": (1,),
    "catalog": {"name": str, "sha256": str},
    "material": {"name": str},
    "process": {"name": str},
    "considered": int,
    "count": int,
    "counts": {"fits": int, "marginal": int, "unproven": int},
    "choices": {
        slot: [
            {"part": str, "state": STATES, "builds": int, "reasons": [FINDING], "blocked_by": [str]}
        ]
        for slot in (*SLOTS[:-2], "outlet", "feed")
    },
    "builds": [
        {
            "rank": int,
            "parts": dict.fromkeys((*SLOTS[:-2], "outlet", "feed"), str),
            "state": STATES[:3],
            "figures": {figure.name: (float, None) for figure in FIGURES},
            "error_budget": {
                "dominant": str,
                "dominant_unweighed": str,
                "shares_pct": {str: (float, None)},
                "shares_unweighed_pct": {str: (float, None)},
                "basis": {str: BASES},
            },
            "findings": [FINDING],
        }
    ],
    "heads": [
        {
            "rank": int,
            "first_build": int,
            "state": STATES[:3],
            "parts": dict.fromkeys(SLOTS[:-2], str),
            "folded": {"outlet": [str], "feed": [str]},
            "builds": int,
        }
    ],
    "cautions": [{"topic": str, "text": str}],
    "gaps": [{"field": str, "says": str, "used": str, "basis": (*BASES, None), "settle_with": str}],
}

"""What the JSON holds: a type, a choice of values or types, a list of one shape, or keys.

The key `str` alone stands for keys of any name.
"""


def faults(value: Any, shape: Any, path: str = "") -> list[str]:
    """Where a value does not have the shape it must have."""
    if isinstance(shape, dict):
        if list(shape) == [str] and isinstance(value, dict):
            shape = dict.fromkeys(value, shape[str])
        if not isinstance(value, dict) or list(value) != list(shape):
            return [f"{path}: keys {list(value)} in place of {list(shape)}"]
        return [f for key in shape for f in faults(value[key], shape[key], f"{path}.{key}")]
    if isinstance(shape, list):
        if not isinstance(value, list):
            return [f"{path}: no list"]
        return [f for at, item in enumerate(value) for f in faults(item, shape[0], f"{path}[{at}]")]
    choices = shape if isinstance(shape, tuple) else (shape,)
    fits = any(
        type(value) is choice if isinstance(choice, type) else value == choice for choice in choices
    )
    return [] if fits else [f"{path}: {value!r} is none of {choices}"]


def refuse(name: str) -> None:
    raise AssertionError(f"JSON holds {name}")


def read(page) -> dict[str, Any]:
    return json.loads(builds_json(page), parse_constant=refuse)


def test_the_validator_finds_a_missing_key_a_wrong_type_and_a_wrong_word():
    shape = {"a": int, "b": [STATES]}

    assert faults({"a": 1, "b": ["fits"]}, shape) == []
    assert faults({"a": True, "b": []}, shape) == [".a: True is none of (<class 'int'>,)"]
    assert len(faults({"a": 1.0, "b": ["good", "fits"]}, shape)) == 2
    assert len(faults({"a": 1}, shape)) == 1
    assert len(faults({"b": [], "a": 1}, shape)) == 1
    assert faults({"x": 1, "y": 2}, {str: int}) == []
    assert len(faults({"x": 1, "y": "2"}, {str: int})) == 1
    assert len(faults([], {str: int})) == 1


@pytest.mark.parametrize("strict", [False, True])
@pytest.mark.parametrize("name", ["sealant", "grease"])
def test_the_json_has_exactly_the_keys_and_types_of_schema_one(request, name, strict):
    answer = request.getfixturevalue(name)
    asked = answer.with_question(replace(answer.question, strict=strict))

    assert faults(read(page_of(asked, limit=3)), ANSWER) == []


def test_an_answer_without_builds_has_the_same_shape(ask):
    data = read(page_of(ask("lid-sealant", "lid-bead", size="h1")))

    assert faults(data, ANSWER) == []
    assert data["builds"] == []
    assert data["count"] == 0


def test_counts_add_up_and_every_slot_shares_them_out(grease):
    data = read(page_of(grease, limit=1))

    assert sum(data["counts"].values()) == data["count"] == grease.count
    for slot, choices in data["choices"].items():
        assert sum(choice["builds"] for choice in choices) == data["count"], slot


def test_a_part_that_is_ruled_out_says_why(sealant):
    for slot, choices in read(page_of(sealant, limit=1))["choices"].items():
        for choice in choices:
            says_why = bool(choice["reasons"] or choice["blocked_by"])
            assert says_why == (choice["state"] == "ruled out"), (slot, choice["part"])
            assert (choice["builds"] == 0) == (choice["state"] == "ruled out")


def test_blame_is_in_the_words_of_the_rulebook(sealant):
    names = {rule.name for rule in RULEBOOK}
    blamed = {
        name
        for choices in read(page_of(sealant, limit=1))["choices"].values()
        for choice in choices
        for name in choice["blocked_by"]
    }

    assert blamed
    assert blamed <= names


def test_heads_are_data_of_a_set_shape_too(grease):
    data = read(heads_page(grease, limit=3))

    assert faults(data, ANSWER) == []
    assert [head["rank"] for head in data["heads"]] == [1, 2, 3]


def test_every_finding_of_a_build_can_be_traced(grease):
    for build in read(page_of(grease, limit=5))["builds"]:
        assert len(build["findings"]) > 10
        for finding in build["findings"]:
            assert finding["reason"]
            assert finding["basis"] in BASES
        worst = max(STATES.index(finding["state"]) for finding in build["findings"])
        assert STATES[worst] == build["state"]


def test_gaps_say_what_was_used_and_what_settles_them(sealant):
    gaps = read(page_of(sealant, limit=1))["gaps"]

    assert gaps
    for gap in gaps:
        assert gap["settle_with"]
        assert (gap["basis"] is None) == (gap["used"] == "unknown")


def test_allowed_pressure_is_the_smallest_rating_of_the_build(grease):
    for build in page_of(grease, limit=30).builds:
        parts = build.parts
        rated = [parts[slot].pressure_max.nominal for slot in ("size", "body", "seal", "outlet")]
        findings = {finding.rule: finding for finding in build.findings}
        a_stage = findings["pressure on each stage"].limit
        rated.append(a_stage * parts["cavity"].stages.nominal)

        assert build.figures["pressure_allowed_bar"] == pytest.approx(min(rated) / 1e5, rel=1e-12)


def test_csv_is_one_row_a_build_with_slots_and_figures(grease):
    page = page_of(grease, limit=5)
    rows = list(csv.DictReader(io.StringIO(builds_csv(page))))

    assert list(rows[0]) == [
        "rank",
        "state",
        *grease.frame.slots,
        *(figure.name for figure in FIGURES),
        "tightest_rule",
        "tightest_margin",
    ]
    assert [row["outlet"] for row in rows] == [build.parts["outlet"].name for build in page.builds]


def test_csv_without_builds_is_its_heads(ask):
    text = builds_csv(page_of(ask("lid-sealant", "lid-bead", size="h1")))

    assert text.startswith("rank,state,size,")
    assert text.count("\n") == 1


@pytest.mark.parametrize(
    ("material", "process"),
    [
        ("bay-epoxy", "bay-pour"),
        ("bay-potting", "bay-potting-pour"),
        ("bracket-acrylate", "bracket-bead"),
        ("hull-paste", "hull-seam"),
        ("scale-ink", "scale-marks"),
    ],
)
@pytest.mark.parametrize("width", [80, 100])
def test_ten_heads_with_all_that_is_told_of_them_take_forty_lines(material, process, width):
    page = heads_page(shipped_answer(material, process), limit=10)
    assert len(heads_table(page, width=width).splitlines()) <= 40
