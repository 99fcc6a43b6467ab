"""Charts as text: where lines, limits and bands stand, read without colour."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import pytest
from tui_worlds import asked

from configurator.report.lines import cells
from configurator.rules.finding import Finding, State
from configurator.tui.build_charts import (
    FlowWindow,
    Limit,
    WindowLine,
    flow_chart,
    pressure_bars,
    pressure_chain,
    windows_of,
)
from configurator.tui.looks import ASCII, LINES, Spans, fitted, short_count
from configurator.tui.tradeoff_map import tradeoff_map, tradeoff_of
from configurator.units.interval import Basis
from configurator.workshop.figures import figure_named

FLOWS = np.linspace(0.0, 2e-6, 7)


def joined(lines: Iterable[Spans]) -> list[str]:
    return ["".join(text for text, _ in line) for line in lines]


def window(**changes):
    whole = {
        "side": "",
        "flows": FLOWS,
        "lines": (
            WindowLine("a", 0.0, "no back pressure", FLOWS * 1e6),
            WindowLine("b", 5e5, "as the outlet needs", FLOWS * 1e6 + 0.5),
        ),
        "wanted": (0.5e-6, 1.5e-6),
        "limits": (Limit("rotor speed against the drive", 2.2, floor=False),),
    }
    return FlowWindow(**{**whole, **changes})


@pytest.fixture(scope="module")
def answer(examples):
    session = asked(examples, "plain", "flow")
    return session.workshop.answer(session.to_solve)


@pytest.mark.parametrize("glyphs", [ASCII, LINES])
@pytest.mark.parametrize(("width", "height"), [(46, 12), (78, 18), (24, 9)])
def test_a_chart_fits_its_room(glyphs, width, height):
    lines = joined(flow_chart(window(), width, height, glyphs))

    assert len(lines) <= height
    assert all(cells(line) <= width for line in lines)


def test_a_chart_in_ascii_is_ascii():
    text = "\n".join(joined(flow_chart(window(), 60, 16, ASCII)))

    assert text.isascii()
    assert text.isprintable() or "\n" in text


def test_lines_rise_and_a_higher_pressure_lies_further_right():
    lines = joined(flow_chart(window(limits=()), 60, 20, ASCII))
    plot = [line[8:] for line in lines if len(line) > 8 and line[7] == "|"]
    at = {letter: [line.find(letter) for line in plot] for letter in "ab"}
    rising = [place for place in at["a"] if place >= 0]
    assert len(rising) > 5
    assert rising == sorted(rising, reverse=True)
    assert all(a < b for a, b in zip(at["a"], at["b"], strict=True) if a >= 0 and b >= 0)


def test_in_dots_a_line_is_without_a_gap_and_goes_where_it_is_told():
    """Dots of a cell by ISO/IEC 10646: bits 0 to 2 and 6 of the left column, 3 to 5 and 7."""
    straight = window(lines=(WindowLine("a", 0.0, "no back pressure", FLOWS * 1e6),), limits=())
    lines = joined(flow_chart(straight, 60, 20, LINES))
    plot = [line[8:] for line in lines if len(line) > 8 and line[7] == LINES.upright]
    bits = [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1), (3, 0), (3, 1)]
    dots = {
        (4 * row + down, 2 * place + across)
        for row, line in enumerate(plot)
        for place, cell in enumerate(line)
        for bit, (down, across) in enumerate(bits)
        if "\u2800" < cell <= "\u28ff" and ord(cell) >> bit & 1
    }
    height, width = 4 * len(plot) - 1, 2 * len(plot[0]) - 1
    for down, across in dots:
        near = {(down + y, across + x) for y in (-1, 0, 1) for x in (-1, 0, 1)}
        # Its letter stands at its upper end.
        assert len(near & dots) > 2 or down in (height, *range(5))
        flow, speed = 2e-6 * (1 - down / height), straight.top_speed * across / width
        assert flow == pytest.approx(speed * 1e-6, abs=2e-6 * 1.5 / height)
    assert len(dots) > height / 2
    assert "a" in plot[0]


def test_the_limit_is_named_at_its_line_and_the_band_at_its_edges():
    text = "\n".join(joined(flow_chart(window(), 70, 20, ASCII)))

    assert "to the drive" in text
    assert "most wanted" in text
    assert "least wanted" in text
    assert "b 5 bar as the outlet needs" in text


def test_a_single_flow_has_one_edge():
    text = "\n".join(joined(flow_chart(window(wanted=(1e-6, 1e-6)), 60, 16, ASCII)))

    assert " wanted " in text
    assert "most wanted" not in text


def test_the_speed_at_no_pressure_is_flow_over_displacement(answer):
    (build,) = answer.builds(limit=1)
    (found,) = windows_of(answer, build)
    displacement = build.parts["cavity"].displacement.nominal

    assert found.lines[0].pressure == 0.0
    assert found.lines[0].speeds == pytest.approx(found.flows / displacement)
    assert found.wanted == (answer.subject.duty.flow.low, answer.subject.duty.flow.high)


def test_the_line_of_the_needed_pressure_has_the_speed_that_the_findings_have(answer):
    """Between least and most slip, within the uncertainty that findings add and take."""
    for build in answer.builds(limit=20):
        (found,) = windows_of(answer, build)
        line = found.lines[1]
        speed = float(np.interp(found.wanted[1], found.flows, line.speeds))
        ideal = found.wanted[1] / build.parts["cavity"].displacement.nominal
        hard = build.figures["speed_high_rpm"] / 60.0
        assert ideal * (1 - 1e-9) <= speed <= hard * (1 + 1e-9)


def test_each_side_of_a_pair_has_its_own_window(examples):
    session = asked(examples, "pair", "mixed")
    answer = session.workshop.answer(session.to_solve)
    (build,) = answer.builds(limit=1)
    sides = windows_of(answer, build)

    assert [found.side for found in sides] == ["a", "b"]
    assert all(found.limits for found in sides)
    assert all(":" not in limit.name for found in sides for limit in found.limits)


def test_the_chain_goes_from_outlet_to_inlet(answer):
    (build,) = answer.builds(limit=1)
    names = [finding.rule for finding in pressure_chain(build)]

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
    lines = joined(
        tradeoff_map(found, 0, answer.builds(limit=40), width=70, height=16, glyphs=ASCII)
    )
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
    lines = joined(tradeoff_map(found, 0, (), width=70, height=16, glyphs=ASCII))

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
