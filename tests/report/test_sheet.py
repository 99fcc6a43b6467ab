"""The sheet: one file, escaped, the same every time, and true to its answer."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from configurator.explain.neighbours import nearest_rejected
from configurator.report.charts import apart
from configurator.report.sheet import sheet_html, sheet_json, sheet_pdf
from configurator.report.sheet_data import SheetData, joints_of, sheet_data
from configurator.request.orders import UNITS
from configurator.request.question import Question
from configurator.rules.finding import State
from configurator.units.interval import Basis
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES
from configurator.workshop.workshop import Workshop

CHARTS = ("flow-window", "pressure-chain", "error-budget", "reaction")


def made(answer: Answer) -> SheetData:
    return sheet_data(answer, answer.builds(limit=1)[0])


@pytest.fixture(scope="module")
def sealant_data(sealant) -> SheetData:
    return made(sealant)


@pytest.fixture(scope="module")
def sealant_page(sealant_data) -> str:
    return sheet_html(sealant_data)


@pytest.fixture(scope="module")
def potting_data(ask) -> SheetData:
    return made(ask("bay-potting", "bay-potting-pour"))


@pytest.fixture(scope="module")
def potting_page(potting_data) -> str:
    return sheet_html(potting_data)


class Seen(HTMLParser):
    """Tags, attributes and text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: Counter[str] = Counter()
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags[tag] += 1
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("page", ["sealant_page", "potting_page"])
def test_it_runs_nothing_and_fetches_nothing(request, page):
    seen = Seen(request.getfixturevalue(page))

    assert not seen.tags.keys() & {"script", "link", "iframe", "object", "img", "base", "form", "a"}
    for tag, name, value in seen.attributes:
        assert not name.startswith("on"), (tag, name)
        if name.endswith(("href", "src", "action")):
            assert value.startswith("#"), value
        elif "://" in value:
            assert name.startswith("xmlns")
    style = request.getfixturevalue(page).partition("<style>")[2].partition("</style>")[0]
    assert "url(" not in style
    assert "@import" not in style


@pytest.mark.parametrize("page", ["sealant_page", "potting_page"])
def test_names_in_the_page_are_unique_and_references_have_a_target(request, page):
    seen = Seen(request.getfixturevalue(page))
    names = Counter(value for _, name, value in seen.attributes if name == "id")
    used = set(re.findall(r"url\(#([^)]+)\)", request.getfixturevalue(page)))
    used |= {value[1:] for _, name, value in seen.attributes if name.endswith("href")}

    assert max(names.values()) == 1
    assert used <= set(names)
    assert all(any(name.startswith(chart) for name in names) for chart in CHARTS)


def test_it_prints_in_black_and_white(sealant_page, potting_page):
    for page in (sealant_page, potting_page):
        for colour in re.findall(r"#([0-9a-fA-F]{6})\b(?=[;\"'])", page):
            assert colour[:2] == colour[2:4] == colour[4:], colour
    assert "@page { size: A4" in sealant_page


def test_the_same_input_gives_the_same_bytes(sealant, sealant_page):
    again = sheet_html(made(sealant))

    assert again == sealant_page
    assert again.isascii()


def test_all_parts_findings_settings_and_cautions_are_there(sealant_data, sealant_page):
    text = Seen(sealant_page).text

    for part in sealant_data.build.parts.values():
        assert part.name in text
    for finding in sealant_data.build.findings:
        assert finding.rule in text
        assert flat(finding.reason) in text
    for setting in sealant_data.settings:
        assert flat(setting.note) in text
    for name, quantity in sealant_data.stated:
        assert f"{name} {quantity}" in text
    for caution in sealant_data.cautions:
        assert caution.topic in text
    for gap in sealant_data.gaps:
        assert flat(gap.settle_with) in text
    assert sealant_data.answer.subject.catalog.sha256 in text


