"""What a customer's data sheet says of a material: flow, filler, chemistry, cure."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import StringConstraints, model_validator

from configurator.units.fields import (
    Consistency,
    Density,
    EnergyPerMole,
    FlowIndex,
    Fraction,
    HardnessMohs,
    Length,
    Mass,
    Modulus,
    Number,
    Pressure,
    ShearRate,
    Stress,
    Temperature,
    Time,
    Viscosity,
)
from configurator.units.frozen import Frozen, SchemaVersion
from configurator.units.interval import Basis

Name = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9.+-]{0,59}$")]
Title = Annotated[str, StringConstraints(min_length=1, max_length=160)]
Note = Annotated[str, StringConstraints(max_length=600)]
Substance = Annotated[str, StringConstraints(min_length=1, max_length=80)]

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

FEWEST_POINTS = 3
"""Points that a measured flow curve has at least."""


class FlowPoint(Frozen):
    """One point of a measured flow curve: a shear rate with a viscosity or a stress."""

    rate: ShearRate
    viscosity: Viscosity | None = None
    stress: Stress | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.viscosity is None) == (self.stress is None):
            raise ValueError("a point takes a rate and either a viscosity or a stress")
        return self


class WarmPoint(Frozen):
    """A second viscosity at another temperature, from which the sensitivity follows."""

    viscosity: Viscosity
    at: Temperature


class Flow(Frozen):
    """Flow behaviour at a stated temperature.

    Without `model`, a lone `viscosity` is a single reading: with no shear rate behind it,
    the intake widens it to what such a reading may hide.
    """

    model: FlowModel | None = None
    at: Temperature
    viscosity: Viscosity | None = None
    shear_rate: ShearRate | None = None
    yield_stress: Stress | None = None
    consistency: Consistency | None = None
    index: FlowIndex | None = None
    plastic_viscosity: Viscosity | None = None
    casson_viscosity: Viscosity | None = None
    zero_viscosity: Viscosity | None = None
    infinite_viscosity: Viscosity | None = None
    relaxation_time: Time | None = None
    points: tuple[FlowPoint, ...] | None = None
    thixotropic: bool = False
    activation_energy: EnergyPerMole | None = None
    warm: WarmPoint | None = None
    batch_spread: Fraction | None = None

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


class Filler(Frozen):
    """Particles in the material."""

    name: Substance
    volume_fraction: Fraction | None = None
    d50: Length | None = None
    d99: Length | None = None
    mohs: HardnessMohs | None = None
    shape: Shape | None = None
    hollow: bool = False
    crush_pressure: Pressure | None = None


class Share(Frozen):
    """A constituent and how much of it there is."""

    name: Substance
    mass_fraction: Fraction | None = None


class Component(Frozen):
    """A one-part material, or one side of a two-part one."""

    flow: Flow
    density: Density | None = None
    filler: Filler | None = None
    constituents: tuple[Share, ...] = ()
    complete: bool = False
    """True if the constituents listed are all there are; a data sheet rarely lists all."""
    flash_point: Temperature | None = None
    vapour_pressure: Pressure | None = None
    bulk_modulus: Modulus | None = None
    sensitive_to: tuple[Sensitivity, ...] = ()
    shear_rate_max: ShearRate | None = None


class PotLife(Frozen):
    """How long a mixed material may be used, and what was meant by that."""

    value: Time
    at: Temperature
    definition: Literal["viscosity doubles", "gel time", "cup temperature", "not stated"]
    mass: Mass | None = None


class Mix(Frozen):
    """How two components come together."""

    ratio: tuple[Number, Number]
    """Parts of A, parts of B."""
    by: Literal["volume", "mass"]
    ratio_tolerance: Fraction
    pot_life: PotLife
    mixed_viscosity: Viscosity | None = None


class Material(Frozen):
    """A material as asked for."""

    schema_version: SchemaVersion
    name: Name
    title: Title
    note: Note = ""
    invented: bool = False
    basis: Basis = Basis.DATASHEET
    """Where values without a basis of their own come from."""
    trigger: Trigger
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
