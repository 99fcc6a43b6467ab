"""What `catalog check` finds of errors planted into the shipped catalog, each alone.

python -m benchmarks.planted_errors     some seconds; writes RESULTS.md beside this file
"""

import dataclasses
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import tomli
from pydantic import BaseModel, ValidationError

from configurator.catalog.audit import audit
from configurator.catalog.catalog import Catalog, Practice, Substances
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.catalog.parts import PART_TYPES
from configurator.catalog.substances import Constituent, VerdictGroup, WettedMaterial
from configurator.units.interval import Basis

HERE = Path(__file__).parent
HALVES = ("before_the_checks", "after_the_checks", "later_hand")
MODELS: dict[str, type[BaseModel]] = {kind.slot: kind for kind in PART_TYPES}
PLACES = {"wetted": "wetted material", "substance": "constituent", "verdict": "verdicts on"}
"""How the audit calls a record of the chemistry."""
INVENTED = {"basis": Basis.INVENTED}


@dataclass(frozen=True)
class Planted:
    """One error: whose, what was changed, and what the audit said of it."""

    half: str
    where: str
    change: str
    note: str | None
    """The first new note on that part; None if the error was missed."""
    checks: frozenset[str] = frozenset()
    """Every check that had anything new to say."""

    @property
    def slot(self) -> str:
        """Slot, practice or kind of record of the chemistry."""
        return self.where.partition(" ")[0]


@cache
def shipped() -> Catalog:
    """The catalog that errors are planted into."""
    return load_catalog(shipped_folder() / "generic", substances=shipped_folder() / "substances")


def planted(rows: Iterable[tuple[str, str, str]]) -> Iterator[Planted]:
    """Errors, judged: half, where and change of each."""
    known = set(audit(shipped()))
    for half, where, change in rows:
        try:
            catalog = with_error(where, change)
        except ValidationError as error:
            yield Planted(half, where, change, f"not read: {error.errors()[0]['msg']}")
            continue
        name = where.partition(" ")[2] or where
        kind, _, _ = where.partition(" ")
        place = f"{PLACES[kind]} {name}" if kind in PLACES else where
        new = [note for note in audit(catalog) if note not in known]
        own = [note.line() for note in new if note.where == place]
        own += [note.line() for note in new if name in note.text]
        checks = frozenset(note.check for note in new)
        yield Planted(half, where, change, own[0] if own else None, checks)


def stated() -> list[tuple[str, str, str]]:
    """Every error of every file."""
    rows = []
    for half in HALVES:
        tables = tomli.loads((HERE / f"{half}.toml").read_text(encoding="utf-8"))
        rows += [(half, where, each) for where, changes in tables.items() for each in changes]
    return rows


def with_error(where: str, change: str) -> Catalog:
    """The shipped catalog with one record changed."""
    changes = tomli.loads(f"x = {{ {change} }}")["x"]
    catalog = shipped()
    slot, _, name = where.partition(" ")
    if slot == "practice":
        practice = _changed(catalog.practice, Practice, changes)
        return dataclasses.replace(catalog, practice=practice)
    if slot in PLACES:
        return dataclasses.replace(catalog, substances=_chemistry(slot, name, changes))
    part = _changed(catalog.part(slot, name), MODELS[slot], changes)
    parts = tuple(part if old.name == name else old for old in catalog.slot(slot))
    return dataclasses.replace(catalog, parts={**catalog.parts, slot: parts})


def _chemistry(kind: str, name: str, changes: dict[str, Any]) -> Substances:
    """The shipped chemistry with one record changed."""
    chemistry = shipped().substances
    if kind == "verdict":
        groups = list(chemistry.verdicts)
        first = next(at for at, group in enumerate(groups) if group.constituent == name)
        groups[first] = _changed(groups[first], VerdictGroup, changes)
        return dataclasses.replace(chemistry, verdicts=tuple(groups))
    if kind == "wetted":
        wetted = _changed(chemistry.wetted[name], WettedMaterial, changes)
        return dataclasses.replace(chemistry, wetted={**chemistry.wetted, name: wetted})
    record = _changed(chemistry.constituents[name], Constituent, changes)
    return dataclasses.replace(chemistry, constituents={**chemistry.constituents, name: record})


def _changed(record: Any, model: type[BaseModel], changes: dict[str, Any]) -> Any:
    """A record as its file would read after the slip; what is not changed stays as it was read."""
    stated = {field: getattr(record, field) for field in type(record).model_fields}
    for field, value in changes.items():
        if field == "without":
            stated[value] = None
        elif isinstance(value, dict):
            inner = stated[field]
            stated[field] = _changed(inner, type(inner), value)
        else:
            stated[field] = value
    return model.model_validate(stated, context=INVENTED)


def table(errors: list[Planted]) -> str:
    """The results as Markdown: shares, then each error with what was said."""
    lines = ["| Slot | " + " | ".join(half.replace("_", " ") for half in HALVES) + " |"]
    lines.append("| --- |" + " ---: |" * len(HALVES))
    slots = list(dict.fromkeys(error.slot for error in errors))
    for slot in [*slots, ""]:
        cells = []
        for half in HALVES:
            rows = [each for each in errors if each.half == half and slot in ("", each.slot)]
            cells.append(f"{sum(each.note is not None for each in rows)} of {len(rows)}")
        lines.append(f"| {slot or '**all**'} | {' | '.join(cells)} |")
    lines += ["", "| Planted | Said |", "| --- | --- |"]
    for each in errors:
        said = "**missed**" if each.note is None else each.note
        lines.append(f"| {each.where}: `{each.change}` | {said.replace('|', '/')} |")
    return "\n".join(lines)


def main() -> None:
    errors = list(planted(stated()))
    text = (HERE / "RESULTS.md").read_text(encoding="utf-8")
    head = text.partition("| Slot |")[0]
    (HERE / "RESULTS.md").write_text(head + table(errors) + "\n", encoding="utf-8")
    for half in HALVES:
        rows = [each for each in errors if each.half == half]
        missed = [each for each in rows if each.note is None]
        sys.stdout.write(f"{half}: {len(rows) - len(missed)} of {len(rows)}\n")
        sys.stdout.writelines(f"  missed {each.where}: {each.change}\n" for each in missed)


if __name__ == "__main__":
    main()
