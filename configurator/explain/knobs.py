"""Everything in a request that could be moved, one thing at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from configurator.explain.knob import Knob, choice
from configurator.explain.material_knobs import material_knobs
from configurator.explain.process_knobs import process_knobs
from configurator.explain.wishes import US
from configurator.request.request import Request


def knobs_of(request: Request) -> tuple[Knob, ...]:
    """Return everything in a request that could be moved, by field and direction."""
    return (
        *process_knobs(request.process),
        *material_knobs(request.material),
        *_pick_knobs(request),
    )


def _pick_knobs(request: Request) -> Iterator[Knob]:
    for slot, name in request.picks.items():
        rest = {other: part for other, part in request.picks.items() if other != slot}
        yield choice(
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
            yield choice(
                f"without {slot}",
                f"exclusion of {slot}",
                f"without {name}",
                f"{name} allowed again",
                US,
                lambda request, fewer=fewer: replace(request, without=fewer),  # type: ignore[misc]
            )
