"""The sheet: one file, escaped, the same every time, and true to its answer."""

from __future__ import annotations

import csv
import io
import json
import re
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from shipped import cheapest_first
from two_part_world import TWO_PART

from configurator.chemistry.cautions import DEFER
from configurator.errors import InputError
from configurator.report.charts import apart
from configurator.report.heading import deferred
from configurator.report.service import service_card
from configurator.report.sheet import parts_csv, sheet_html, sheet_json, sheet_pdf
from configurator.report.sheet_data import SheetData, joints_of, sheet_data
from configurator.report.sheet_words import ENGLISH, TEMPLATES, SheetWords, english, load_words
from configurator.request.orders import UNITS
from configurator.request.question import Question
from configurator.rules.rulebook import RULEBOOK
from configurator.units.interval import Basis
from configurator.units.kinds import NUMBER, TIME
from configurator.units.quantity import read_quantity
from configurator.workshop.answer import Answer
from configurator.workshop.figures import FIGURES
from configurator.workshop.heads import is_exchanged
from configurator.workshop.margins import LEAST_MARGIN
from configurator.workshop.shortlist import PURPOSES
from configurator.workshop.workshop import Workshop

CHARTS = ("flow-window", "pressure-chain")


def made(answer: Answer, say: SheetWords | None = None) -> SheetData:
    return sheet_data(answer, answer.builds(limit=1)[0], say)


@pytest.fixture(scope="session")
def ask():
    return cheapest_first


@pytest.fixture(scope="module")
def sealant_data(sealant) -> SheetData:
    return made(sealant)


@pytest.fixture(scope="module")
def sealant_page(sealant_data) -> str:
    return sheet_html(sealant_data, annex=True)


@pytest.fixture(scope="module")
def potting_data(ask) -> SheetData:
    return made(ask("bay-potting", "bay-potting-pour"))


@pytest.fixture(scope="module")
def potting_page(potting_data) -> str:
    return sheet_html(potting_data, annex=True)


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
    again = sheet_html(made(sealant), annex=True)

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
    page = sheet_html(made(Workshop(sealant.subject.catalog).answer(asked)), annex=True)
    seen = Seen(page)

    assert "script" not in seen.tags
    assert hostile in seen.text
    assert "7006652" not in seen.text


@pytest.mark.parametrize("fixture", ["sealant_data", "potting_data"])
def test_each_better_head_has_a_build_as_much_better_as_it_says(request, fixture):
    """Oracle: the workshop, asked for builds of that head in the order of the figure."""
    data = request.getfixturevalue(fixture)
    answer = data.answer
    names = {s: part.name for s, part in data.build.parts.items() if not is_exchanged(s)}
    assert data.better

    for entry in data.better:
        assert entry.parts
        assert any(PURPOSES[name] in entry.gains for name in entry.best_for)
        figure = PURPOSES[entry.best_for[0]]
        for moved, better in ((entry.gains, True), (entry.costs, False)):
            for name, (here, there) in moved.items():
                more = name in {LEAST_MARGIN, "wear_band_low_hours"}
                assert (there > here) is (better is more)
        picks = {**names, **entry.parts}
        asked = replace(answer.question, picks=picks, sort=figure)
        found = Workshop(answer.subject.catalog).answer(asked)
        best = found.builds(limit=1)[0]
        here, there = entry.gains[figure]
        sign = 1.0 if there > here else -1.0
        # tips and feeds that keep rules less well may do better still
        assert sign * best.figures[figure] >= sign * there - 1e-9 * abs(there)
        if figure != LEAST_MARGIN:
            assert data.build.figures[figure] == pytest.approx(here)


def test_every_joint_is_closed(sealant_data, potting_data):
    for data in (sealant_data, potting_data):
        assert all(joint.closed for joint in data.joints)
        assert sum(" to size " in joint.between for joint in data.joints) >= 7

    # Both heads to the mixer, and the mixer to the tip.
    of_mixer = [joint for joint in potting_data.joints if "mixer " in joint.between]
    assert len(of_mixer) == 3
    assert {joint.how for joint in of_mixer} <= {"luer lock", "threaded", "flanged"}


