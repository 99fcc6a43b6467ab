"""What to measure next: each missing or wide datum by the builds that knowing it would settle.

Exact: the request is solved again with the datum at either end of what it may be. A datum may
lie anywhere between, so what it settles for sure is what it settles at the worse end.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from configurator.explain.again import Again
from configurator.explain.clock import Progress
from configurator.explain.counts import Counts
from configurator.explain.gap_cost import End, gap_costs
from configurator.explain.laboratory import Effort, effort_for
from configurator.explain.material_knobs import STRESSES
from configurator.explain.one_build import OneBuild
from configurator.explain.recount import Recount
from configurator.explain.settled import Change, changed
from configurator.physics.domain import PhysicsDomainError
from configurator.request.material import Component, FlowPoint, Material
from configurator.request.request import Request
from configurator.rules.finding import State
from configurator.units.display import quantity_from, show_interval
from configurator.units.interval import Basis, Interval
from configurator.units.kind import Kind
from configurator.units.quantity import Quantity
from configurator.workshop.answer import Answer

FINE = 1e-3
"""Relative width down to which a deciding value is narrowed."""

LEAST_WIDTH = 1e-9
"""Relative width from which a stated range counts as wide."""

SAYS = {
    "flow": "flow behaviour stated as a range",
    "density": "density stated as a range",
    "d99": "largest particle stated as a range",
    "volume_fraction": "filler content stated as a range",
    "mohs": "hardness of the filler stated as a range",
    "crush_pressure": "crush pressure stated as a range",
    "activation_energy": "change of viscosity with temperature stated as a range",
    "mixed_viscosity": "viscosity of the fresh mix stated as a range",
}


@dataclass(frozen=True, slots=True)
class Decision:
    """The value of a datum at which the first build of the list changes its state.

    Attributes
    ----------
    value : float
        The value. [unit]
    text, unit : str
        In words, and the SI unit.
    below, above : str
        State of the build on either side, in words.
    """

    value: float
    text: str
    unit: str
    below: str
    above: str


@dataclass(frozen=True, slots=True)
class Measurement:
    """One datum and what knowing it would settle.

    Attributes
    ----------
    field : str
        Path in the material file; for a contact the wetted material's code.
    says : str
        What is missing or wide.
    test : str
        The test or question that settles it.
    effort : Effort
        What that takes in common practice.
    ends : tuple of End
        Builds there are at the ends of what it may be; none where no build hangs on it.
    settled : int
        Builds unproven now that are not any more, whichever end it turns out to be.
    at_stake : int
        Builds that there are at one end and not at the other, at least.
    decision : Decision or None
        Where the first build of the list changes its state; None if it does not or the datum
        is no number.
    note : str
        Why nothing was solved again; else empty.
    """

    field: str
    says: str
    test: str
    effort: Effort
    ends: tuple[End, ...]
    settled: int
    at_stake: int
    decision: Decision | None
    note: str

    @property
    def settled_per_hour(self) -> float:
        """Builds settled per hour of laboratory time. [1/h]"""
        return self.settled / self.effort.hours

    @property
    def at_stake_per_hour(self) -> float:
        """Builds at stake per hour of laboratory time. [1/h]"""
        return self.at_stake / self.effort.hours


@dataclass(frozen=True, slots=True)
class Measurements:
    """What could be measured, the most telling first.

    Attributes
    ----------
    now : Counts
        Builds as things stand.
    useful : tuple of Measurement
        Those that settle builds or put some at stake, by builds settled per hour.
    idle : tuple of Measurement
        Those on which no build hangs here.
    """

    now: Counts
    useful: tuple[Measurement, ...]
    idle: tuple[Measurement, ...]


def measurements(answer: Answer, progress: Progress = lambda _text: None) -> Measurements:
    """Solve a request again at the ends of every missing or wide datum.

    Parameters
    ----------
    answer : Answer
        The request.
    progress : callable, optional
        Told what is being settled.
    """
    again = Again(answer)
    recount = Recount(again)
    costs = gap_costs(
        answer,
        together=False,
        recount=recount,
        progress=lambda done, of: progress(f"{done} of {of} ends"),
    )
    now = costs.now
    first = answer.builds(limit=1)
    build = OneBuild(first[0].parts, answer.subject) if first else None
    found = []
    for cost in costs.gaps:
        ends = tuple(end for end in (cost.good, cost.bad) if end is not None)
        decision = None if build is None else _decision_of_gap(again, build, cost.field)
        found.append(
            _measured(now, cost.field, cost.says, cost.settle_with, ends, decision, cost.note)
        )
    for cost in costs.contacts:
        ends = tuple(end for end in (cost.good, cost.bad) if end is not None)
        measured = _measured(
            now, cost.field, cost.says, cost.settle_with, ends, None, cost.note, contact=True
        )
        found.append(measured)
    for field, says, low, high in _wide(answer.subject.request.material):
        progress(field)
        ends = tuple(
            End(change.text, recount.counts(_with_change(again.request, change)))
            for change in (low, high)
        )
        decision = None if build is None else _decision(again, build, field, low, high)
        test = f"measure it: {effort_for(field).method}"
        found.append(_measured(now, field, says, test, ends, decision, ""))
    found.sort(
        key=lambda each: (-each.settled_per_hour, -each.at_stake_per_hour, each.field, each.says)
    )
    useful = tuple(each for each in found if each.settled or each.at_stake)
    return Measurements(now, useful, tuple(each for each in found if each not in useful))


def _measured(  # noqa: PLR0917 - one column each
    now: Counts,
    field: str,
    says: str,
    test: str,
    ends: tuple[End, ...],
    decision: Decision | None,
    note: str,
    *,
    contact: bool = False,
) -> Measurement:
    settled = min((now.unproven - end.counts.unproven for end in ends), default=0)
    totals = [end.counts.total for end in ends]
    return Measurement(
        field=field,
        says=says,
        test=test,
        effort=effort_for(field, contact=contact),
        ends=ends,
        settled=max(settled, 0),
        at_stake=max(totals) - min(totals) if totals else 0,
        decision=decision,
        note=note,
    )


def _with_change(request: Request, change: Change) -> Request:
    return replace(request, material=changed(request.material, [change]))


def _wide(material: Material) -> Iterator[tuple[str, str, Change, Change]]:
    """Each datum that is stated as a range, with its two ends."""
    for prefix, component in material.components:
        root = prefix.rstrip(".") or "component"
        yield from _wide_flow(root, component)
        yield from _wide_value(f"{root}.density", component.density)
        yield from _wide_value(f"{root}.flow.activation_energy", component.flow.activation_energy)
        if component.filler is not None:
            for key in ("d99", "volume_fraction", "mohs", "crush_pressure"):
                yield from _wide_value(f"{root}.filler.{key}", getattr(component.filler, key))
    if material.mix is not None:
        yield from _wide_value("mix.mixed_viscosity", material.mix.mixed_viscosity)


def _wide_value(field: str, value: Quantity | None) -> Iterator[tuple[str, str, Change, Change]]:
    if value is not None and value.interval.width > LEAST_WIDTH * abs(value.high):
        says = SAYS[field.rpartition(".")[2]]
        low, high = (_pinned(field, value.kind, end) for end in (value.low, value.high))
        yield field, f"{says}: {value.text}", low, high


def _pinned(field: str, kind: Kind, value: float) -> Change:
    exact = Interval.exact(value)
    return Change(show_interval(exact, kind), {field: quantity_from(exact, kind, Basis.MEASURED)})


def _wide_flow(root: str, component: Component) -> Iterator[tuple[str, str, Change, Change]]:
    """All stresses of a flow at their low ends, or all at their high ones."""
    flow = component.flow
    values = {key: getattr(flow, key) for key in STRESSES if getattr(flow, key) is not None}
    points = flow.points or ()
    ends = [*values.values(), *(point.stress or point.viscosity for point in points)]
    if not any(value.interval.width > LEAST_WIDTH * abs(value.high) for value in ends):
        return
    changes = []
    for name, words in (("low", "as thin as stated"), ("high", "as thick as stated")):
        update: dict[str, object] = {
            f"{root}.flow.{key}": _at_end(value, name) for key, value in values.items()
        }
        if points:
            update[f"{root}.flow.points"] = tuple(_point_at_end(point, name) for point in points)
        changes.append(Change(words, update))
    text = ", ".join(value.text for value in values.values()) or f"{len(points)} points"
    yield f"{root}.flow", f"{SAYS['flow']}: {text}", changes[0], changes[1]


def _at_end(value: Quantity, name: str) -> Quantity:
    return quantity_from(Interval.exact(getattr(value, name)), value.kind, Basis.MEASURED)


def _point_at_end(point: FlowPoint, name: str) -> FlowPoint:
    key = "viscosity" if point.viscosity is not None else "stress"
    return point.model_copy(update={key: _at_end(getattr(point, key), name)})


def _decision_of_gap(again: Again, build: OneBuild, field: str) -> Decision | None:
    """The deciding value of a gap that an estimate fills."""
    value: object = again.ground.case.material
    for key in field.split("."):
        value = getattr(value, key, None)
    if not isinstance(value, Quantity) or value.basis is not Basis.ESTIMATED:
        return None
    low, high = (_pinned(field, value.kind, end) for end in (value.low, value.high))
    return _decision(again, build, field, low, high)


def _decision(
    again: Again, build: OneBuild, field: str, low: Change, high: Change
) -> Decision | None:
    """Where between two values the build's state changes first, seen from the low one."""
    ends = [change.values.get(field) for change in (low, high)]
    first, last = ends
    if not isinstance(first, Quantity) or not isinstance(last, Quantity):
        return None

    def state(value: float) -> State | None:
        request = _with_change(again.request, _pinned(field, first.kind, value))
        try:
            with np.errstate(all="ignore"):
                return build.under(again.subject(request)).state
        except PhysicsDomainError:
            return None

    below, above = first.nominal, last.nominal
    start, end = state(below), state(above)
    if start is None or end is None or start is end or not 0 < below < above:
        return None
    while math.log(above / below) > FINE:
        middle = math.sqrt(below * above)
        reached = state(middle)
        if reached is start:
            below = middle
        else:
            above, end = middle, reached or end
    text = show_interval(Interval.exact(above), first.kind)
    return Decision(above, text, first.kind.unit, start.words, end.words)
