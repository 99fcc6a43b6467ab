"""Each check: refused just beyond the limit, accepted at it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from configurator.errors import Fault, InputError
from configurator.request.load import process_from

Spoil = Callable[[dict[str, Any]], None]
FaultsAfter = Callable[[Spoil], tuple[Fault, ...]]

DOTS = {"kind": "dots", "diameter": "2 mm", "height": "0.7 mm", "dispense_time": "1 s"}
POTTING = {"kind": "potting", "volume": "120 mL", "fill_time": "90 s"}


@pytest.mark.parametrize(
    ("key", "at_the_limit", "beyond"),
    [
        ("tolerance", "50 %", "51 %"),
        ("tolerance", "0.01 %", "0 %"),
        ("confidence", "50 %", "49 %"),
        ("confidence", "99.99 %", "100 %"),
        ("mixing_quality", "50 %", "51 %"),
        ("mixing_quality", "1 %", "0 %"),
        ("temperature", "-40 degC", "-41 degC"),
        ("temperature", "200 degC", "201 degC"),
        ("temperature", "0..60 degC", "0..61 degC"),
        ("feed_pressure", "400 bar", "401 bar"),
        ("back_pressure", "400 bar", "401 bar"),
    ],
)
def test_a_value_is_accepted_at_its_limit_and_refused_beyond(
    key: str, at_the_limit: str, beyond: str, bead: dict[str, Any], bead_faults: FaultsAfter
) -> None:
    (fault,) = bead_faults(lambda tables: tables.update({key: beyond}))
    assert (fault.field, fault.given) == (key, beyond)

    process_from(bead | {key: at_the_limit}, "own.toml")


@pytest.mark.parametrize(
    ("deposit", "key", "at_the_limit", "beyond"),
    [
        (DOTS, "dispense_time", "1 ms", "0 s"),
        (DOTS, "height", "6 mm", "6.1 mm"),
        (POTTING, "fill_time", "1 ms", "0 s"),
        (POTTING, "volume", "1 uL", "0 mL"),
    ],
)
def test_a_deposit_has_a_shape_and_a_duration(
    *,
    deposit: dict[str, str],
    key: str,
    at_the_limit: str,
    beyond: str,
    bead: dict[str, Any],
    bead_faults: FaultsAfter,
) -> None:
    (fault,) = bead_faults(lambda tables: tables.update(deposit=deposit | {key: beyond}))
    assert (fault.field, fault.given) == (f"deposit.{key}", beyond)

    process_from(bead | {"deposit": deposit | {key: at_the_limit}}, "own.toml")


SHIFT = {"cycle_time": "30 s", "parts_per_shift": "960", "shift": "8 h"}


@pytest.mark.parametrize(
    ("deposit", "at_the_limit", "beyond", "accepted"),
    [
        (DOTS, "1 s", "0.99 s", "at least 1 s, the time of a shot"),
        (POTTING, "1.5 min", "89 s", "at least 90 s, the time of a shot"),
        ({"kind": "flow", "flow": "2 mL/s", "shot": "10 mL"}, "5 s", "4 s", "at least 5 s, the"),
        ({"kind": "flow", "flow": "1..2 mL/s", "shot": "10 mL"}, "5..9 s", "4..9 s", "at least"),
        (DOTS, "1 s", "0 s", "a time above zero"),
    ],
)
def test_a_cycle_holds_its_shot(
    deposit: dict[str, str], at_the_limit: str, beyond: str, accepted: str, bead: dict[str, Any]
) -> None:
    def made(cycle: str) -> object:
        return process_from(bead | {"deposit": deposit, "production": {"cycle_time": cycle}}, "own")

    with pytest.raises(InputError) as caught:
        made(beyond)
    fault = caught.value.faults[0]
    assert (fault.field, fault.given) == ("production.cycle_time", beyond)
    assert fault.accepted.startswith(accepted)
    made(at_the_limit)


def test_a_line_that_takes_its_path_longer_than_the_cycle_is_refused(
    bead_faults: FaultsAfter,
) -> None:
    """The shipped bead is 760 mm long and laid at 40 mm/s: 19 s without its corners."""
    (fault,) = bead_faults(lambda tables: tables.update(production={"cycle_time": "18.9 s"}))
    assert fault.accepted == "at least 19 s, the time of a shot"


@pytest.mark.parametrize(
    ("key", "at_the_limit", "beyond"),
    [
        ("parts_per_shift", "960", "961"),
        ("parts_per_shift", "900..1200", "961..1200"),
        ("parts_per_shift", "1", "0"),
        ("cycle_time", "30 s", "30.1 s"),
        ("shift", "8..10 h", "7..7.9 h"),
        ("shift", "24 h", "24.1 h"),
        ("waste_max", "0.1 %", "0 %"),
    ],
)
def test_the_parts_of_a_shift_find_room_in_it(
    key: str, at_the_limit: str, beyond: str, bead: dict[str, Any], bead_faults: FaultsAfter
) -> None:
    (fault,) = bead_faults(lambda tables: tables.update(production=SHIFT | {key: beyond}))
    named = "parts_per_shift" if key != "waste_max" and beyond[0] not in "20" else key
    assert fault.field == f"production.{named}"

    process_from(bead | {"production": SHIFT | {key: at_the_limit}}, "own.toml")


def test_faults_of_the_production_come_with_those_of_the_rest(bead_faults: FaultsAfter) -> None:
    def spoil(tables: dict[str, Any]) -> None:
        tables["tolerance"] = "0 %"
        tables["feed_pressure"] = "5,5 bar"
        tables["production"] = {"waste_max": "0 %"}

    assert [fault.field for fault in bead_faults(spoil)] == [
        "feed_pressure",
        "tolerance",
        "production.waste_max",
    ]


@pytest.mark.parametrize("angle", ["0 deg", "180 deg", "170..190 deg"])
def test_a_contact_angle_leaves_a_cap(angle: str, bead_faults: FaultsAfter) -> None:
    (fault,) = bead_faults(lambda tables: tables["deposit"].update(contact_angle=angle))

    assert fault.field == "deposit.contact_angle"


def test_a_bead_is_not_a_wall(bead_faults: FaultsAfter) -> None:
    def spoil(tables: dict[str, Any]) -> None:
        del tables["deposit"]["contact_angle"]
        tables["deposit"]["height"] = "13 mm"

    (fault,) = bead_faults(spoil)

    assert fault.accepted.startswith("at most three times the width")


def test_a_dot_without_volume_or_shape_is_refused(bead_faults: FaultsAfter) -> None:
    (fault,) = bead_faults(
        lambda tables: tables.update(deposit={"kind": "dots", "dispense_time": "1 s"})
    )

    assert "a volume, or a diameter" in fault.accepted


def test_a_misspelt_kind_of_deposit_gets_the_nearest_one(bead_faults: FaultsAfter) -> None:
    (fault,) = bead_faults(lambda tables: tables["deposit"].update(kind="beed"))

    assert (fault.field, fault.hint) == ("deposit.kind", "did you mean bead?")


def test_faults_of_the_deposit_and_of_the_rest_come_together(bead_faults: FaultsAfter) -> None:
    def spoil(tables: dict[str, Any]) -> None:
        tables["tolerance"] = "0 %"
        tables["feed_pressure"] = "5,5 bar"
        tables["deposit"] = DOTS | {"dispense_time": "0 s"}

    assert [fault.field for fault in bead_faults(spoil)] == [
        "feed_pressure",
        "deposit.dispense_time",
        "tolerance",
    ]
