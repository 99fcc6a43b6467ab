"""The form to fill in: a CSV that carries its plan along, and its cells."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from pydantic import TypeAdapter

from configurator.errors import Fault
from configurator.trial.plan import PLAN_VERSION, Run, SideFacts, TrialPlan
from configurator.units.dimension import Kind
from configurator.units.display import show_interval
from configurator.units.interval import Interval
from configurator.units.kinds import DENSITY, TEMPERATURE
from configurator.units.quantity import UnitFault, parse

PLANNED = (
    "run",
    "block",
    "side",
    "batch",
    "speed [rpm]",
    "turns",
    "shots",
    "back pressure [bar]",
    "temperature [degC]",
    "dwell [min]",
    "at [min]",
    "level",
)
"""Columns that the plan fills."""

BLANK_COLUMNS = (
    "clock [min]",
    "read pressure [bar]",
    "read temperature [degC]",
    "mass [g]",
    "left out because",
)
"""Columns that people fill; `mass` may be in any unit that its head names."""

BESIDE = ("material", "process", "runs", "tasks")
"""What of a plan does not stand in its line of JSON, but in lines and rows of their own."""

_PLANS = TypeAdapter(TrialPlan)

_NUMBER = re.compile(r"^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$")

_COMMA = re.compile(r"\d,\d")


def form_csv(plan: TrialPlan) -> str:
    """Return the CSV to fill in.

    Lines above the table start with `#`, one figure a line: those with an empty value are to
    be filled in as well.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows((f"#{key}", value) for key, value in _facts(plan))
    writer.writerow([*PLANNED, *BLANK_COLUMNS])
    writer.writerows([*run.cells, *("" for _ in BLANK_COLUMNS)] for run in plan.runs)
    return out.getvalue()


def _facts(plan: TrialPlan) -> list[tuple[str, str]]:
    """Everything above the table; JSON in one cell for what only programs read."""
    asked = [
        (f"density batch {batch}{f' {side.name}' if side.name else ''}", "")
        for batch in sorted({run.batch for run in plan.runs})
        for side in plan.sides
    ]
    return [
        ("headwright trial", str(PLAN_VERSION)),
        ("material", plan.material),
        ("process", plan.process),
        ("date", ""),
        ("balance step", ""),
        *asked,
        *(
            (f"stated density{f' {side.name}' if side.name else ''}", _density(side.density))
            for side in plan.sides
        ),
        ("plan", plan_json(plan)),
        ("fingerprint", plan.fingerprint),
    ]


def _density(density: Interval | None) -> str:
    return "not stated" if density is None else show_interval(density, DENSITY, "g/cm^3")


def plan_json(plan: TrialPlan) -> str:
    """Return the plan without its runs as one line of JSON."""
    return json.dumps(_stated(plan), default=_stated, ensure_ascii=True)


def _stated(value: object) -> object:
    """What JSON has no word for: an interval by its ends, a plan and its sides by field."""
    match value:
        case Interval():
            return [value.low, value.nominal, value.high]
        case TrialPlan() | SideFacts():
            names = [each.name for each in fields(value) if each.name not in BESIDE]
            return {name: getattr(value, name) for name in names}
        case Mapping():
            return dict(value)
    raise TypeError(type(value).__name__)


def run_from(row: Mapping[str, str]) -> Run:
    """Read a planned row as it was made.

    Raises
    ------
    ValueError
        If a cell holds no number; says which.
    """

    def number(column: str) -> float:
        value = float_or_none(row[column])
        if value is None:
            raise ValueError(f"{column}: '{row[column][:40]}'")
        return value

    return Run(
        number=int(number("run")),
        block=row["block"],
        side=row["side"],
        batch=int(number("batch")),
        speed=number("speed") / 60.0,
        turns=number("turns"),
        shots=int(number("shots")),
        pressure=number("back pressure") * 1e5,
        temperature=number("temperature") + 273.15,
        dwell=number("dwell") * 60.0,
        minute=number("at") if row["at"] else None,
        level=row["level"],
    )


def plan_from(
    data: Mapping[str, Any], facts: Mapping[str, str], runs: tuple[Run, ...]
) -> TrialPlan:
    """Make a plan of the line that `plan_json` wrote and of its runs.

    Raises
    ------
    ValueError, KeyError, TypeError or AttributeError
        If the line was changed.
    """

    def interval(ends: Sequence[float] | None) -> Interval | None:
        return None if ends is None else Interval(*map(float, ends))

    plan = _PLANS.validate_python(
        {
            **{key: value for key, value in data.items() if key not in BESIDE},
            "material": facts.get("material", ""),
            "process": facts.get("process", ""),
            "sides": [{**side, "density": interval(side["density"])} for side in data["sides"]],
            "temperature": interval(data["temperature"]),
            "runs": runs,
        }
    )
    if not 1 <= len(plan.sides) <= 2:  # noqa: PLR2004 - one or two components
        raise ValueError("no plan")
    return plan


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
    """Reads the cells of one file and gathers their faults."""

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
