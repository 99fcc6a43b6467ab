"""What no process can ask for: checks across the fields of a process file.

The limits are generous and catch slips, not unusual work. All are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from configurator.request.material import Note, Title
from configurator.request.process import (
    Bead,
    Deposit,
    Dots,
    Potting,
    Process,
    Production,
    time_of_shot,
)
from configurator.request.remark import (
    FieldCheck,
    Remark,
    in_words,
    not_above,
    one_line,
    outside,
    unprintable,
)
from configurator.units.display import show_value
from configurator.units.fields import Fraction, Pressure, Temperature
from configurator.units.kinds import COUNT, TIME
from configurator.units.quantity import Quantity

ZERO_CELSIUS = 273.15
WIDEST_TEMPERATURE = 60.0
HIGHEST_PRESSURE = 4e7
TALLEST = 3.0
LARGEST_ERROR = 0.5
LEAST_CONFIDENCE = 0.5
LONGEST_SHIFT = 24 * 3600.0
SLACK = 1.0 + 1e-9
"""Equal times that were typed otherwise differ in the last bits."""


def look_at_deposit(deposit: Deposit) -> Iterator[Remark]:
    """Check that a dot, a bead or a fill has a shape and a duration."""
    if isinstance(deposit, Dots):
        yield from not_above(deposit.dispense_time, "dispense_time", 0.0, "a time above zero")
        yield from _angle(deposit.contact_angle)
        yield from _tall(deposit.height, deposit.diameter, "diameter")
    elif isinstance(deposit, Bead):
        yield from _angle(deposit.contact_angle)
        yield from _tall(deposit.height, deposit.width, "width")
    elif isinstance(deposit, Potting):
        yield from not_above(deposit.fill_time, "fill_time", 0.0, "a time above zero")


def _angle(angle: Quantity | None) -> Iterator[Remark]:
    if angle is not None and not (angle.low > 0.0 and angle.high < math.pi):
        yield Remark("contact_angle", angle.text, "an angle above 0 deg and below 180 deg")


def _tall(height: Quantity | None, across: Quantity | None, name: str) -> Iterator[Remark]:
    if height is not None and across is not None and height.low > TALLEST * across.high:
        yield Remark("height", height.text, f"at most three times the {name}, {across.text}")


def look_at_temperature(temperature: Quantity) -> Iterator[Remark]:
    """Check that a hall or a heated line can have this temperature."""
    low, high = ZERO_CELSIUS - 40.0, ZERO_CELSIUS + 200.0
    if not (low <= temperature.low and temperature.high <= high):
        yield Remark("", temperature.text, "a temperature range within -40 degC to 200 degC")
    elif temperature.interval.width > WIDEST_TEMPERATURE:
        yield Remark(
            "", temperature.text, "a range of at most 60 K: split a wider one into two processes"
        )


def look_at_tolerance(tolerance: Quantity) -> Iterator[Remark]:
    """Check that a tolerance can be met at all."""
    if not (tolerance.low > 0.0 and tolerance.high <= LARGEST_ERROR):
        yield Remark("", tolerance.text, "a volume error above 0 % and at most 50 % either way")


def look_at_confidence(confidence: Quantity) -> Iterator[Remark]:
    """Check that a confidence is one that shots can prove."""
    if not (confidence.low >= LEAST_CONFIDENCE and confidence.high < 1.0):
        yield Remark("", confidence.text, "a confidence from 50 % to below 100 %")


def look_at_mixing_quality(quality: Quantity) -> Iterator[Remark]:
    """Check that a coefficient of variation can be reached."""
    if not (quality.low > 0.0 and quality.high <= LARGEST_ERROR):
        yield Remark("", quality.text, "a coefficient of variation above 0 % and at most 50 %")


def look_at_pressure(pressure: Quantity) -> Iterator[Remark]:
    """Check for a pressure off by a unit."""
    yield from outside(pressure, "", 0.0, HIGHEST_PRESSURE, "a pressure of at most 400 bar")


def look_at_production(production: Production) -> Iterator[Remark]:
    """Check that a shift has a length, and that there is something to do in it."""
    yield from not_above(production.cycle_time, "cycle_time", 0.0, "a time above zero")
    yield from not_above(production.parts_per_shift, "parts_per_shift", 0.0, "one part or more")
    yield from not_above(production.waste_max, "waste_max", 0.0, "a share above 0 %")
    shift = production.shift
    if shift is not None and not 0.0 < shift.low <= shift.high <= LONGEST_SHIFT * SLACK:
        yield Remark("shift", shift.text, "a time above zero and at most 24 h")


def look_at_cycle(process: Process) -> Iterator[Remark]:
    """Check that a shot fits into its cycle, and the parts of a shift into the shift."""
    production = process.production
    cycle, parts, shift = production.cycle_time, production.parts_per_shift, production.shift
    shot = time_of_shot(process.deposit)
    if cycle is not None and shot is not None and cycle.low * SLACK < shot.low:
        least = show_value(shot.low, TIME)
        yield Remark("production.cycle_time", cycle.text, f"at least {least}, the time of a shot")
    if cycle is None or parts is None or shift is None or not cycle.low > 0.0:
        return
    if parts.low * cycle.low > shift.high * SLACK:
        most = show_value(float(shift.high * SLACK // cycle.low), COUNT)
        accepted = f"at most {most}: {in_words(shift)} hold no more cycles of {in_words(cycle)}"
        yield Remark("production.parts_per_shift", parts.text, accepted)


PROCESS_CHECKS: tuple[FieldCheck, ...] = (
    FieldCheck(("title",), Title, one_line),
    FieldCheck(("note",), Note, unprintable),
    FieldCheck(("deposit",), Deposit, look_at_deposit),
    FieldCheck(("tolerance",), Fraction, look_at_tolerance),
    FieldCheck(("confidence",), Fraction, look_at_confidence),
    FieldCheck(("temperature",), Temperature, look_at_temperature),
    FieldCheck(("room_temperature",), Temperature, look_at_temperature),
    FieldCheck(("feed_pressure",), Pressure, look_at_pressure),
    FieldCheck(("back_pressure",), Pressure, look_at_pressure),
    FieldCheck(("mixing_quality",), Fraction, look_at_mixing_quality),
    FieldCheck(("production",), Production, look_at_production),
    FieldCheck((), Process, look_at_cycle),
)
"""Every place of a process file that is looked at."""
