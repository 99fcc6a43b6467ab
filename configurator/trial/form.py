"""The form to fill in: a CSV that carries its plan along, and its cells."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
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

_AMOUNT = re.compile(r"^(?P<amount>[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?)\s*(?P<unit>[^\d\s.,].*)$")

_COMMA = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![\d.,])")


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
        ("runs", runs_json(plan.runs)),
        ("fingerprint", plan.fingerprint),
    ]


def _density(density: Interval | None) -> str:
    return "not stated" if density is None else show_interval(density, DENSITY, "g/cm^3")


def plan_json(plan: TrialPlan) -> str:
    """Return the plan without its runs as one line of JSON."""
    return json.dumps(_stated(plan), default=_stated, ensure_ascii=True)


def runs_json(runs: Sequence[Run]) -> str:
    """Return the runs as one line of JSON: every setting once, and the order of their places.

    So the plan outlives a table whose rows were deleted, added or mangled by a spreadsheet.
    """
    cells = [tuple(map(str, run.cells[1:])) for run in runs]
    settings = list(dict.fromkeys(cells))
    places = {setting: place for place, setting in enumerate(settings)}
    return json.dumps({"settings": settings, "order": [places[each] for each in cells]})


def runs_from(text: str) -> tuple[Run, ...]:
    """Read what `runs_json` wrote.

    Raises
    ------
    ValueError, KeyError, TypeError, IndexError or AttributeError
        If the line was changed.
    """
    data = json.loads(text)
    names = [column.partition(" [")[0] for column in PLANNED]
    return tuple(
        run_from(dict(zip(names, [str(number), *data["settings"][place]], strict=True)))
        for number, place in enumerate(data["order"], start=1)
    )


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
    """Return a number, or None where a text is none or one too large to be told from none.

    Examples
    --------
    >>> float_or_none("1.5"), float_or_none("1,5"), float_or_none("nan"), float_or_none("1e999")
    (1.5, None, None, None)
    """
    value = float(text) if _NUMBER.match(text) else math.inf
    return value if math.isfinite(value) else None


def with_points(text: str) -> str:
    """Return a text whose decimal commas are points.

    Examples
    --------
    >>> with_points("1,25 g/cm^3"), with_points("1.234,5"), with_points("7.1")
    ('1.25 g/cm^3', '1.234,5', '7.1')
    """
    return _COMMA.sub(r"\1.\2", text)


class Cells:
    """Reads the cells of one file and gathers their faults, a line for each kind of them."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.faults: list[Fault] = []
        self._alike: dict[str, list[str]] = {}

    def fault(self, field: str, given: str, accepted: str, hint: str = "", kind: str = "") -> None:
        """Note one fault; of those of a kind the first stands for all."""
        column = field.rpartition(": ")[2]
        alike = self._alike.setdefault(f"{column} {kind or accepted}", [])
        if not alike:
            self.faults.append(Fault(self.where, field, given, accepted, hint))
        alike.append(field)

    @property
    def fields(self) -> set[str]:
        """Every field that has a fault."""
        return {field for alike in self._alike.values() for field in alike}

    def told(self) -> list[Fault]:
        """Return a fault for each kind, with how many more are like it."""
        return [
            replace(fault, hint="; ".join(filter(None, (_more(alike), fault.hint))))
            for fault, alike in zip(self.faults, self._alike.values(), strict=True)
        ]

    def quantity(self, field: str, text: str, kind: Kind) -> Interval | None:
        """A quantity with its own unit; it must be there."""
        if not text:
            self.fault(field, "nothing", kind.accepted)
            return None
        try:
            return parse(with_points(text), kind)
        except UnitFault as fault:
            self.fault(field, fault.given, fault.accepted, fault.hint)
            return None

    def plain(self, field: str, text: str) -> float | None:
        """A plain number; nothing is None."""
        value = float_or_none(with_points(text))
        if text and value is None:
            self.fault(field, text, "a plain number in the unit of the column")
        return value

    def number(self, field: str, text: str, unit: str, kind: Kind) -> float | None:
        """A number in SI with its own unit or that of the column's head; nothing is None.

        A change of mass may be nothing or less, which no mass may be.
        """
        if not text:
            return None
        text = with_points(text)
        if _NUMBER.match(text):
            if not unit:
                name = field.rpartition(": ")[2]
                hint = f"or write it into the column's head, as {name} [{kind.units[0]}]"
                self.fault(field, text, kind.accepted, hint)
                return None
            text = f"{text} {unit}"
        try:
            if kind is TEMPERATURE:
                return parse(text, kind).nominal
            found = _AMOUNT.match(text)
            if found is not None:
                value = float(found["amount"]) * parse(f"1 {found['unit']}", kind).nominal
                if abs(value) > (math.inf if kind.maximum is None else kind.maximum):
                    parse(text.lstrip("+-"), kind)  # refuses it in the words of the kind
                return value
            return parse(text, kind).nominal
        except UnitFault as fault:
            self.fault(field, fault.given, fault.accepted, fault.hint)
            return None


def _more(alike: Sequence[str]) -> str:
    if len(alike) == 1:
        return ""
    places = [field.partition(":")[0].split(" ") for field in alike[1:]]
    listed = ", ".join(place[-1] for place in places[:6]) + (" ..." if len(places) > 6 else "")  # noqa: PLR2004
    return f"{len(places)} more like it: {places[0][0]} {listed}"
