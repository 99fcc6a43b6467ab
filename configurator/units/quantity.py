"""Quantities: "12 mL/min" in, an SI interval with its text and basis out.

The table of spellings covers what the trade writes. Only a unit name that it lacks reaches the
pint registry, which is imported at that moment: it costs half a second that most runs never pay.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from pydantic_core import PydanticCustomError, core_schema

from configurator.errors import described, did_you_mean
from configurator.units.conversion import interval_of
from configurator.units.dimension import Dimension, Kind, Unit
from configurator.units.grammar import (
    MAX_LENGTH,
    UnitFault,
    UnreadableError,
    read_phrase,
    read_unit,
    respelt,
)
from configurator.units.interval import Basis, Interval

if TYPE_CHECKING:
    from pint import UnitRegistry
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic.json_schema import JsonSchemaValue

__all__ = ["FAULT_TYPE", "Of", "Quantity", "UnitFault", "parse", "read_quantity"]

FAULT_TYPE = "quantity"
"""Type of the pydantic error that carries a UnitFault: given, accepted and hint in its context."""

_TABLE_KEYS = ("value", "basis", "note")
_NOTE_LENGTH = 500
_SHORTEST_NAME, _LONGEST_NAME = 2, 40


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number that someone gave, with all that is known about it."""

    text: str
    """As typed."""
    kind: Kind
    """What it is; ``kind.unit`` is the unit of the interval."""
    interval: Interval
    """Low, nominal and high in SI."""
    basis: Basis
    """What the number rests on."""
    note: str = ""
    """A remark by whoever gave it; may be empty."""

    @property
    def low(self) -> float:
        """Lowest value, in ``kind.unit``."""
        return self.interval.low

    @property
    def nominal(self) -> float:
        """Nominal value, in ``kind.unit``."""
        return self.interval.nominal

    @property
    def high(self) -> float:
        """Highest value, in ``kind.unit``."""
        return self.interval.high

    @property
    def estimated(self) -> bool:
        """True if it is somebody's estimate."""
        return self.basis is Basis.ESTIMATED

    def as_json(self) -> dict[str, str | float]:
        """Return the quantity as plain data: text, basis, SI bounds and their unit."""
        data: dict[str, str | float] = {
            "value": self.text,
            "basis": self.basis.value,
            "low": self.low,
            "nominal": self.nominal,
            "high": self.high,
            "unit": self.kind.unit,
        }
        if self.note:
            data["note"] = self.note
        return data


@lru_cache(maxsize=4096)  # a catalog repeats itself: half of its figures stand there twice
def parse(text: str, kind: Kind) -> Interval:
    """Return the SI interval, in ``kind.unit``, that a text stands for.

    The text is an amount such as "12 mL/min", a range "18..28 degC" or "18 degC .. 28 degC", or a
    tolerance "20 Pa*s +/- 15 %" or "20 Pa*s +/- 2 Pa*s". The nominal of a range is its midpoint,
    for a count rounded down.

    Raises
    ------
    UnitFault
        If the text is anything else, or out of the bounds of the kind.

    Examples
    --------
    >>> from configurator.units.kinds import PRESSURE, TEMPERATURE
    >>> parse("6 bar", PRESSURE)
    Interval(low=600000.0, nominal=600000.0, high=600000.0)
    >>> parse("18..28 degC", TEMPERATURE)
    Interval(low=291.15, nominal=296.15, high=301.15)
    """
    right = respelt(text) if len(text) <= MAX_LENGTH else text
    if right != text:
        raise UnitFault(text, kind.accepted, f"write {right}")
    try:
        interval = interval_of(read_phrase(text), kind, _unit)
    except UnreadableError as reason:
        raise UnitFault(text, kind.accepted, str(reason)) from None
    if not kind.allows(interval):
        raise UnitFault(text, kind.accepted, f"{kind.a_name} must be {kind.bounds_in_words}")
    return interval


def read_quantity(value: object, kind: Kind, default_basis: Basis) -> Quantity:
    """Return the quantity that a value of a file stands for.

    It is text, a table with the keys value, basis and note, a plain number where the kind has no
    unit, or a Quantity, which is passed through if it has the same unit. What states no basis
    has `default_basis`.

    Raises
    ------
    UnitFault
        If the value is anything else.

    Examples
    --------
    >>> from configurator.units.kinds import DENSITY
    >>> given = {"value": "1.2 g/cm^3", "basis": "measured"}
    >>> density = read_quantity(given, DENSITY, Basis.DATASHEET)
    >>> density.nominal, density.basis.value
    (1200.0, 'measured')
    """
    if isinstance(value, Quantity):
        return _same_kind(value, kind)
    if not isinstance(value, Mapping):
        text = _text(value, kind)
        return Quantity(text, kind, parse(text, kind), default_basis)
    for key in value:
        if key not in _TABLE_KEYS:
            raise UnitFault(
                described(key),
                "the keys value, basis and note",
                did_you_mean(str(key), _TABLE_KEYS),
            )
    if "value" not in value:
        raise UnitFault("a table without value", f"value = {kind.accepted}")
    text = _text(value["value"], kind)
    basis = _basis(value["basis"]) if "basis" in value else default_basis
    return Quantity(text, kind, parse(text, kind), basis, _note(value.get("note", "")))