@pytest.mark.parametrize("page", ["sealant_page", "potting_page"])
def test_it_never_says_safe(request, page):
    text = Seen(request.getfixturevalue(page)).text.lower()

    assert not re.search(r"\bsafe\b|\bsafely\b|\bharmless\b", text)


def test_foreign_text_is_escaped(sealant):
    hostile = "<script>alert(1)</script>\"'&{{ 1234*5678 }}"
    question = sealant.subject.question
    material = question.material.model_copy(update={"title": hostile, "note": hostile})
    asked = Question(material=material, process=question.process)
    page = sheet_html(made(Workshop(sealant.subject.catalog).answer(asked)))
    seen = Seen(page)

    assert "script" not in seen.tags
    assert hostile in seen.text
    assert "7006652" not in seen.text


@pytest.mark.parametrize("fixture", ["sealant_data", "potting_data"])
def test_each_rejected_alternative_really_has_no_build(request, fixture):
    """Oracle: the solver, asked for the build with that one part changed."""
    data = request.getfixturevalue(fixture)
    subject = data.answer.subject
    names = {slot: part.name for slot, part in data.build.parts.items()}
    assert len(data.rejected) == 3
    assert len({entry.slot for entry in data.rejected}) == 3

    for entry in data.rejected:
        asked = replace(subject.question, picks={**names, entry.slot: entry.part.name})
        assert Workshop(subject.catalog).answer(asked).count == 0
        assert all(finding.state is State.RULED_OUT for finding in entry.broken)


def test_rejected_alternatives_come_nearest_first(sealant):
    found = nearest_rejected(sealant, sealant.builds(limit=1)[0])
    margins = [entry.broken[0].margin for entry in found]

    assert margins == sorted(margins, reverse=True)
    assert all(margin < 0 for margin in margins)


def test_every_joint_is_closed(sealant_data, potting_data):
    for data in (sealant_data, potting_data):
        assert all(joint.closed for joint in data.joints)
        assert (
            sum("to size" in joint.between or "to a.size" in joint.between for joint in data.joints)
            >= 7
        )

    # Both heads to the mixer, and the mixer to the tip.
    of_mixer = [joint for joint in potting_data.joints if "mixing " in joint.between]
    assert len(of_mixer) == 3
    assert {joint.how for joint in of_mixer} <= {"luer lock", "threaded", "flanged"}


def test_a_mixer_that_states_no_joint_is_not_shown_as_closed(ask):
    answer = ask("bay-potting", "bay-potting-pour")
    build = answer.builds(limit=1)[0]
    mixing = build.parts["mixing"].model_copy(update={"joint": None, "tip_joint": None})
    bare = replace(build, parts={**build.parts, "mixing": mixing})

    still_open = [joint for joint in joints_of(answer, bare) if not joint.closed]
    assert len(still_open) == 3
    assert all("the mixer states none" in joint.how for joint in still_open)
    assert all("mixing " in joint.between for joint in still_open)


def test_an_alternative_that_is_not_made_for_the_size_comes_behind_all_others(ask):
    for material, process in (("hull-paste", "hull-seam"), ("bearing-oil", "pulley-drops")):
        answer = ask(material, process)
        found = nearest_rejected(answer, answer.builds(limit=1)[0], most=200)
        unfit = [
            any("made for the size" in finding.rule for finding in entry.broken) for entry in found
        ]
        firsts = {}
        for entry, is_unfit in zip(found, unfit, strict=True):
            firsts.setdefault(entry.slot, is_unfit)

        # One of each slot stands first; within these no misfit stands before a near miss.
        assert list(firsts.values()) == sorted(firsts.values())
        assert True in unfit


def test_every_figure_of_a_side_is_told_for_both_sides(potting_data, sealant_data):
    told = {title: value for title, value, _ in potting_data.figures}

    assert told["rotor speed at the lowest flow"] == "a 60, b 100"
    assert told["rotor turns in the smallest shot"] == "a 120, b 200"
    assert "," not in dict(sealant_data.figures[place][:2] for place in range(5))["cost index"]
    assert all("a " not in value for _, value, _ in sealant_data.figures)


