"""What of a request can be moved: each wish or datum by itself, which way, how far, and by whom.

A knob turns one thing. Its settings go from the smallest change to the largest that is worth a
thought (common practice, no source); between two settings of a continuous one anything goes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from configurator.explain.wishes import CUSTOMER, MAKER, US, grants
from configurator.request.material import Component, Flow, Material
from configurator.request.material_sense import MATERIAL_LOOKS
from configurator.request.process import Bead, Dots, PlainFlow, Potting, Process
from configurator.request.process_sense import PROCESS_LOOKS
from configurator.request.request import Request
from configurator.units.display import figures, quantity_from, show_interval
from configurator.units.interval import Basis, Interval
from configurator.units.kind import Kind
from configurator.units.kinds import PRESSURE, TEMPERATURE
from configurator.units.quantity import Quantity

FACTORS = (1.05, 1.15, 1.3, 1.5, 1.8, 2.2, 3.0, 4.0, 6.0, 10.0, 20.0, 50.0)
"""Factors by which something is moved, from near to far."""

KELVINS = (1.0, 2.0, 4.0, 6.0, 10.0, 15.0, 20.0, 30.0)
"""Steps by which a temperature is moved. [K]"""

BARS = (0.05e5, 0.1e5, 0.2e5, 0.5e5, 1e5, 2e5, 5e5, 10e5)
"""Steps by which a pressure of zero is raised. [Pa]"""

CONTROLS = ("digital start/stop", "0-10 V", "step and direction", "fieldbus")

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


@dataclass(frozen=True, eq=False)
class Knob:
    """One thing that can be moved one way.

    Attributes
    ----------
    field : str
        The request field that it turns, as `process.deposit.dispense_time`.
    title : str
        What it is in words, as `dispense time`.
    now : str
        What the request states.
    more : bool
        True if it is moved up.
    settings : tuple of float
        From the smallest change to the largest: factors, or steps in SI.
    change : callable
        `change(request, setting)` gives the changed request, or None where that is no value.
    shown : callable
        `shown(setting)` says what it would be, in words.
    grants : str
        Who could allow it.
    at_rest : float or None
        The setting at which nothing is changed; None for choices, which are one by one.
    """

    field: str
    title: str
    now: str
    more: bool
    settings: tuple[float, ...]
    change: Callable[[Request, float], Request | None]
    shown: Callable[[float], str]
    grants: str
    at_rest: float | None

    @property
    def continuous(self) -> bool:
        """Whether anything between two settings can be asked for too."""
        return self.at_rest is not None


def value_at(request: Request, field: str) -> Any:
    """The value at a path of a request."""
    root, _, rest = field.partition(".")
    value: Any = request.process if root == "process" else request.material
    for key in (rest if root == "process" else field).split("."):
        value = None if value is None else getattr(value, key, None)
    return value


def with_value(request: Request, field: str, value: object) -> Request:
    """The request with another value at a path."""
    root, _, rest = field.partition(".")
    if root == "process":
        return replace(request, process=_put(request.process, rest.split("."), value))
    return replace(request, material=_put(request.material, field.split("."), value))


def _put(model: Any, keys: list[str], value: object) -> Any:
    inner = value if len(keys) == 1 else _put(getattr(model, keys[0]), keys[1:], value)
    return model.model_copy(update={keys[0]: inner})


def knobs_of(request: Request) -> tuple[Knob, ...]:
    """Return everything in a request that could be moved, by field and direction."""
    process, material = request.process, request.material
    return (
        *_deposit_knobs(process),
        *_process_knobs(process),
        *_control_knobs(process),
        *(knob for prefix, part in material.components for knob in _component_knobs(prefix, part)),
        *_mix_knobs(material),
        *_pick_knobs(request),
    )


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
            yield from _scaled(f"process.deposit.{key}", value, both=True)


def _process_knobs(process: Process) -> Iterator[Knob]:
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
        value = value_at_process(process, key)
        if value is not None:
            yield from _scaled(f"process.{key}", value, both=both)
    yield from _temperature_knobs(process.temperature)
    back = process.back_pressure
    if back is not None and back.high > 0:
        yield from _scaled("process.back_pressure", back, both=True)
    else:
        yield _raised_back_pressure()


def value_at_process(process: Process, key: str) -> Quantity | None:
    """A quantity of a process at a dotted key, or None."""
    value: Any = process
    for name in key.split("."):
        value = None if value is None else getattr(value, name)
    return value if isinstance(value, Quantity) else None


def _scaled(
    field: str, value: Quantity, *, both: bool, title: str = "", grantor: str = ""
) -> Iterator[Knob]:
    """Knobs that multiply a quantity, up and down."""
    kind = value.kind

    def change(request: Request, factor: float) -> Request | None:
        interval = value.interval.scaled(factor)
        if not kind.allows(interval):
            return None
        return with_value(request, field, _made(interval, kind, value.basis))

    def shown(factor: float) -> str:
        return show_interval(value.interval.scaled(factor), kind)

    for more in (True, False) if both else (True,):
        settings = tuple(
            factor
            for factor in map(_way(more), FACTORS)
            if kind.allows(value.interval.scaled(factor))
        )
        if settings and value.high > 0:
            yield Knob(
                field=field,
                title=title or in_words(field),
                now=show_interval(value.interval, kind),
                more=more,
                settings=settings,
                change=change,
                shown=shown,
                grants=grantor or grants(field),
                at_rest=1.0,
            )


def _way(more: bool) -> Callable[[float], float]:  # noqa: FBT001 - the direction is the point
    return (lambda factor: factor) if more else (lambda factor: 1.0 / factor)


def _made(interval: Interval, kind: Kind, basis: Basis) -> Quantity:
    return quantity_from(interval, kind, basis)


def in_words(field: str) -> str:
    """A field's last key as words, with the component of a two-part material."""
    keys = field.split(".")
    side = f" of {keys[0]}" if keys[0] in ("a", "b") else ""
    words = keys[-1].replace("_max", "").replace("_", " ")
    return _TITLES.get(keys[-1], words) + side


