"""Single cells of a form that people fill in: a number in SI, or a fault that says what to do."""

from __future__ import annotations

import re

from configurator.errors import Fault
from configurator.units.interval import Interval
from configurator.units.kind import Kind
from configurator.units.kinds import TEMPERATURE
from configurator.units.quantity import UnitFault, parse

_NUMBER = re.compile(r"^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$")
_COMMA = re.compile(r"\d,\d")


def float_or_none(text: str) -> float | None:
    """Return a number, or None where a text is none.

    Examples
    --------
    >>> float_or_none("1.5"), float_or_none("1,5"), float_or_none("nan")
    (1.5, None, None)
    """
    return float(text) if _NUMBER.match(text) else None


def _comma_hint(text: str) -> str:
    return "write a decimal point, not a comma" if _COMMA.search(text) else ""


class Cells:
    """Reads cells of one file and gathers their faults.

    Parameters
    ----------
    where : str
        The file as people named it.
    """

    def __init__(self, where: str) -> None:
        self.where = where
        self.faults: list[Fault] = []

    def fault(self, field: str, given: str, accepted: str, hint: str = "") -> None:
        """Note one fault."""
        self.faults.append(Fault(self.where, field, given, accepted, hint))

    def quantity(self, field: str, text: str, kind: Kind) -> Interval | None:
        """A quantity with its own unit; it must be there."""
        if not text:
            self.fault(field, "nothing", kind.accepted)
            return None
        try:
            return parse(text, kind)
        except UnitFault as fault:
            self.fault(field, fault.given, fault.accepted, _comma_hint(text) or fault.hint)
            return None

    def plain(self, field: str, text: str) -> float | None:
        """A plain number; nothing is None."""
        value = float_or_none(text)
        if text and value is None:
            accepted = "a plain number in the unit of the column"
            self.fault(field, text, accepted, _comma_hint(text))
        return value

    def number(self, field: str, text: str, unit: str, kind: Kind) -> float | None:
        """A number in SI with its own unit or that of the column's head; nothing is None.

        A change of mass may be nothing or less, which no mass may be.
        """
        if not text:
            return None
        if float_or_none(text) is not None:
            if not unit:
                name = field.rpartition(": ")[2]
                hint = f"or write it into the column's head, as {name} [{kind.units[0]}]"
                self.fault(field, text, kind.accepted, hint)
                return None
            text = f"{text} {unit}"
        try:
            if kind is TEMPERATURE:
                return parse(text, kind).nominal
            amount, _, own = text.partition(" ")
            value = float_or_none(amount)
            if value is not None and own:
                return value * parse(f"1 {own}", kind).nominal
            return parse(text, kind).nominal
        except UnitFault as fault:
            self.fault(field, fault.given, fault.accepted, _comma_hint(text) or fault.hint)
            return None