def test_equal_ratings_share_a_line_and_are_named_for_the_part_that_limits(ask):
    data = made(ask("hull-paste", "hull-seam"))
    limits = json.loads(sheet_json(data))["charts"]["pressure_chain"]["limits"]

    # Both shaft seals are rated 10 bar, below the 12 bar of two stages.
    assert limits == {"tip joint": 20.0, "shaft seal a, shaft seal b": 10.0}


def test_a_material_without_a_density_gets_its_sheet_and_is_told_what_is_unknown(ask):
    data = made(ask("mast-compound", "gland-fill"))
    page, numbers = sheet_html(data), json.loads(sheet_json(data))
    speeds = [each for each in data.settings if each.name.startswith("rotor speed")]

    assert page.startswith("<!DOCTYPE html>")
    assert all("up by the slip" in setting.span and setting.high is None for setting in speeds)
    assert numbers["charts"]["time_pressure"]["head_pct"] is None
    assert not any("all" in row for row in numbers["charts"]["error_budget"]["rows"])
    assert numbers["charts"]["flow_window"][0]["high_rpm"][0] is None
    assert numbers["charts"]["flow_window"][0]["nominal_rpm"][0] > 0.0


def test_labels_beside_a_chart_stand_apart_and_below_its_top():
    places = apart([4.0, 5.0, 5.5, 49.0, 50.0], 3.0, 52.0)

    assert all(high - low >= 3.0 - 1e-9 for low, high in pairwise(places))
    assert max(places) <= 52.0
    assert apart([], 3.0, 10.0) == []


def test_weak_numbers_of_the_request_and_the_practice_are_owned_up_to(sealant_data):
    found = {(each.where, each.basis) for each in sealant_data.assumptions}
    bases = {each.basis for each in sealant_data.assumptions if each.where == "shop practice"}

    assert ("material", Basis.ESTIMATED.value) in found
    assert {"from memory", "common practice"} <= bases
    assert any(where.startswith("cavity ") and basis == "invented" for where, basis in found)


def test_the_charts_say_what_the_figures_say(sealant_data):
    data = json.loads(sheet_json(sealant_data))
    charts, figures = data["charts"], data["figures"]
    bars = dict(
        zip(charts["error_budget"]["rows"], charts["error_budget"]["parts"]["share"], strict=True)
    )

    assert max(map(abs, charts["time_pressure"]["time_pressure_pct"])) == pytest.approx(
        figures["time_pressure_error_pct"], rel=1e-5
    )
    assert bars["all once weighed"] == pytest.approx(figures["volume_error_pct"], rel=1e-5)
    assert bars["all before weighing"] == pytest.approx(
        figures["volume_error_unweighed_pct"], rel=1e-5
    )
    chain = sum(values[2] for values in charts["pressure_chain"]["parts"].values())
    assert chain == pytest.approx(figures["back_pressure_bar"], rel=1e-5)


def test_the_json_holds_every_finding_and_setting(potting_data):
    data = json.loads(sheet_json(potting_data))

    assert len(data["findings"]) == len(potting_data.build.findings)
    assert [each["name"] for each in data["settings"]] == [
        setting.name for setting in potting_data.settings
    ]
    assert sheet_json(potting_data) == sheet_json(potting_data)


@pytest.mark.slow
def test_the_pdf_is_the_page_on_a4(sealant_data):
    """Runs where weasyprint is installed: it wants a drawing library of the system."""
    pytest.importorskip("weasyprint", exc_type=(ImportError, OSError))
    written = sheet_pdf(sealant_data)

    assert written.startswith(b"%PDF-")
    assert b"/Count " in written or b"/ObjStm" in written


def test_a_figure_with_a_unit_in_its_name_shows_it():
    counts = {"index", "revolutions", "cov", "container", "shift", "shots", "shifts"}

    assert {figure.name.rpartition("_")[2] for figure in FIGURES} == {*UNITS, *counts}
