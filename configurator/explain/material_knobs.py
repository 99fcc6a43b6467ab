"""What of a material can be moved, and by its maker alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from configurator.explain.knob import FACTORS, Knob, choice, in_words, scaled, way, with_value
from configurator.explain.wishes import MAKER
from configurator.request.material import Component, Flow, Material
from configurator.request.request import Request
from configurator.units.display import figures, quantity_from, show_interval
from configurator.units.quantity import Quantity

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


def material_knobs(material: Material) -> Iterator[Knob]:
    """Yield a knob for each datum of a material and each way that it can go."""
    for prefix, component in material.components:
        yield from _component_knobs(prefix, component)
    yield from _mix_knobs(material)


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
                yield from scaled(f"{root}.filler.{key}", value, both=True)
    if component.shear_rate_max is not None:
        yield from scaled(f"{root}.shear_rate_max", component.shear_rate_max, both=True)
    for place, share in enumerate(component.constituents):
        if len(component.constituents) > 1:
            rest = tuple(c for at, c in enumerate(component.constituents) if at != place)
            yield choice(
                f"{root}.constituents",
                f"constituents of {root}" if prefix else "constituents",
                ", ".join(each.name for each in component.constituents),
                f"without {share.name}",
                MAKER,
                lambda request, rest=rest: with_value(request, f"{root}.constituents", rest),  # type: ignore[misc]
            )


def _particle_knobs(root: str, key: str, size: Quantity, d50: Quantity | None) -> Iterator[Knob]:
    """Particles as a whole: a median above the largest particle would make no sense."""
    for knob in scaled(f"{root}.{key}", size, both=True):
        if key == "d99" and d50 is not None:

            def change(
                request: Request, factor: float, knob: Knob = knob, d50: Quantity = d50
            ) -> Request | None:
                changed = knob.change(request, factor)
                if changed is None:
                    return None
                made = quantity_from(d50.interval.scaled(factor), d50.kind, d50.basis)
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
            update[key] = quantity_from(value.interval.scaled(factor), value.kind, value.basis)
    if flow.points is not None:
        update["points"] = tuple(_moved_point(point, factor) for point in flow.points)
    if flow.warm is not None:
        warm = flow.warm.viscosity
        made = quantity_from(warm.interval.scaled(factor), warm.kind, warm.basis)
        update["warm"] = flow.warm.model_copy(update={"viscosity": made})
    return flow.model_copy(update=update)


def _moved_point(point: Any, factor: float) -> Any:
    key = "viscosity" if point.viscosity is not None else "stress"
    value = getattr(point, key)
    made = quantity_from(value.interval.scaled(factor), value.kind, value.basis)
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
            settings=tuple(map(way(more), FACTORS)),
            change=change,
            shown=shown,
            grants=MAKER,
            at_rest=1.0,
        )


def _mix_knobs(material: Material) -> Iterator[Knob]:
    if material.mix is None:
        return
    yield from scaled("mix.ratio_tolerance", material.mix.ratio_tolerance, both=True)
    yield from scaled("mix.pot_life.value", material.mix.pot_life.value, both=True)
    if material.mix.mixed_viscosity is not None:
        yield from scaled("mix.mixed_viscosity", material.mix.mixed_viscosity, both=True)
