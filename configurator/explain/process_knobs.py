"""What of a process can be moved, and by the customer alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from configurator.explain.knob import Knob, choice, scaled, with_value
from configurator.explain.wishes import CUSTOMER
from configurator.request.process import Bead, Dots, PlainFlow, Potting, Process
from configurator.request.request import Request
from configurator.units.display import quantity_from, show_interval
from configurator.units.interval import Basis, Interval
from configurator.units.kinds import PRESSURE, TEMPERATURE
from configurator.units.quantity import Quantity

KELVINS = (1.0, 2.0, 4.0, 6.0, 10.0, 15.0, 20.0, 30.0)
"""Steps by which a temperature is moved. [K]"""

BARS = (0.05e5, 0.1e5, 0.2e5, 0.5e5, 1e5, 2e5, 5e5, 10e5)
"""Steps by which a pressure of zero is raised. [Pa]"""

CONTROLS = ("digital start/stop", "0-10 V", "step and direction", "fieldbus")


def process_knobs(process: Process) -> Iterator[Knob]:
    """Yield a knob for each wish of a process and each way that it can go."""
    yield from _deposit_knobs(process)
    yield from _wish_knobs(process)
    yield from _control_knobs(process)


def _wish_knobs(process: Process) -> Iterator[Knob]:
    for key, both in (
        ("tolerance", True),
        ("feed_pressure", True),
        ("longest_stop", True),
        ("reach", True),
        ("tip_outside_diameter_max", True),
        ("mixing_quality", True),
        ("carrier.payload", True),
        ("carrier.moment", True),
        ("carrier.lever", True),
    ):
        value = _value_at(process, key)
        if value is not None:
            yield from scaled(f"process.{key}", value, both=both)
    yield from _temperature_knobs(process.temperature)
    back = process.back_pressure
    if back is not None and back.high > 0:
        yield from scaled("process.back_pressure", back, both=True)
    else:
        yield _raised_back_pressure()


def _deposit_knobs(process: Process) -> Iterator[Knob]:
    deposit = process.deposit
    keys: tuple[str, ...]
    if isinstance(deposit, Dots):
        keys = ("dispense_time", "volume", "diameter", "height", "contact_angle")
    elif isinstance(deposit, Bead):
        keys = ("path_speed", "width", "height", "contact_angle", "path_length", "acceleration")
    elif isinstance(deposit, Potting):
        keys = ("fill_time", "volume", "rise_rate_max")
    else:
        assert isinstance(deposit, PlainFlow)
        keys = ("flow", "shot")
    for key in keys:
        value = getattr(deposit, key)
        if value is not None:
            yield from scaled(f"process.deposit.{key}", value, both=True)


def _value_at(process: Process, key: str) -> Quantity | None:
    """A quantity of a process at a dotted key, or None."""
    value: Any = process
    for name in key.split("."):
        value = None if value is None else getattr(value, name)
    return value if isinstance(value, Quantity) else None


def _temperature_knobs(value: Quantity) -> Iterator[Knob]:
    low, high = value.low, value.high

    def knob(title: str, moved: Callable[[float], Interval], steps: tuple[float, ...]) -> Knob:
        def change(request: Request, step: float) -> Request | None:
            interval = moved(step)
            if not TEMPERATURE.allows(interval):
                return None
            made = quantity_from(interval, TEMPERATURE, value.basis)
            return with_value(request, "process.temperature", made)

        return Knob(
            field="process.temperature",
            title=title,
            now=show_interval(value.interval, TEMPERATURE),
            more=steps[0] > 0,
            settings=steps,
            change=change,
            shown=lambda step: show_interval(moved(step), TEMPERATURE),
            grants=CUSTOMER,
            at_rest=0.0,
        )

    width = high - low
    inside = tuple(sorted({step for step in KELVINS if step < width} | {width}))
    if width > 0:
        yield knob("coldest temperature", lambda step: Interval.of(low + step, high), inside)
        down = tuple(-step for step in inside)
        yield knob("warmest temperature", lambda step: Interval.of(low, high + step), down)
    colder = tuple(-step for step in KELVINS)
    wider = tuple(-step for step in KELVINS)
    yield knob("coldest temperature", lambda step: Interval.of(low + step, high), wider)
    yield knob("warmest temperature", lambda step: Interval.of(low, high + step), KELVINS)
    yield knob("temperature as a whole", lambda step: Interval.of(low + step, high + step), KELVINS)
    yield knob("temperature as a whole", lambda step: Interval.of(low + step, high + step), colder)


def _raised_back_pressure() -> Knob:
    def change(request: Request, pressure: float) -> Request:
        made = quantity_from(Interval.exact(pressure), PRESSURE, Basis.DATASHEET)
        return with_value(request, "process.back_pressure", made)

    return Knob(
        field="process.back_pressure",
        title="back pressure at the tip's mouth",
        now="none",
        more=True,
        settings=BARS,
        change=change,
        shown=lambda pressure: show_interval(Interval.exact(pressure), PRESSURE),
        grants=CUSTOMER,
        at_rest=0.0,
    )


def _control_knobs(process: Process) -> Iterator[Knob]:
    now = ", ".join(process.control)
    for extra in CONTROLS if process.control else ():
        if extra not in process.control:
            wider = (*process.control, extra)
            yield choice(
                "process.control",
                "interfaces of the machine",
                now,
                f"{', '.join(wider)}",
                CUSTOMER,
                lambda request, wider=wider: with_value(request, "process.control", wider),  # type: ignore[misc]
            )
    if process.explosive_atmosphere:
        yield choice(
            "process.explosive_atmosphere",
            "explosive atmosphere",
            "yes",
            "no",
            CUSTOMER,
            lambda request: with_value(request, "process.explosive_atmosphere", value=False),
        )
