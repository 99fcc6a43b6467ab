"""The lines above a table."""

from __future__ import annotations

import dataclasses

from configurator.report.builds import page_of
from configurator.report.heading import (
    catalog_in_words,
    duty_in_words,
    heading,
    invented_in_words,
    picks_in_words,
)
from configurator.units.interval import Basis


def test_the_duty_is_in_trade_units(grease):
    assert duty_in_words(grease.subject.duty) == (
        "flow, 1 to 1.5 mL/min, shots of 0.12 mL, 18 to 28 degC, volume error up to 5 %"
    )


def test_the_catalog_is_named_with_its_digest(catalog):
    assert catalog_in_words(catalog).endswith(
        f"({catalog.name}, shipped, sha256 {catalog.sha256[:12]})"
    )


def test_invented_figures_are_counted(catalog):
    bodies = catalog.parts["body"]
    mixed = bodies[0].model_copy(
        update={"pressure_max": dataclasses.replace(bodies[0].pressure_max, basis=Basis.MEASURED)}
    )
    only = dataclasses.replace(catalog, parts={"body": (mixed,)})

    assert invented_in_words(only) == "2 of 3 part figures invented"


def test_a_catalog_without_invented_figures_says_so(catalog):
    empty = dataclasses.replace(catalog, parts={"body": ()})

    assert invented_in_words(empty) == "none of its part figures is invented"


def test_picks_are_told_in_a_fixed_order(grease):
    question = dataclasses.replace(
        grease.subject.question,
        picks={"size": "h2"},
        without={"rotor": frozenset({"b", "a"})},
    )

    assert picks_in_words(question) == "size=h2, without rotor=a, without rotor=b"
    assert picks_in_words(grease.subject.question) == ""


def test_nothing_picked_is_not_mentioned(grease):
    lines = heading(page_of(grease, limit=1), 100)

    assert not any(line.startswith("Picks") for line in lines)
    assert any("invented" in line for line in lines)
