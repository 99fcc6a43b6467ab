"""Cavities that a catalog does not have: other displacements of each size, and more stages.

A cavity that is scaled as a whole turns out alike: lengths by the cube root of the displacement,
torques by the displacement itself, pressures and efficiencies not at all. Slip keeps its share
of the flow, since a gap of scaled width, length and height lets through scaled flow as long as
it flows as a film; for water that is a simplification.
"""

from __future__ import annotations

from collections.abc import Iterator

from configurator.catalog.catalog import Catalog
from configurator.catalog.parts import Cavity, RatedPoint
from configurator.screen.hypothetical import steps
from configurator.screen.hypothetical.part import Derivation, Hypothetical, single
from configurator.units.grouped import grouped
from configurator.units.quantity import Quantity

DISPLACEMENT = Derivation(
    "displacement",
    "For each size: a displacement between neighbours, one step below and one above, in each "
    "number of stages of the nearest cavities; scaled as a whole, lengths by the cube root, "
    "torque by the displacement, pressures and efficiencies unchanged.",
)
STAGES = Derivation(
    "more stages",
    "For each size and displacement: one step more stages; rated pressures by the stages, "
    "friction torque on the line through those of fewer stages, all else as the one with most.",
)

LENGTHS = ("eccentricity", "rotor_diameter", "pitch", "seal_width", "seal_land")


def cavities(catalog: Catalog) -> Iterator[Hypothetical]:
    """Yield hypothetical cavities."""
    known = [part for part in catalog.parts["cavity"] if isinstance(part, Cavity)]
    by_size = grouped(known, lambda cavity: cavity.size)
    usual = steps.usual_ratio([list(map(_displacement, each)) for each in by_size.values()])
    for made_for in by_size.values():
        yield from _displacements(made_for, usual)
        yield from _more_stages(made_for)


def _displacement(cavity: Cavity) -> float:
    return cavity.displacement.nominal


def _displacements(made_for: list[Cavity], usual: float | None) -> Iterator[Hypothetical]:
    for step in steps.Ladder(map(_displacement, made_for), usual).steps():
        ordered = sorted(made_for, key=lambda each: each.name)
        for cavity in steps.closest(ordered, step, _displacement, lambda each: each.stages.nominal):
            text = steps.shown(step.value, cavity.displacement)
            change = (
                f"{steps.setting(step, cavity.displacement)}; {cavity.stages.text} stages, "
                f"size {cavity.size}"
            )
            figures = similar(cavity, step.value / cavity.displacement.nominal)
            figures["displacement"] = steps.stepped(cavity.displacement, step.value)
            yield single(DISPLACEMENT, cavity, steps.mark_of(text), change, figures)


def similar(cavity: Cavity, factor: float) -> dict[str, object]:
    """Return the figures of a cavity whose displacement is scaled as a whole by a factor."""
    figures: dict[str, object] = {
        name: steps.scaled(getattr(cavity, name), factor ** (1 / 3)) for name in LENGTHS
    }
    figures["displacement"] = steps.scaled(cavity.displacement, factor)
    figures["friction_torque"] = steps.scaled(cavity.friction_torque, factor)
    return figures


def _more_stages(made_for: list[Cavity]) -> Iterator[Hypothetical]:
    ordered = sorted(made_for, key=lambda each: (each.stages.nominal, each.name))
    for alike in grouped(ordered, _displacement).values():
        most = alike[-1]
        count = steps.next_count(each.stages.nominal for each in alike)
        factor = count / most.stages.nominal
        figures: dict[str, object] = {
            "stages": steps.stepped(most.stages, count),
            "friction_torque": steps.scaled(most.friction_torque, _torque_factor(alike, count)),
            "rated_elastomer": _with_pressure(most.rated_elastomer, factor),
            "rated_rigid": most.rated_rigid and _with_pressure(most.rated_rigid, factor),
        }
        change = f"{count} stages in place of {most.stages.text}, size {most.size}"
        yield single(STAGES, most, f"{count}s", change, figures)


def _torque_factor(alike: list[Cavity], count: int) -> float:
    """Friction of more stages over that of the most: friction rises by the stage."""
    most = alike[-1]
    fewer = [each for each in alike if each.stages.nominal < most.stages.nominal]
    share = count / most.stages.nominal
    if not fewer or not most.friction_torque.nominal:
        return share
    rise = most.friction_torque.nominal - fewer[-1].friction_torque.nominal
    rise /= most.stages.nominal - fewer[-1].stages.nominal
    further = most.friction_torque.nominal + rise * (count - most.stages.nominal)
    return max(further / most.friction_torque.nominal, 1.0)


def _with_pressure(rated: RatedPoint, factor: float) -> RatedPoint:
    pressure: Quantity = steps.scaled(rated.pressure, factor)
    return rated.model_copy(update={"pressure": pressure})
