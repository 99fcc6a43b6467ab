"""What a customer's data sheet says of a material: flow, filler, chemistry, cure."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from configurator.request.constituents import Share, Substance
from configurator.request.movable import (
    MOVES,
    POT_LIFE_TEST,
    QUESTION,
    RHEOMETER,
    SAFETY_SHEET,
    SIEVING,
    TWO_TEMPERATURES,
    Effort,
    Movable,
)
from configurator.units import fields, kinds
from configurator.units.interval import Basis

Name = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9.+-]{0,59}$")]
Title = Annotated[str, StringConstraints(min_length=1, max_length=160)]
Note = Annotated[str, StringConstraints(max_length=600)]


def component_key(prefix: str) -> str:
    """Key in a file of the component with a slot prefix: `component`, `a` or `b`."""
    return prefix.rstrip(".") or "component"


FlowModel = Literal[
    "newtonian", "power law", "bingham", "casson", "herschel-bulkley", "carreau", "points"
]
Trigger = Literal["two-part", "moisture", "anaerobic", "light", "surface moisture", "heat", "none"]
Sensitivity = Literal["moisture", "light", "shear", "sedimentation", "platinum poisons"]
Shape = Literal["sphere", "irregular", "flake", "fibre"]

MODEL_KEYS: dict[str, tuple[str, ...]] = {
    "newtonian": ("viscosity",),
    "power law": ("consistency", "index"),
    "bingham": ("yield_stress", "plastic_viscosity"),
    "casson": ("yield_stress", "casson_viscosity"),
    "herschel-bulkley": ("yield_stress", "consistency", "index"),
    "carreau": ("zero_viscosity", "infinite_viscosity", "relaxation_time", "index"),
    "points": ("points",),
}
"""The keys that each flow model needs, and no others."""

DENSEST_PACKING = 0.74
"""Volume share of equal round particles packed as closely as possible, pi/sqrt(18)."""

LARGEST_PARTICLE = 5e-3
"""Largest particle that a material file accepts. [m]"""

FLOW_CURVE = Movable(granted=False, test=RHEOMETER)

FEWEST_POINTS = 3
"""Points that a measured flow curve has at least."""


class FlowPoint(fields.Frozen):
    """One point of a measured flow curve: a shear rate with a viscosity or a stress."""

    rate: fields.ShearRate
    viscosity: fields.Viscosity | None = None
    stress: fields.Stress | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.viscosity is None) == (self.stress is None):
            raise ValueError("a point takes a rate and either a viscosity or a stress")
        return self


class WarmPoint(fields.Frozen):
    """A second viscosity at another temperature, from which the sensitivity follows."""

    viscosity: fields.Viscosity
    at: fields.Temperature


class Flow(fields.Frozen):
    """Flow behaviour at a stated temperature.

    Without `model`, a lone `viscosity` is a single reading: with no shear rate behind it,
    the intake widens it to what such a reading may hide.
    """

    model: FlowModel | None = None
    at: fields.Temperature
    viscosity: fields.Viscosity | None = None
    shear_rate: Annotated[fields.ShearRate | None, FLOW_CURVE] = None
    yield_stress: Annotated[fields.Stress | None, FLOW_CURVE] = None
    consistency: fields.Consistency | None = None
    index: Annotated[fields.FlowIndex | None, FLOW_CURVE] = None
    plastic_viscosity: fields.Viscosity | None = None
    casson_viscosity: fields.Viscosity | None = None
    zero_viscosity: fields.Viscosity | None = None
    infinite_viscosity: fields.Viscosity | None = None
    relaxation_time: fields.Time | None = None
    points: tuple[FlowPoint, ...] | None = None
    thixotropic: bool = False
    activation_energy: Annotated[
        fields.EnergyPerMole | None,
        Movable(granted=False, wide="change of viscosity with temperature", test=TWO_TEMPERATURES),
    ] = None
    warm: Annotated[WarmPoint | None, Movable(granted=False, test=TWO_TEMPERATURES)] = None
    batch_spread: Annotated[
        fields.Fraction | None,
        Movable(granted=False, test=Effort("viscosity of three batches", 3.0, 24.0)),
    ] = None

    @model_validator(mode="after")
    def _model_has_its_keys(self) -> Self:
        given = {
            key for keys in MODEL_KEYS.values() for key in keys if getattr(self, key) is not None
        }
        model = self.model or "newtonian"
        wanted = set(MODEL_KEYS[model])
        if missing := sorted(wanted - given):
            raise ValueError(f"a {model} flow needs {', '.join(missing)}")
        if extra := sorted(given - wanted):
            raise ValueError(f"a {model} flow takes no {', '.join(extra)}")
        if self.points is not None and len(self.points) < FEWEST_POINTS:
            raise ValueError(f"a measured curve needs at least {FEWEST_POINTS} points")
        if self.activation_energy is not None and self.warm is not None:
            raise ValueError("give an activation energy or a warm point, not both")
        return self


class Filler(fields.Frozen):
    """Particles in the material."""

    name: Substance
    volume_fraction: Annotated[
        fields.Fraction | None,
        Movable(
            title="filler content",
            wide="filler content",
            ends=(kinds.FRACTION, 0.0, DENSEST_PACKING),
            test=Effort("burning off the organic share", 1.5, 24.0),
        ),
    ] = None
    d50: Annotated[fields.Length | None, Movable(title="median particle (d50)", test=SIEVING)] = (
        None
    )
    d99: Annotated[
        fields.Length | None,
        Movable(
            title="largest particle (d99)",
            wide="largest particle",
            along=("d50",),
            ends=(kinds.LENGTH, 1e-6, LARGEST_PARTICLE),
            test=SIEVING,
        ),
    ] = None
    mohs: Annotated[
        fields.HardnessMohs | None,
        Movable(
            title="hardness of the filler",
            wide="hardness of the filler",
            ends=(kinds.HARDNESS_MOHS, 1.0, 10.0),
            test=QUESTION,
        ),
    ] = None
    shape: Annotated[
        Shape | None,
        Movable(
            granted=False,
            words=("sphere", "irregular", "flake"),
            test=Effort("microscope", 0.5, 1.0),
        ),
    ] = None
    hollow: bool = False
    crush_pressure: Annotated[
        fields.Pressure | None,
        Movable(
            wide="crush pressure",
            ends=(kinds.PRESSURE, 1e5, 3e8),
            test=Effort("density before and after pressing", 2.0, 8.0),
        ),
    ] = None
    """Hollow spheres are crushed somewhere from 1 bar to 3,000 bar (from memory)."""


class Component(fields.Frozen):
    """A one-part material, or one side of a two-part one."""

    flow: Annotated[Flow, Movable(title="viscosity", wide="flow behaviour", test=RHEOMETER)]
    density: Annotated[
        fields.Density | None,
        Movable(
            granted=False,
            wide="density",
            ends=(kinds.DENSITY, 400.0, 6000.0),
            test=Effort("pycnometer", 0.5, 1.0),
        ),
    ] = None
    """Pastes lie between the lightest filled with hollow spheres and the heaviest filled with
    metal (from memory)."""
    filler: Filler | None = None
    constituents: Annotated[
        tuple[Share, ...],
        Movable(test=Effort("safety data sheet, then soaking stator and seal", 3.0, 170.0)),
    ] = ()
    complete: Annotated[
        bool,
        Movable(granted=False, test=Effort("soaking stator and seal in the product", 3.0, 170.0)),
    ] = False
    """True if the constituents listed are all there are; a data sheet rarely lists all."""
    flash_point: Annotated[
        fields.Temperature | None,
        Movable(
            granted=False,
            test=SAFETY_SHEET,
            unread="no rule reads it; it decides what the cautions say",
        ),
    ] = None
    vapour_pressure: fields.Pressure | None = None
    bulk_modulus: Annotated[
        fields.Modulus | None,
        Movable(
            granted=False,
            test=Effort("weighing shots after a stop", 1.5, 4.0),
        ),
    ] = None
    surface_tension: Annotated[
        fields.SurfaceTension | None,
        Movable(
            granted=False,
            wide="surface tension",
            ends=(kinds.SURFACE_TENSION, 15e-3, 75e-3),
            test=Effort("hanging drop or ring", 0.5, 1.0),
        ),
    ] = None
    """Against air; between that of a fluorinated liquid and that of water (from memory)."""
    sensitive_to: tuple[Sensitivity, ...] = ()
    shear_rate_max: Annotated[fields.ShearRate | None, MOVES] = None
    open_time: Annotated[
        fields.Time | None, Movable(title="open time of a container", test=QUESTION)
    ] = None
    """How long an opened container may be used."""


class PotLife(fields.Frozen):
    """How long a mixed material may be used, and what was meant by that."""

    value: Annotated[fields.Time, Movable(title="pot life", test=POT_LIFE_TEST)]
    at: fields.Temperature
    definition: Annotated[
        Literal["viscosity doubles", "gel time", "cup temperature", "not stated"],
        Movable(
            granted=False,
            words=("viscosity doubles", "gel time", "cup temperature"),
            test=POT_LIFE_TEST,
        ),
    ]
    mass: fields.Mass | None = None


class Mix(fields.Frozen):
    """How two components come together."""

    ratio: tuple[fields.Number, fields.Number]
    """Parts of A, parts of B."""
    by: Literal["volume", "mass"]
    ratio_tolerance: Annotated[fields.Fraction, Movable(test=QUESTION)]
    pot_life: PotLife
    mixed_viscosity: Annotated[
        fields.Viscosity | None,
        Movable(
            wide="viscosity of the fresh mix", test=Effort("viscosity of the fresh mix", 1.0, 2.0)
        ),
    ] = None
    """At the temperatures at which the components are stated."""


class Material(fields.Frozen):
    """A material as asked for."""

    schema_version: fields.SchemaVersion
    name: Name
    title: Title
    note: Note = ""
    invented: bool = False
    basis: Basis = Basis.DATASHEET
    """Where values without a basis of their own come from."""
    safety_data_sheet: date | None = None
    """Day on which the safety data sheet was issued or revised."""
    trigger: Annotated[
        Trigger, Field(description="what cures it; none for what sets by cooling or drying")
    ]
    component: Component | None = None
    a: Component | None = None
    b: Component | None = None
    mix: Mix | None = None

    @model_validator(mode="after")
    def _one_or_two_parts(self) -> Self:
        if self.component is not None:
            if self.a is not None or self.b is not None or self.mix is not None:
                raise ValueError("a one-part material takes [component] and no [a], [b] or [mix]")
            if self.trigger == "two-part":
                raise ValueError("trigger two-part needs [a], [b] and [mix]")
        elif self.a is None or self.b is None or self.mix is None:
            raise ValueError("give [component], or [a], [b] and [mix] for a two-part material")
        elif self.trigger != "two-part":
            raise ValueError("a material with [a] and [b] has trigger two-part")
        return self

    @property
    def two_part(self) -> bool:
        """True if the material is metered as two components."""
        return self.component is None

    @property
    def components(self) -> tuple[tuple[str, Component], ...]:
        """Slot prefix and component: `("", one)`, or `("a.", a), ("b.", b)`."""
        if self.component is not None:
            return (("", self.component),)
        assert self.a is not None  # held by the validator above
        assert self.b is not None
        return (("a.", self.a), ("b.", self.b))
