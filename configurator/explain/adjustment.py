"""What of a request can be moved: which way, how far, and by whom.

Settings go from the smallest change to the largest that is worth a thought (common practice, no
source); between two settings of a continuous adjustment anything goes. What can be moved at all is
declared on the fields of the request (`request.movable`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, partial
from typing import Any, get_args

from configurator.chemistry.evidence import EvidenceRecord
from configurator.request.material import Flow, FlowPoint
from configurator.request.material_sense import MATERIAL_CHECKS
from configurator.request.movable import Movable, beside, grants, movables, title_of
from configurator.request.process import Control
from configurator.request.process_sense import PROCESS_CHECKS
from configurator.request.question import Question
from configurator.units.dimension import Kind
from configurator.units.display import figures, quantity_from, show_interval
from configurator.units.interval import Basis, Interval
from configurator.units.kinds import PRESSURE, TEMPERATURE
from configurator.units.path import value_at
from configurator.units.quantity import Quantity

FACTORS = (1.05, 1.15, 1.3, 1.5, 1.8, 2.2, 3.0, 4.0, 6.0, 10.0, 20.0, 50.0)
"""Factors by which something is moved, from near to far."""

KELVINS = (1.0, 2.0, 4.0, 6.0, 10.0, 15.0, 20.0, 30.0)
"""Steps by which a temperature is moved. [K]"""

ROOM = "process.room_temperature"
USUAL_ROOM = Interval.of(288.15, 303.15)
"""In which drives stand around heads that are warmer or colder, by common practice, no source. [K]"""

BARS = (0.05e5, 0.1e5, 0.2e5, 0.5e5, 1e5, 2e5, 5e5, 10e5)
"""Steps by which a pressure of zero is raised. [Pa]"""

STRESSES = (
    "viscosity",
    "yield_stress",
    "consistency",
    "plastic_viscosity",
    "casson_viscosity",
    "zero_viscosity",
    "infinite_viscosity",
)
"""Flow parameters that make a material thicker all over when they grow together."""


@dataclass(frozen=True)
class Supposition:
    """A request taken to be other than it is."""

    text: str
    """What is supposed, in words."""
    values: Mapping[str, object] = field(default_factory=dict)
    """Values by their path, as `Question.having` takes them."""
    records: tuple[EvidenceRecord, ...] = ()
    """Soaks that the shop would have made."""


Settle = Callable[[float], Supposition | None]
"""What a setting supposes; None where that is no value."""


@dataclass(frozen=True, eq=False)
class Adjustment:
    """One thing that can be moved one way."""

    field: str
    """The request field that it moves, as `process.deposit.dispense_time`."""
    title: str
    """What it is in words, as `dispense time`."""
    now: str
    settings: tuple[float, ...]
    """From the smallest change to the largest: factors, or steps in SI."""
    at_rest: float | None
    """The setting at which nothing is changed: 1 for factors, 0 for steps; None for choices, which
    are one by one."""
    at: Settle
    """What a setting supposes."""

    @property
    def grants(self) -> str:
        """Who could allow it."""
        return grants(self.field)

    @property
    def continuous(self) -> bool:
        """Whether anything between two settings can be asked for too."""
        return self.at_rest is not None

    @property
    def more(self) -> bool:
        """Whether it is moved up."""
        return self.at_rest is None or self.settings[0] > self.at_rest

    def shown(self, setting: float) -> str:
        """What a setting would be, in words."""
        supposed = self.at(setting)
        return "" if supposed is None else supposed.text

    def between(self, one: float, other: float, share: float = 0.5) -> float:
        """A setting some share of the way between two: of the factor, or of the step."""
        if not self.at_rest:
            return one + share * (other - one)
        if share == 0.5:  # noqa: PLR2004 - halves are to be exact
            return math.sqrt(one * other)
        return float(one * (other / one) ** share)

    def apart(self, one: float, other: float, fine: float, fine_step: float) -> bool:
        """Whether two settings are farther apart than a relative width, or a share of a step."""
        if self.at_rest:
            return abs(math.log(other / one)) > fine
        return abs(other - one) > fine_step * max(abs(other), 1.0)


def with_adjustment(adjustment: Adjustment, question: Question, setting: float) -> Question | None:
    """The request at a setting; None where a file that says so would be refused."""
    supposed = adjustment.at(setting)
    changed = None if supposed is None else question.having(supposed.values)
    return changed if changed is not None and _makes_sense(changed) else None


def _makes_sense(question: Question) -> bool:
    checks = ((question.material, MATERIAL_CHECKS), (question.process, PROCESS_CHECKS))
    for model, every in checks:
        for look in every:
            value = value_at(model, ".".join(look.path))
            if value is not None and any(True for _ in look.check(value)):
                return False
    return True


def adjustments_of(question: Question) -> tuple[Adjustment, ...]:
    """Return everything in a request that could be moved, by field and direction."""
    found: list[Adjustment] = []
    for model, root in ((question.process, "process"), (question.material, "")):
        every = list(movables(model, root))
        led = {beside(path, key) for path, each, value in every if value for key in each.along}
        for path, declared, value in every:
            if declared.granted and path not in led:
                found += _of_field(question, path, declared, value)
    return (*found, *_of_picks(question))


def _of_field(
    question: Question, path: str, declared: Movable, value: object
) -> Iterator[Adjustment]:
    title = title_of(path, declared)
    if isinstance(value, Flow):
        yield from _factors(path, title, _flow_in_words(value), partial(_thicker, path, value))
    elif isinstance(value, Quantity) and value.kind is TEMPERATURE:
        yield from _shifted(path, value)
    elif isinstance(value, Quantity) and value.high > 0.0:
        led = {beside(path, key): question.at(beside(path, key)) for key in declared.along}
        every = {path: value} | {key: other for key, other in led.items() if other is not None}
        now = show_interval(value.interval, value.kind)
        yield from _factors(path, title, now, partial(_scaled, every))
    elif path == ROOM and value is None:
        heat = question.process.temperature
        if heat.low < USUAL_ROOM.low or heat.high > USUAL_ROOM.high:
            usual = quantity_from(USUAL_ROOM, TEMPERATURE, Basis.ESTIMATED)
            words = show_interval(USUAL_ROOM, TEMPERATURE)
            yield _choice(path, title, "that of the process", words, {path: usual})
    elif declared.from_nothing:
        raised = partial(pinned, path, PRESSURE, basis=Basis.DATASHEET)
        yield Adjustment(path, f"{title} at the tip's mouth", "none", BARS, 0.0, raised)
    elif value is True:
        yield _choice(path, title, "yes", "no", {path: False})
    elif isinstance(value, tuple):
        yield from _other_lists(path, title, value)


def _factors(path: str, title: str, now: str, at: Settle) -> Iterator[Adjustment]:
    at = cache(at)  # settings are tried beside those of every other adjustment
    for every in (FACTORS, tuple(1.0 / factor for factor in FACTORS)):
        settings = tuple(factor for factor in every if at(factor) is not None)
        if settings:
            yield Adjustment(path, title, now, settings, 1.0, at)


def _times(value: Quantity, factor: float) -> Quantity | None:
    interval = value.interval.scaled(factor)
    if value.kind.whole:  # between two counts there is none
        interval = Interval(*(float(round(end)) for end in interval.ends))
    if not value.kind.allows(interval):
        return None
    return quantity_from(interval, value.kind, value.basis)


def _scaled(values: Mapping[str, Quantity], factor: float) -> Supposition | None:
    """Quantities some times as large; the first is the one that is named."""
    made = {path: _times(value, factor) for path, value in values.items()}
    first = next(iter(made.values()))
    if first is None:
        return None
    return Supposition(show_interval(first.interval, first.kind), made)


def _flow_in_words(flow: Flow, factor: float = 1.0) -> str:
    if flow.viscosity is not None and flow.model in (None, "newtonian"):
        return show_interval(flow.viscosity.interval.scaled(factor), flow.viscosity.kind)
    return "as stated" if factor == 1.0 else f"{figures(factor)} times what is stated"


def _thicker(path: str, flow: Flow, factor: float) -> Supposition | None:
    """A flow behaviour thicker by a factor at every shear rate."""
    moved = flow_with(flow, lambda value: _times(value, factor))
    if moved is None:
        return None
    if moved.warm is not None:
        warm = _times(moved.warm.viscosity, factor)
        warmer = moved.warm.model_copy(update={"viscosity": warm})
        moved = moved.model_copy(update={"warm": warmer})
    return Supposition(_flow_in_words(flow, factor), {path: moved})


def flow_with(flow: Flow, move: Callable[[Quantity], Quantity | None]) -> Flow | None:
    """A flow behaviour with all its stresses moved alike; None where that is no value."""
    update: dict[str, Any] = {
        key: move(value) for key in STRESSES if (value := getattr(flow, key)) is not None
    }
    if None in update.values():
        return None
    if flow.points is not None:
        update["points"] = tuple(_point_with(point, move) for point in flow.points)
    return flow.model_copy(update=update)


def _point_with(point: FlowPoint, move: Callable[[Quantity], Quantity | None]) -> FlowPoint:
    key = "viscosity" if point.viscosity is not None else "stress"
    return point.model_copy(update={key: move(getattr(point, key))})


def pinned(
    path: str, kind: Kind, value: float, words: str = "", *, basis: Basis = Basis.MEASURED
) -> Supposition:
    """A datum taken to be exactly one value in SI."""
    exact = Interval.exact(value)
    return Supposition(
        show_interval(exact, kind) + words, {path: quantity_from(exact, kind, basis)}
    )


def _shifted(path: str, value: Quantity) -> Iterator[Adjustment]:
    """Either end of a temperature range moved, or both."""
    low, high, width = value.low, value.high, value.high - value.low
    now = show_interval(value.interval, TEMPERATURE)

    def moved(colder: float, warmer: float, step: float) -> Supposition | None:
        interval = Interval.of(low + colder * step, high + warmer * step)
        if not TEMPERATURE.allows(interval):
            return None
        made = quantity_from(interval, TEMPERATURE, value.basis)
        return Supposition(show_interval(interval, TEMPERATURE), {path: made})

    coldest = "coldest temperature", partial(moved, 1.0, 0.0)
    warmest = "warmest temperature", partial(moved, 0.0, 1.0)
    whole = "temperature as a whole", partial(moved, 1.0, 1.0)
    down = tuple(-step for step in KELVINS)
    inside = tuple(sorted({step for step in KELVINS if step < width} | {width}))
    every = [(coldest, down), (warmest, KELVINS), (whole, KELVINS), (whole, down)]
    if width > 0.0:
        every = [(coldest, inside), (warmest, tuple(-step for step in inside)), *every]
    for (title, at), steps in every:
        yield Adjustment(path, title, now, steps, 0.0, at)


def _choice(
    path: str, title: str, now: str, becomes: str, values: Mapping[str, object]
) -> Adjustment:
    """An adjustment with one setting: something that is so or not, such as a pick."""
    supposed = Supposition(becomes, values)
    return Adjustment(path, title, now, (1.0,), None, lambda _setting: supposed)


def _other_lists(path: str, title: str, value: tuple[Any, ...]) -> Iterator[Adjustment]:
    """One more interface of a machine that has any, or one constituent less of several."""
    if value and path == "process.control":
        for extra in get_args(Control):
            if extra not in value:
                wider = (*value, extra)
                yield _choice(path, title, ", ".join(value), ", ".join(wider), {path: wider})
    elif len(value) > 1:
        now = ", ".join(share.name for share in value)
        for share in value:
            rest = tuple(other for other in value if other is not share)
            yield _choice(path, title, now, f"without {share.name}", {path: rest})


def _of_picks(question: Question) -> Iterator[Adjustment]:
    for slot, name in question.picks.items():
        field = f"pick {slot}"
        yield _choice(field, f"pick of {slot}", name, "any other", {field: None})
    for slot, names in question.without.items():
        for name in sorted(names):
            now, becomes = f"without {name}", f"{name} allowed again"
            values = {f"without {slot} {name}": None}
            yield _choice(f"without {slot}", f"exclusion of {slot}", now, becomes, values)