@dataclass(frozen=True, slots=True)
class Of:
    """What kind a field of a pydantic model takes: ``Annotated[Quantity, Of(PRESSURE)]``.

    A value without a basis of its own gets ``context["basis"]`` of the validation, else
    ``default_basis``. A fault becomes one pydantic error of type ``FAULT_TYPE``.
    """

    kind: Kind
    """What the field holds."""
    default_basis: Basis = Basis.FROM_MEMORY
    """Used when neither the value nor the validation states a basis."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(
            self._validated,
            serialization=core_schema.plain_serializer_function_ser_schema(Quantity.as_json),
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        types = ["string", "object", *(["number"] if self.kind.bare else [])]
        keys = {"value": {}, "basis": {"enum": [each.value for each in Basis]}, "note": {}}
        return {
            "type": types,
            "description": self.kind.accepted,
            "examples": [self.kind.example],
            "properties": keys,
            "required": ["value"],
            "additionalProperties": False,
        }

    def _validated(self, value: Any, info: core_schema.ValidationInfo) -> Quantity:
        context = info.context
        basis = context.get("basis") if isinstance(context, Mapping) else None
        try:
            return read_quantity(value, self.kind, Basis(basis or self.default_basis))
        except UnitFault as fault:
            raise PydanticCustomError(
                FAULT_TYPE,
                "accepted: {accepted}",
                {"given": fault.given, "accepted": fault.accepted, "hint": fault.hint},
            ) from None


def _same_kind(quantity: Quantity, kind: Kind) -> Quantity:
    if quantity.kind.unit != kind.unit:
        raise UnitFault(f"{quantity.text} ({quantity.kind.name})", kind.accepted)
    if not kind.allows(quantity.interval):
        hint = f"{kind.a_name} must be {kind.bounds_in_words}"
        raise UnitFault(quantity.text, kind.accepted, hint)
    return quantity


def _text(value: object, kind: Kind) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        # Beyond this, turning a whole number into text is itself slow.
        number = described(value)
        if kind.bare:
            return number
        unit = kind.units[0]
        raise UnitFault(number, kind.accepted, f'write a unit, for example "{number} {unit}"')
    raise UnitFault(described(value), kind.accepted)


def _basis(value: object) -> Basis:
    names = [basis.value for basis in Basis]
    if isinstance(value, str) and value in names:
        return Basis(value)
    text = described(value)
    raise UnitFault(text, f"a basis: {', '.join(names)}", did_you_mean(text, names))


def _note(value: object) -> str:
    if isinstance(value, str) and len(value) <= _NOTE_LENGTH and value.isprintable():
        return value
    raise UnitFault(described(value), f"a note of one line and at most {_NOTE_LENGTH} characters")


@lru_cache(maxsize=1024)
def _unit(text: str) -> Unit:
    return read_unit(text, _from_pint)


def _from_pint(name: str) -> Unit | None:
    """Ask pint for a single name; None where it knows no such unit or none that fits here."""
    # One letter stands for constants of nature there, and long names are never units.
    if not _SHORTEST_NAME <= len(name) <= _LONGEST_NAME:
        return None
    registry = _registry()
    # Unknown names and broken definitions raise errors of several families in pint; each of
    # them is an ArithmeticError, an AttributeError, a TypeError or a ValueError.
    try:
        one = registry.Quantity(1.0, name).to_root_units()
        zero = registry.Quantity(0.0, name).to_root_units()
        exact = Fraction(str(one.magnitude))
    except (ArithmeticError, AttributeError, TypeError, ValueError):
        return None
    if zero.magnitude != 0:
        # An offset or a logarithm: only the table's own temperatures have one.
        return None
    dimension = Dimension()
    for base, raw_power in one.unit_items():
        power = float(str(raw_power))
        own = _BASE_OF_PINT.get(base)
        if own is None or not (2 * power).is_integer():
            return None
        dimension *= Dimension.base(own, power)
        if base == "gram":
            exact *= Fraction(1000) ** -int(power)
    # A plain number is a constant such as pi or a count, not a unit.
    return Unit(dimension, exact) if dimension.powers and exact > 0 else None


_BASE_OF_PINT = {
    "meter": "length",
    "gram": "mass",
    "second": "time",
    "kelvin": "temperature",
    "mole": "amount",
    "radian": "angle",
    "ampere": "current",
    "candela": "light",
}


@cache
def _registry() -> UnitRegistry[Any]:
    import pint

    # Its own cache folder stays off: reading units must not write files.
    return pint.UnitRegistry(cache_folder=None)
