"""One thing of a request that can be moved: which way, how far, and by whom.

Settings go from the smallest change to the largest that is worth a thought (common practice, no
source); between two settings of a continuous knob anything goes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from configurator.explain.wishes import grants
from configurator.request.material_sense import MATERIAL_LOOKS
from configurator.request.process_sense import PROCESS_LOOKS
from configurator.request.request import Request
from configurator.units.display import quantity_from, show_interval
from configurator.units.quantity import Quantity

FACTORS = (1.05, 1.15, 1.3, 1.5, 1.8, 2.2, 3.0, 4.0, 6.0, 10.0, 20.0, 50.0)
"""Factors by which something is moved, from near to far."""


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


def with_value(request: Request, field: str, value: object) -> Request:
    """The request with another value at a path."""
    root, _, rest = field.partition(".")
    if root == "process":
        return replace(request, process=_put(request.process, rest.split("."), value))
    return replace(request, material=_put(request.material, field.split("."), value))


def _put(model: Any, keys: list[str], value: object) -> Any:
    inner = value if len(keys) == 1 else _put(getattr(model, keys[0]), keys[1:], value)
    return model.model_copy(update={keys[0]: inner})


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


def scaled(
    field: str, value: Quantity, *, both: bool, title: str = "", grantor: str = ""
) -> Iterator[Knob]:
    """Knobs that multiply a quantity, up and down."""
    kind = value.kind

    def change(request: Request, factor: float) -> Request | None:
        interval = value.interval.scaled(factor)
        if not kind.allows(interval):
            return None
        return with_value(request, field, quantity_from(interval, kind, value.basis))

    def shown(factor: float) -> str:
        return show_interval(value.interval.scaled(factor), kind)

    for more in (True, False) if both else (True,):
        settings = tuple(
            factor
            for factor in map(way(more), FACTORS)
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


def way(more: bool) -> Callable[[float], float]:  # noqa: FBT001 - the direction is the point
    """Turn a factor above one into the setting of a knob that goes up, or down."""
    return (lambda factor: factor) if more else (lambda factor: 1.0 / factor)


def choice(  # noqa: PLR0917 - a table of choices reads best in columns
    field: str, title: str, now: str, shown: str, grantor: str, make: Callable[[Request], Request]
) -> Knob:
    """A knob with one setting: something that is so or not, such as a pick."""
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
