"""The one path: a request and a catalog in, an answer out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from configurator.answer import Answer
from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Mixing, Part
from configurator.errors import Fault, InputError, did_you_mean
from configurator.request.intake import fill_gaps
from configurator.request.request import Request
from configurator.rules.applied import Applied, apply_rules
from configurator.rules.case import Case, Subject, slots_of
from configurator.rules.cautions import cautions_for
from configurator.rules.duty import duty_of
from configurator.rules.finding import LISTED, State
from configurator.rules.fluid import fluid_of
from configurator.rules.frame import Frame
from configurator.rules.rule import Rule
from configurator.rules.rulebook import RULEBOOK
from configurator.rules.tables import constraints_of
from configurator.solve import BuildSpace

Places = NDArray[np.intp]


def configure(request: Request, catalog: Catalog) -> Answer:
    """Find every valid head build for a request.

    Parameters
    ----------
    request : Request
        Material, process, picks.
    catalog : Catalog
        What can be built from.

    Returns
    -------
    Answer
        Exact counts, what remains in every slot, and the builds in order.

    Raises
    ------
    InputError
        If a pick names a slot or part that does not exist.
    """
    subject = _subject(request, catalog)
    frame = Frame(_parts(request, catalog))
    case = Case(subject, frame)
    alone = apply_rules(case, [rule for rule in RULEBOOK if _is_alone(rule, case)])
    live = _live(frame, alone)
    narrowed = Case(subject, frame.only(live))
    together = apply_rules(narrowed, [rule for rule in RULEBOOK if not _is_alone(rule, case)])
    return Answer(
        subject=subject,
        frame=frame,
        live=live,
        alone=alone,
        together=together,
        spaces=_spaces(narrowed, alone, together, live),
        picks=_picked(request, frame, live),
        considered=math.prod(len(parts) for parts in frame.parts.values()),
        cautions=cautions_for(case),
    )


def _subject(request: Request, catalog: Catalog) -> Subject:
    filled = fill_gaps(request.material)
    duty = duty_of(request.process)
    fluids = tuple(
        fluid_of(component, duty.temperature) for _, component in filled.material.components
    )
    return Subject(
        request=request,
        filled=filled,
        catalog=catalog,
        duty=duty,
        fluids=fluids,
        shares=(1.0,),
        outlet_fluid=fluids[0],
    )


def _parts(request: Request, catalog: Catalog) -> dict[str, tuple[Part, ...]]:
    """Parts that may stand in each slot; unknown picks and exclusions are refused by name."""
    _check_names(request, catalog)
    parts: dict[str, tuple[Part, ...]] = {}
    for slot in slots_of(two_part=request.material.two_part):
        without = request.without.get(slot, frozenset())
        parts[slot] = tuple(
            part
            for part in catalog.slot(slot)
            if part.name not in without and _suits(part, request)
        )
    return parts


def _suits(part: Part, request: Request) -> bool:
    """A one-part material is never mixed, so that only the empty mixing slot stands."""
    return not isinstance(part, Mixing) or part.kind == "none" or request.material.two_part


def _check_names(request: Request, catalog: Catalog) -> None:
    slots = slots_of(two_part=request.material.two_part)
    named = [("--pick", slot, name) for slot, name in request.picks.items()]
    named += [
        ("--without", slot, name)
        for slot, names in request.without.items()
        for name in sorted(names)
    ]
    faults = []
    for option, slot, name in named:
        if slot not in slots:
            faults.append(
                Fault(option, "slot", slot, ", ".join(slots), did_you_mean(slot, slots))
            )
            continue
        names = [part.name for part in catalog.slot(slot)]
        if name not in names:
            hint = did_you_mean(name, names)
            faults.append(Fault(option, slot, name, f"a {slot} of the catalog", hint))
    if faults:
        raise InputError(tuple(faults))


def _is_alone(rule: Rule, case: Case) -> bool:
    """True for a rule that reads one slot at most, on whichever side."""
    prefixes = case.prefixes if rule.whole else case.prefixes[:1]
    return len(rule.scope(prefixes)) <= 1


def _live(frame: Frame, alone: Iterable[Applied]) -> dict[str, Places]:
    """Places of the parts that no one-slot rule takes out."""
    kept = {slot: np.ones(len(parts), dtype=np.bool_) for slot, parts in frame.parts.items()}
    for applied in alone:
        if applied.scope:
            kept[applied.scope[0]] &= applied.states < State.RULED_OUT
    return {slot: np.flatnonzero(mask) for slot, mask in kept.items()}


def _spaces(
    case: Case,
    alone: Sequence[Applied],
    together: Sequence[Applied],
    live: Mapping[str, Places],
) -> dict[State, BuildSpace]:
    """Nested spaces of the builds up to each level."""
    narrowed = apply_rules(case, [applied.rule for applied in _once(alone)])
    every = [*narrowed, *together]
    domains = {slot: len(places) for slot, places in live.items()}
    widest, *stricter = reversed(LISTED)
    relations, thresholds = constraints_of(every, widest)
    space = BuildSpace(domains=domains, relations=relations, thresholds=thresholds)
    spaces = {widest: space}
    for level in stricter:
        relations, thresholds = constraints_of(every, level)
        space = space.tightened(relations=relations, thresholds=thresholds)
        spaces[level] = space
    return spaces


def _once(applied: Iterable[Applied]) -> list[Applied]:
    """One entry a rule, for rules that were applied to both sides."""
    return list({entry.rule.name: entry for entry in applied}.values())


def _picked(
    request: Request, frame: Frame, live: Mapping[str, Places]
) -> dict[str, int | frozenset[int]]:
    """Picks as values over the live parts; a picked part that is out leaves no value."""
    picks: dict[str, int | frozenset[int]] = {}
    for slot, name in request.picks.items():
        place = next(
            (at for at, part in enumerate(frame.parts[slot]) if part.name == name), None
        )
        found = np.flatnonzero(live[slot] == place) if place is not None else np.array([])
        picks[slot] = int(found[0]) if len(found) else frozenset()
    return picks

