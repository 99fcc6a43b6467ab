"""Pictures as text: where lines, limits, bands and bars stand, read without colour."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest
from tui_worlds import asked

from configurator.report.chart_data import Bars, SpeedOverFlow, flow_windows, pressure_chain
from configurator.report.lines import cells
from configurator.rules.finding import Finding, State
from configurator.trial.head import head_of
from configurator.tui.canvas import Plot
from configurator.tui.looks import ASCII, LINES, Spans, fitted, margin_bar, short_count
from configurator.tui.pictures import (
    Ages,
    age_chart,
    chain_chart,
    flow_chart,
    head_picture,
    margin_bars,
    pictured,
    pressure_bars,
    pressure_findings,
)
from configurator.tui.tradeoff_map import tradeoff_map, tradeoff_of
from configurator.units.interval import Basis
from configurator.workshop.figures import figure_named


def joined(lines: Iterable[Spans]) -> list[str]:
    return ["".join(text for text, _ in line) for line in lines]


def window(**changes):
    flows = [float(each) for each in range(1, 101)]
    whole = {
        "title": "",
        "flow_ml_min": flows,
        "low_rpm": flows,
        "nominal_rpm": [each + 20.0 for each in flows],
        "high_rpm": [each + 40.0 for each in flows],
        "wanted_ml_min": (25.0, 75.0),
        "limits_rpm": {"drive": 150.0},
    }
    return SpeedOverFlow(**{**whole, **changes})


@pytest.fixture(scope="module")
def answer(examples):
    session = asked(examples, "plain", "flow")
    return session.workshop.answer(session.to_solve)


@pytest.mark.parametrize("glyphs", [ASCII, LINES])
@pytest.mark.parametrize(("width", "height"), [(46, 12), (78, 18), (24, 9), (3, 2)])
def test_a_chart_fits_its_room(glyphs, width, height):
    lines = joined(flow_chart(window(), width, height, glyphs))

    assert len(lines) <= height
    assert all(cells(line) <= max(width, 48) for line in lines)


def test_a_chart_in_ascii_is_ascii():
    text = "\n".join(joined(flow_chart(window(), 60, 16, ASCII)))

    assert text.isascii()
    assert text.isprintable() or "\n" in text


def test_lines_rise_and_more_slip_lies_further_right():
    lines = joined(flow_chart(window(limits_rpm={}), 70, 18, ASCII))
    plot = [line[8:] for line in lines if len(line) > 8 and line[7] == "|"]
    at = {letter: [line.find(letter) for line in plot[4:-1]] for letter in "lnm"}
    rising = [place for place in at["l"] if place >= 0]
    assert len(rising) > 5
    assert rising == sorted(rising, reverse=True)
    middle = [(n, m) for n, m in zip(at["n"], at["m"], strict=True) if n >= 0 and m >= 0]
    assert middle
    assert all(n < m for n, m in middle)


def test_in_dots_a_line_is_without_a_gap_and_goes_where_it_is_told():
    """Dots of a cell by ISO/IEC 10646: bits 0 to 2 and 6 of the left column, 3 to 5 and 7."""
    plot = Plot(("x", [0.0, 4.0]), ("y", [0.0, 2.0]), width=60, height=20, glyphs=LINES)
    across = np.linspace(0.0, 4.0, 7)
    plot.curve(across, across / 2.0, "straight")
    cells_of = ["".join(text for text, _ in line) for line in plot.cells]
    bits = [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1), (3, 0), (3, 1)]
    dots = {
        (4 * row + down, 2 * place + right)
        for row, line in enumerate(cells_of)
        for place, cell in enumerate(line)
        for bit, (down, right) in enumerate(bits)
        if "\u2800" < cell <= "\u28ff" and ord(cell) >> bit & 1
    }
    height, width = 4 * plot.height - 1, 2 * plot.width - 1
    for down, right in dots:
        near = {(down + y, right + x) for y in (-1, 0, 1) for x in (-1, 0, 1)}
        assert len(near & dots) > 2 or down in (0, height)
        assert 2.0 * (1 - down / height) == pytest.approx(2.0 * right / width, abs=3.0 / height)
    assert len(dots) > height / 2


def test_limits_lines_and_the_band_are_named_where_they_are():
    limited, free = (
        "\n".join(joined(flow_chart(window(limits_rpm=limits), 120, 20, LINES)))
        for limits in ({"drive": 150.0}, {})
    )
    assert all(words in limited for words in ("to drive", "most wanted", "least wanted"))
    assert all(words in free for words in ("least slip", "most slip", "nominal"))


def test_what_nobody_knows_of_slip_is_said_and_not_drawn():
    text = "\n".join(joined(flow_chart(window(high_rpm=[math.nan] * 100), 90, 20, LINES)))

    assert "slip at its most is not known" in text
    assert "most slip" not in text


def test_a_single_flow_has_one_edge():
    text = "\n".join(joined(flow_chart(window(wanted_ml_min=(50.0, 50.0)), 60, 16, ASCII)))

    assert text.count(" wanted ") == 1
    assert "most wanted" not in text


def test_pictures_show_the_numbers_of_the_sheet_and_each_side_of_a_pair_has_its_window(examples):
    session = asked(examples, "pair", "mixed")
    answer = session.workshop.answer(session.to_solve)
    (build,) = answer.builds(limit=1)
    found, head = pictured(answer, build), head_of(answer.subject, build.parts)

    assert found.windows == flow_windows(head, build.findings)
    assert found.chain == pressure_chain(head)
    assert [each.title for each in found.windows] == ["side a", "side b"]
    assert found.ages is not None


def test_the_chain_stacks_what_is_lost_and_marks_every_rating():
    lost = {"tip": [2.0, 4.0], "mixer": [2.0, 4.0]}
    chain = Bars("bar", ["thin", "thick"], lost, {"tip joint": 90.0, "stages": 16.0})
    _, legend, thin, thick, stages, joint = joined(chain_chart(chain, 66, ASCII))

    assert (thin.count("#"), thin.count("=")) == (5, 5)
    assert (thick.count("#"), thick.count("=")) == (10, 10)
    assert thick.index("|") == thin.index("|") == 9 + 39
    assert thick.endswith(" 8")
    assert legend == "# tip  = mixer"
    assert "| stages, rated 16 bar" in stages
    assert "> tip joint, rated 90 bar" in joint


AGES = Ages((1.0, 2.0), 30.0, 480.0, {"pot life, warmest": 40.0, "most in a stop": 20.0})


def test_the_age_rises_through_the_longest_stop_over_the_limits_it_passes():
    lines = joined(age_chart(AGES, 80, 20, LINES))
    text = "\n".join(lines)
    plot = [line[8:] for line in lines if len(line) > 8 and line[7] == LINES.upright]
    top = next(at for at, line in enumerate(plot) if any("\u2800" < c <= "\u28ff" for c in line))
    stop = next(at for at, line in enumerate(plot) if "most in a stop" in line)
    life = next(at for at, line in enumerate(plot) if "pot life, warmest" in line)
    assert life < top < stop
    assert "time in the shift, min" in text


def test_what_nobody_knows_of_the_age_is_said():
    no_stop = "\n".join(joined(age_chart(replace(AGES, stop=math.nan), 80, 20, ASCII)))
    no_cycle = "\n".join(joined(age_chart(replace(AGES, running=(1.0, math.nan)), 80, 20, ASCII)))

    assert "Nobody says how long it stands" in no_stop
    assert "no cycle time" in no_cycle


def test_margins_are_bars_the_least_first_in_as_many_builds_as_are_compared(answer):
    builds = answer.builds(limit=2)
    lines = joined(margin_bars(builds, 100, ASCII))
    rules = {f.rule for b in builds for f in b.findings if f.margin is not None}
    least = min(f.margin for b in builds for f in b.findings if f.margin is not None)

    assert len(lines) == len(rules)
    assert f"{100 * least:.3g} %" in lines[0]
    assert all(cells(line) <= 100 for line in lines)
    assert margin_bar(0.25, 4, ASCII) == "#...    25 %"


@pytest.mark.parametrize(("material", "process"), [("plain", "flow"), ("pair", "mixed")])
@pytest.mark.parametrize("width", [40, 78])
def test_the_picture_of_a_head_names_every_part(examples, material, process, width):
    session = asked(examples, material, process)
    (build,) = session.workshop.answer(session.to_solve).builds(limit=1)
    lines = joined(head_picture(build, width, ASCII))
    text = "\n".join(lines)

    for slot, part in build.parts.items():
        bare = slot.rpartition(".")[2].replace("outlet", "tip")
        assert part.name == "none" or f"{bare} {part.name}" in text, slot
    assert text.count("feed ") == (2 if material == "pair" else 1)
    assert text.isascii()
    assert all(cells(line) <= width for line in lines)


def test_the_pressures_go_from_outlet_to_inlet(answer):
    (build,) = answer.builds(limit=1)
    names = [finding.rule for finding in pressure_findings(build)]

    assert names[0] == "pressure at the tip joint"
    assert names.index("pressure in the housing") < names.index("pressure on each stage")
    assert names[-1].startswith("filling ")


def finding(demand, limit, state=State.FITS):
    return Finding(
        rule="pressure in the body",
        state=state,
        demand=demand,
        limit=limit,
        unit="Pa",
        at_least=False,
        margin=None,
        corner="",
        basis=Basis.INVENTED,
        reason="",
    )


def test_a_bar_is_as_long_as_the_share_that_is_used():
    half, over, none = joined(
        pressure_bars(
            [finding(5e5, 1e6), finding(2e6, 1e6, State.RULED_OUT), finding(0.0, 1e6)], 80, ASCII
        )
    )
    assert half.count("#") == pytest.approx(half.count("."), abs=1)
    assert "." not in over.split("bar")[0].replace("1.", "")
    assert over.startswith("x")
    assert ">" in over
    assert "#" not in none
    assert "5 of 10 bar" in half


def test_a_front_is_what_brute_force_finds(answer):
    across, up = figure_named("cost_index"), figure_named("head_mass_kg")
    found = tradeoff_of(answer, across, up, strict=False)
    every = answer.builds(limit=10_000)
    points = {(b.figures["cost_index"], b.figures["head_mass_kg"]) for b in every}
    front = {
        point
        for point in points
        if not any(
            other != point and other[0] <= point[0] and other[1] <= point[1] for other in points
        )
    }
    assert {found.at(build) for build in found.builds} == front


def test_a_map_marks_the_front_and_the_cursor(answer):
    found = tradeoff_of(
        answer, figure_named("cost_index"), figure_named("back_pressure_bar"), strict=False
    )
    lines = joined(tradeoff_map(found, 0, width=70, height=16, glyphs=ASCII))
    text = "\n".join(lines)
    assert len(lines) <= 16
    assert text.count("@") == 1
    assert "." in text
    assert "cost index (less is better)" in text
    assert text.isascii()


def test_a_map_without_builds_says_so(examples):
    session = asked(examples, "gritty", "flow")
    answer = session.workshop.answer(session.to_solve)
    found = tradeoff_of(answer, figure_named("cost_index"), figure_named("torque_nm"), strict=False)
    lines = joined(tradeoff_map(found, 0, width=70, height=16, glyphs=ASCII))

    assert lines == ["No build has both figures."]


@pytest.mark.parametrize("number", [0, 999, 999_999, 1_000_000, 999_499_999, 10**15, 10**24 - 1])
def test_a_short_count_is_short_and_right(number):
    text = short_count(number)
    digits, _, prefix = text.rpartition(" ") if text[-1].isalpha() else (text, "", "")
    scale = 1000.0 ** (" kMGTPEZY".index(prefix) if prefix else 0)

    assert len(text) <= 7
    assert math.isclose(float(digits.replace(" ", "")) * scale, number, rel_tol=5.1e-3)


@pytest.mark.parametrize(
    "text", ["a\x1b[31mb", "two\nlines", "\u5bc6\u5c01 wide", "[bold]x[/]", "\u202eabc"]
)
@pytest.mark.parametrize("width", [1, 5, 40])
def test_spans_are_printable_and_exactly_as_wide_as_asked(text, width):
    spans = fitted([(text, "strong"), (text, "")], width)
    line = "".join(piece for piece, _ in spans)

    assert line.isprintable()
    assert cells(line) in (width, width - 1)