def test_a_mixer_that_states_no_joint_is_not_shown_as_closed(ask):
    answer = ask("bay-potting", "bay-potting-pour")
    build = answer.builds(limit=1)[0]
    mixing = build.parts["mixing"].model_copy(update={"joint": None, "tip_joint": None})
    bare = replace(build, parts={**build.parts, "mixing": mixing})

    still_open = [joint for joint in joints_of(answer, bare, english()) if not joint.closed]
    assert len(still_open) == 3
    assert all("the mixer states none" in joint.how for joint in still_open)
    assert all("mixer " in joint.between for joint in still_open)


def test_every_figure_of_a_side_is_told_for_both_sides(potting_data, sealant_data):
    told = {each.title: each.value for each in potting_data.figures}

    assert told["rotor speed at the lowest flow"] == "a 60, b 100"
    assert told["rotor turns in the smallest shot"] == "a 120, b 200"
    assert all("a " not in each.value for each in sealant_data.figures)


def test_equal_ratings_share_a_line_and_are_named_for_the_part_that_limits(ask):
    data = made(ask("hull-paste", "hull-seam"))
    limits = json.loads(sheet_json(data))["charts"]["pressure_chain"]["limits"]

    # Both shaft seals and the luer lock are rated 10 bar, below the 12 bar of two stages.
    assert limits == {"tip joint, shaft seal a, shaft seal b": 10.0}


def test_a_material_without_a_density_gets_its_sheet_and_is_told_what_is_unknown(ask):
    data = made(ask("mast-compound", "gland-fill"))
    page, numbers = sheet_html(data, annex=True), json.loads(sheet_json(data))
    speeds = [each for each in data.settings if each.name.startswith("rotor speed")]

    assert page.startswith("<!DOCTYPE html>")
    assert all("up by the slip" in setting.span and setting.high is None for setting in speeds)
    assert "unknown, as nobody knows the slip" in page
    assert numbers["error_budget"]["slip"]["weighed"] is None
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

    chain = sum(values[2] for values in data["charts"]["pressure_chain"]["parts"].values())
    assert chain == pytest.approx(data["figures"]["back_pressure_bar"], rel=1e-5)


def test_the_error_that_is_told_is_that_of_the_budget_and_never_finer_than_its_floor(ask):
    for material, process in (("lid-sealant", "lid-bead"), ("contact-adhesive", "contact-dots")):
        data = made(ask(material, process))
        text = Seen(sheet_html(data)).text
        for name in ("volume_error_pct", "volume_error_unweighed_pct"):
            told = data.build.figures[name]
            assert told >= 0.1
            assert round(told * 10.0, 6) % 1 == 0
            assert f" {told:g} %, most of it " in text


def test_a_mix_is_never_told_to_be_even_without_end(ask):
    answer = ask("bay-potting", "bay-potting-pour")
    build = answer.builds(limit=1)[0]
    even = replace(build, figures={**build.figures, "mixing_cov": 1e-9})
    told = {each.name: each.value for each in sheet_data(answer, even).figures}

    assert told["mixing_cov"] == "at most 0.001"


def test_every_sentence_of_the_page_comes_out_of_the_table(potting_data, ask):
    """The template holds no letter of its own, and marked sentences leave only what is data."""
    bare = re.sub(
        r"{%.*?%}|{{.*?}}|<[^>]*>", "", (TEMPLATES / "sheet.html").read_text(), flags=re.DOTALL
    )
    assert not re.search(r"[A-Za-z]", bare.replace("@page { margin: 11mm 14mm; }", ""))

    marked = SheetWords({key: f"[{text}]" for key, text in english().texts.items()})
    data = made(ask("bay-potting", "bay-potting-pour"), marked)
    card = service_card(data, after=ask("window-silicone", "window-bead").question.material)
    page = sheet_html(data, annex=True, service=card)
    page = re.sub(r"<style.*?</style>", "", page, flags=re.DOTALL)
    text = Seen(page).text
    while (inner := re.sub(r"\[[^\[\]]*\]", " ", text)) != text:
        text = inner
    told = json.loads(sheet_json(potting_data))
    del told["settings"]
    known = {*strings_of(told), *told["error_budget"], *(rule.source for rule in RULEBOOK)}
    known |= {each.title for each in data.figures} | {each.part.title for each in data.bought}
    known |= {joint.how for joint in data.joints} | {
        DEFER,
        *(each.what for each in data.assumptions),
    }
    known |= {text for _, text in deferred(data.cautions)}
    known |= {row[0] for row in card["media"]} | {card["changeover"][0][1]}
    for string in sorted(map(flat, known), key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(string)}(?!\w)", " ", text)

    assert not set(re.findall(r"[A-Za-z]{3,}", text)) - {"bar", "degC", "min", "rpm"}