_TITLES = {
    "tip_outside_diameter_max": "room for the tip",
    "tolerance": "tolerance of the volume",
    "d99": "largest particle (d99)",
    "d50": "median particle (d50)",
    "volume_fraction": "filler content",
    "mohs": "hardness of the filler",
    "mixing_quality": "wanted coefficient of variation after mixing",
    "payload": "payload of the carrier",
    "moment": "moment the carrier takes",
    "lever": "lever to the flange",
    "rise_rate_max": "allowed rise rate",
    "value": "pot life",
    "control": "interfaces of the machine",
    "reach": "reach of the tip",
}


def _temperature_knobs(value: Quantity) -> Iterator[Knob]:
    low, high = value.low, value.high

    def knob(title: str, moved: Callable[[float], Interval], steps: tuple[float, ...]) -> Knob:
        def change(request: Request, step: float) -> Request | None:
            interval = moved(step)
            if not TEMPERATURE.allows(interval):
                return None
            made = _made(interval, TEMPERATURE, value.basis)
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
        made = _made(Interval.exact(pressure), PRESSURE, Basis.DATASHEET)
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


def _choice(  # noqa: PLR0917 - a table of choices reads best in columns
    field: str, title: str, now: str, shown: str, grantor: str, make: Callable[[Request], Request]
) -> Knob:
    return Knob(
        field=field,
        title=title,
        now=now,
        more=True,
        settings=(1.0,),
        change=lambda request, _setting: make(request),
        shown=lambda _setting: shown,
        grants=grantor,
        at_rest=None,
    )


def _control_knobs(process: Process) -> Iterator[Knob]:
    now = ", ".join(process.control)
    for extra in CONTROLS if process.control else ():
        if extra not in process.control:
            wider = (*process.control, extra)
            yield _choice(
                "process.control",
                "interfaces of the machine",
                now,
                f"{', '.join(wider)}",
                CUSTOMER,
                lambda request, wider=wider: with_value(request, "process.control", wider),  # type: ignore[misc]
            )
    if process.explosive_atmosphere:
        yield _choice(
            "process.explosive_atmosphere",
            "explosive atmosphere",
            "yes",
            "no",
            CUSTOMER,
            lambda request: with_value(request, "process.explosive_atmosphere", value=False),
        )


def _component_knobs(prefix: str, component: Component) -> Iterator[Knob]:
    root = prefix.rstrip(".") or "component"
    yield from _viscosity_knobs(root, component.flow)
    filler = component.filler
    if filler is not None:
        sizes = [("d99", filler.d99), ("d50", filler.d50)]
        for key, size in sizes:
            if size is not None:
                yield from _particle_knobs(f"{root}.filler", key, size, filler.d50)
                break
        for key in ("volume_fraction", "mohs", "crush_pressure"):
            value = getattr(filler, key)
            if value is not None:
                yield from _scaled(f"{root}.filler.{key}", value, both=True)
    if component.shear_rate_max is not None:
        yield from _scaled(f"{root}.shear_rate_max", component.shear_rate_max, both=True)
    for place, share in enumerate(component.constituents):
        if len(component.constituents) > 1:
            rest = tuple(c for at, c in enumerate(component.constituents) if at != place)
            yield _choice(
                f"{root}.constituents",
                f"constituents of {root}" if prefix else "constituents",
                ", ".join(each.name for each in component.constituents),
                f"without {share.name}",
                MAKER,
                lambda request, rest=rest: with_value(request, f"{root}.constituents", rest),  # type: ignore[misc]
            )