def strings_of(data) -> Iterator[str]:
    for each in data.values() if isinstance(data, dict) else data:
        if isinstance(each, dict | list):
            yield from strings_of(each)
        elif isinstance(each, str) and each:
            yield each


def test_a_language_file_replaces_sentences_and_leaves_the_others_english(sealant, tmp_path):
    path = tmp_path / "german.toml"
    path.write_text(
        'language = "de"\nparts = "Teile"\ntitle = "Dosierkopf f\u00fcr {material}"\n', "utf-8"
    )
    text = sheet_html(made(sealant, load_words(path)))

    assert '<html lang="de">' in text
    assert "<h2>Teile</h2>" in text
    assert "<h1>Dosierkopf f\u00fcr Moisture-curing" in text
    assert "<h2>Cautions</h2>" in text


def test_what_the_engine_says_goes_by_a_table_with_places(sealant, tmp_path):
    """Names of rules, reasons, cautions and what stands in a sentence's places."""
    path = tmp_path / "german.toml"
    path.write_text(
        "[engine]\n"
        '"chemistry of the stator" = "Chemie des Stators"\n'
        '"common practice" = "Praxis"\n'
        '"{1} is limited: {2}" = "{1} ist bedingt geeignet: {2}"\n'
        '"Up to {1}: lines between head and valve {2}" = "Bis {1}: Leitungen {2}"\n',
        "utf-8",
    )
    page = sheet_html(made(sealant, load_words(path)))

    assert "chemistry of the stator" not in page
    assert page.count("Chemie des Stators") == 1
    assert "EPDM (ethylene-propylene rubber) ist bedingt geeignet: recollection" in page
    assert "Bis 24 bar: Leitungen stay under pressure" in page
    assert "(Praxis)" in page


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('"{1} is limited" = "bedingt"', "{1}"),
        ('"{1} and {1}" = "{1}"', "a place twice"),
        ('"a" = 3', "int"),
    ],
)
def test_a_fault_in_the_table_of_the_engine_is_a_line(tmp_path, line, told):
    path = tmp_path / "german.toml"
    path.write_text(f"[engine]\n{line}\n", "utf-8")
    with pytest.raises(InputError) as caught:
        load_words(path)

    assert told in str(caught.value)
    assert len(caught.value.faults) == 1


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('partz = "Teile"', "did you mean parts"),
        ('title = "Dosierkopf"', "{material}"),
        ('parts = "Teile {material}"', "places: none"),
        ("parts = 3", "a sentence"),
        ("parts = ", "valid TOML"),
    ],
)
def test_a_fault_in_a_language_file_is_a_line(tmp_path, line, told):
    path = tmp_path / "german.toml"
    path.write_text(line, "utf-8")
    with pytest.raises(InputError) as fault:
        load_words(path)

    assert told in str(fault.value)
    assert len(str(fault.value).splitlines()) == 1


def test_every_sentence_of_the_table_is_used():
    sources = "".join(
        path.read_text("utf-8")
        for path in (ENGLISH.parents[1]).rglob("*")
        if path.suffix in (".py", ".html")
    )
    made_up = ("state_", "slot_", "asked_", "change_", "chart_", "meets_", "medium_", "store_")
    made_up += ("wear_", "missing_", "spare_", "set_", "best_")

    for key in english().texts:
        assert key.startswith(made_up) or f'"{key}"' in sources, key