def _particle_knobs(root: str, key: str, size: Quantity, d50: Quantity | None) -> Iterator[Knob]:
    """Particles as a whole: a median above the largest particle would make no sense."""
    for knob in _scaled(f"{root}.{key}", size, both=True):
        if key == "d99" and d50 is not None:

            def change(
                request: Request, factor: float, knob: Knob = knob, d50: Quantity = d50
            ) -> Request | None:
                changed = knob.change(request, factor)
                if changed is None:
                    return None
                made = _made(d50.interval.scaled(factor), d50.kind, d50.basis)
                return with_value(changed, f"{root}.d50", made)

            yield replace(knob, change=change, title=in_words(f"{root}.d99"))
        else:
            yield knob


def thicker(flow: Flow, factor: float) -> Flow | None:
    """A flow behaviour thicker by a factor at every shear rate; None where that is no value."""
    update: dict[str, Any] = {}
    for key in STRESSES:
        value = getattr(flow, key)
        if value is not None:
            if not value.kind.allows(value.interval.scaled(factor)):
                return None
            update[key] = _made(value.interval.scaled(factor), value.kind, value.basis)
    if flow.points is not None:
        update["points"] = tuple(_moved_point(point, factor) for point in flow.points)
    if flow.warm is not None:
        warm = flow.warm.viscosity
        made = _made(warm.interval.scaled(factor), warm.kind, warm.basis)
        update["warm"] = flow.warm.model_copy(update={"viscosity": made})
    return flow.model_copy(update=update)


def _moved_point(point: Any, factor: float) -> Any:
    key = "viscosity" if point.viscosity is not None else "stress"
    value = getattr(point, key)
    made = _made(value.interval.scaled(factor), value.kind, value.basis)
    return point.model_copy(update={key: made})


def _viscosity_knobs(root: str, flow: Flow) -> Iterator[Knob]:
    def change(request: Request, factor: float) -> Request | None:
        moved = thicker(flow, factor)
        return None if moved is None else with_value(request, f"{root}.flow", moved)

    def shown(factor: float) -> str:
        if flow.viscosity is not None and flow.model in (None, "newtonian"):
            return show_interval(flow.viscosity.interval.scaled(factor), flow.viscosity.kind)
        return f"{figures(factor)} times what is stated"

    lone = flow.viscosity is not None and flow.model in (None, "newtonian")
    now = (
        show_interval(flow.viscosity.interval, flow.viscosity.kind)
        if lone and flow.viscosity is not None
        else "as stated"
    )
    side = f" of {root}" if root in ("a", "b") else ""
    for more in (True, False):
        yield Knob(
            field=f"{root}.flow",
            title=f"viscosity{side}",
            now=now,
            more=more,
            settings=tuple(map(_way(more), FACTORS)),
            change=change,
            shown=shown,
            grants=MAKER,
            at_rest=1.0,
        )


def _mix_knobs(material: Material) -> Iterator[Knob]:
    if material.mix is None:
        return
    yield from _scaled("mix.ratio_tolerance", material.mix.ratio_tolerance, both=True)
    yield from _scaled("mix.pot_life.value", material.mix.pot_life.value, both=True)
    if material.mix.mixed_viscosity is not None:
        yield from _scaled("mix.mixed_viscosity", material.mix.mixed_viscosity, both=True)


def _pick_knobs(request: Request) -> Iterator[Knob]:
    for slot, name in request.picks.items():
        rest = {other: part for other, part in request.picks.items() if other != slot}
        yield _choice(
            f"pick {slot}",
            f"pick of {slot}",
            name,
            "any other",
            US,
            lambda request, rest=rest: replace(request, picks=rest),  # type: ignore[misc]
        )
    for slot, names in request.without.items():
        for name in sorted(names):
            fewer = {**request.without, slot: names - {name}}
            yield _choice(
                f"without {slot}",
                f"exclusion of {slot}",
                f"without {name}",
                f"{name} allowed again",
                US,
                lambda request, fewer=fewer: replace(request, without=fewer),  # type: ignore[misc]
            )


def farthest(knob: Knob) -> float:
    """The setting that changes most."""
    return max(knob.settings, key=lambda setting: abs(_log(knob, setting)))


def _log(knob: Knob, setting: float) -> float:
    return math.log(setting) if knob.at_rest == 1.0 else setting


def turned(knob: Knob, request: Request, setting: float) -> Request | None:
    """The request with a knob at a setting; None where a file that says so would be refused."""
    changed = knob.change(request, setting)
    return changed if changed is not None and _makes_sense(changed) else None


def _makes_sense(request: Request) -> bool:
    looks = ((request.material, MATERIAL_LOOKS), (request.process, PROCESS_LOOKS))
    for model, every in looks:
        for look in every:
            value: Any = model
            for key in look.path:
                value = None if value is None else getattr(value, key, None)
            if value is not None and any(True for _ in look.check(value)):
                return False
    return True