def test_the_picture_names_every_part_and_how_the_head_ends(potting_page, potting_data):
    drawing = potting_page.partition("<figure>")[2].partition("</figure>")[0]

    assert {part.name for part in potting_data.build.parts.values()} <= set(Seen(drawing).words)
    assert {"threaded", "luer lock"} <= set(Seen(drawing).words)


def test_the_parts_for_purchasing_add_up_to_the_build(potting_data):
    rows = list(csv.DictReader(io.StringIO(parts_csv(potting_data))))
    slots = [slot for row in rows for slot in row["slots"].split()]

    assert sorted(slots) == sorted(potting_data.build.parts)
    assert sum(int(row["quantity"]) for row in rows) == len(slots)
    assert all(len(row["slots"].split()) == int(row["quantity"]) for row in rows)


def test_an_order_text_and_a_price_stand_where_a_catalog_states_them(sealant, sealant_page):
    answer, build = sealant, sealant.builds(limit=1)[0]
    weeks = [read_quantity(text, TIME, Basis.DATASHEET) for text in ("3 weeks", "9 days")]
    one = read_quantity(1, NUMBER, Basis.DATASHEET)
    bought = {"order_text": "S-4711", "price": "120 EUR", "delivery": weeks[0]}
    stated = {
        "stator": bought,
        "rotor": {"delivery": weeks[1]},
        "drive": {"delivery": weeks[0], "stock": one},
    }
    parts = {slot: build.parts[slot].model_copy(update=more) for slot, more in stated.items()}
    data = sheet_data(answer, replace(build, parts={**build.parts, **parts}))

    assert "Order text" not in sealant_page
    assert "Longest delivery" not in sealant_page
    text = Seen(sheet_html(data)).text
    assert "Order text Price Delivery In stock" in text
    assert "S-4711 120 EUR 3 weeks" in text
    # What lies on the shelf is not waited for.
    assert f"Longest delivery: stator {parts['stator'].name}, 3 weeks; of 6 parts neither" in text
    assert "S-4711,120 EUR,3 weeks,," in parts_csv(data)
    assert json.loads(sheet_json(data))["quantities"][3]["delivery"] == "9 days"


def test_a_dual_cartridge_is_ordered_once():
    world = TWO_PART.having({"feed.kind": "dual cartridge", "feed.second_capacity": "300 mL"})
    data = sheet_data(world.answer, world.answer.first)
    quantities = {each.part.slot: each.quantity for each in data.bought}
    assert quantities == dict.fromkeys(quantities, 2) | {"feed": 1, "mixing": 1, "outlet": 1}


def test_the_json_holds_every_finding_and_setting(potting_data):
    data = json.loads(sheet_json(potting_data))

    assert len(data["findings"]) == len(potting_data.build.findings)
    assert [each["name"] for each in data["settings"]] == [
        setting.name for setting in potting_data.settings
    ]
    assert sheet_json(potting_data) == sheet_json(potting_data)


@pytest.mark.slow
@pytest.mark.parametrize("fixture", ["sealant_data", "potting_data"])
def test_the_pdf_has_two_pages_and_one_more_for_the_service_card(request, fixture):
    """Runs where weasyprint is installed: it wants a drawing library of the system."""
    pytest.importorskip("weasyprint", exc_type=(ImportError, OSError))
    data = request.getfixturevalue(fixture)
    assert (pages_of(sheet_pdf(data)), pages_of(sheet_pdf(data, service=service_card(data)))) == (
        2,
        3,
    )


def pages_of(written: bytes) -> int:
    assert written.startswith(b"%PDF-")
    packed = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", written, flags=re.DOTALL)
    streams = [zlib.decompressobj().decompress(each) for each in packed if each[:1] == b"x"]
    return len(re.findall(rb"/Type /Page\b", b"".join([written, *streams])))


def test_a_figure_with_a_unit_in_its_name_shows_it():
    counts = {"index", "revolutions", "cov", "container", "shift", "shots", "shifts", "steps"}
    counts |= {"price"}  # in the currency of the catalog

    assert {figure.name.rpartition("_")[2] for figure in FIGURES} == {*UNITS, *counts}
