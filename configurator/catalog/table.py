"""One table a slot: rows of text to parts and back, so that a round trip loses nothing."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from configurator.catalog.columns import (
    BASIS,
    MODELS,
    Mapped,
    PartColumn,
    columns_of,
    letters_of,
    read_headers,
    titles_of,
)
from configurator.catalog.parts import LONGEST_NAME, Part
from configurator.errors import Fault, did_you_mean, shown
from configurator.units.cell import quantity, short_name
from configurator.units.display import plural
from configurator.units.grammar import UnitFault
from configurator.units.interval import Basis
from configurator.units.path import quantities, value_at
from configurator.units.quantity import Quantity
from configurator.units.validation import faults_from_validation

MOST_ROWS, MOST_COLUMNS = 5_000, 300
"""More than any workshop's parts of one slot, and than they have figures."""

_BARE = re.compile(r"[+-]?[0-9][0-9.eE+-]*(?:\s*(?:\.\.|\+/-)\s*[0-9][0-9.eE+-]*)?")
_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_APART = re.compile(r"(?<![0-9.,])[0-9]{1,3}(?:\.[0-9]{3})+(?=,[0-9])")
_DOUBTFUL = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2}(?:\.[0-9]{3})+(?![0-9.,])")
"""1.200: 1.2, or 1200 where commas are for decimals."""
_YES = {"yes": True, "y": True, "true": True, "x": True, "1": True, "ja": True}
_NO = {"no": False, "n": False, "false": False, "0": False, "nein": False}
NO_COLUMN = "no such column"

FEW_CELLS = 2
"""Cells up to which a row that lacks more than these is taken for no part."""

_FORMULA = re.compile(r"=.*|#(REF!|N/A|VALUE!|DIV/0!|NAME\?|NULL!|NUM!)")
_EMPTY = ("", "-", "--", "n/a", "none stated")


@dataclass(frozen=True)
class SheetRows:
    """A table as a file holds it."""

    where: str
    """File, and sheet of a workbook."""
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    """Number in the file, and its cells; rows without text are left out."""
    decimal_comma: bool = False
    """True where commas cannot separate cells, so that one between digits is a decimal comma."""


@dataclass(frozen=True)
class Imported:
    """What a table was understood to say."""

    slot: str
    where: str
    parts: tuple[Part, ...]
    headers: tuple[Mapped, ...]
    told: frozenset[str]
    """Every header."""
    left_out: tuple[str, ...]
    """Headers that somebody left out."""
    absent: tuple[str, ...]
    """Fields that no column states."""
    faults: tuple[Fault, ...]


def read_table(
    cells: SheetRows, slot: str, *, basis: Basis, named: Mapping[str, str] | None = None
) -> Imported:
    """Read a table of the parts of one slot; every fault of every row is told.

    Parameters
    ----------
    cells : SheetRows
        Headers first.
    slot : str
        Whose parts the rows are.
    basis : Basis
        Of figures that state none.
    named : Mapping[str, str], optional
        Field by header, where the header does not say it; an empty field leaves the column out.
    """
    wide = max((len(row) for _, row in cells.rows), default=0)
    if not 0 < wide <= MOST_COLUMNS:
        given = f"{wide} columns" if wide else "nothing in it"
        accepted = f"a row of at most {MOST_COLUMNS} headers, then a row a part"
        fault = Fault(cells.where, "file", given, accepted)
        return Imported(slot, cells.where, (), (), frozenset(), (), (), (fault,))
    titles = titles_of(cells.rows, slot)
    (number, heads), *rows = cells.rows[len(titles) :]
    commas = {
        place
        for _, row in rows
        for place, cell in enumerate(row)
        if cells.decimal_comma and _COMMA.search(cell)
    }
    where = f"{cells.where}, row {number}"
    mapped, faults = read_headers(slot, heads, where=where, named=named or {})
    told = {" ".join(head.split()) for head in heads}
    parts: list[Part] = []
    if not any(mapped):
        faults, rows = [_no_headers(cells, slot)], []
    elif not rows:
        faults.append(Fault(cells.where, "file", "headers and no row", "a row a part"))
    if len(rows) > MOST_ROWS:
        faults.append(Fault(cells.where, "file", f"{len(rows)} rows", f"at most {MOST_ROWS}"))
    else:
        rows_of: dict[str, int] = {}
        for number, row in rows:
            part, wrong = _read_row(
                cells,
                f"{cells.where}, row {number}",
                row,
                slot=slot,
                mapped=mapped,
                basis=basis,
                commas=commas,
            )
            faults += wrong
            if part is not None and part.name in rows_of:
                given = f"{part.name}, as in row {rows_of[part.name]}"
                place = f"{cells.where}, row {number}"
                faults.append(Fault(place, "name", given, "each name once a slot"))
            elif part is not None:
                rows_of[part.name] = number
                parts.append(part)
    known = {each.column.name for each in mapped if each and each.column}
    absent = tuple(each.name for each in columns_of(slot) if each.name not in known)
    return Imported(
        slot,
        cells.where,
        tuple(parts),
        tuple(each for each in mapped if each),
        frozenset(told),
        (*titles, *(head for head, given in (named or {}).items() if head in told and not given)),
        absent,
        tuple(_once(faults, where)),
    )


def _no_headers(cells: SheetRows, slot: str) -> Fault:
    """A first row that says nothing, as a title: the first one that does, if any."""
    number, _ = cells.rows[0]
    found = (
        row for row in cells.rows[1:] if any(read_headers(slot, row[1], where="", named={})[0])
    )
    first = next(found, None)
    hint = "" if first is None else f"take away what stands above row {first[0]}"
    accepted = f"headers that name fields of the slot {slot}"
    return Fault(f"{cells.where}, row {number}", "row", "no header that is known", accepted, hint)


def _once(faults: Iterable[Fault], heads: str) -> Iterator[Fault]:
    """Faults; a column that is not there is told once, and not in each row."""
    gone: set[str] = set()
    for fault in faults:
        if fault.given != NO_COLUMN:
            yield fault
        elif fault.field not in gone:
            gone.add(fault.field)
            yield replace(fault, where=heads)


def _read_row(
    cells: SheetRows,
    where: str,
    row: Sequence[str],
    *,
    slot: str,
    mapped: Sequence[Mapped | None],
    basis: Basis,
    commas: Container[int],
) -> tuple[Part | None, list[Fault]]:
    tables: dict[str, Any] = {}
    faults: list[Fault] = []
    headers: dict[str, str] = {}
    heads = {each.column.name: each.header for each in mapped if each and each.column}
    if any(cell.strip() for cell in row[len(mapped) :]):
        given = "a cell behind the last header"
        faults.append(Fault(where, "row", given, "a header above each cell, or a comma in quotes"))
    for place, (each, cell) in enumerate(zip(mapped, row, strict=False)):
        if each is None or cell.strip().casefold() in _EMPTY:
            continue
        if each.column is None:
            basis, wrong = _basis(where, each.header, cell.strip(), basis)
            faults += wrong
            continue
        headers[each.column.name] = each.header
        try:
            if place in commas and each.column.kind and (doubt := _DOUBTFUL.search(cell)):
                plain, point = doubt[0].replace(".", ""), "1.5 as 1,5"
                raise UnitFault(  # noqa: TRY301 - told as any other cell
                    cell, each.column.accepted, f"write {plain} if that is meant, {point} else"
                )
            value = _value(each, cell, decimal_comma=cells.decimal_comma)
        except UnitFault as fault:
            faults.append(Fault(where, each.header, fault.given, fault.accepted, fault.hint))
            continue
        *path, last = each.column.name.split(".")
        table = tables
        for step in path:
            table = table.setdefault(step, {})
        table[last] = value
    try:
        part = MODELS[slot].model_validate(tables, context={"basis": basis})
    except ValidationError as error:
        found = faults_from_validation(error, where, model=MODELS[slot])
        if len(headers) <= FEW_CELLS < len(found) and not faults:
            given = f"hardly more than '{' '.join(cell for cell in row if cell.strip())}'"
            return None, [Fault(where, "row", given, "a part; sums and remarks left out")]
        told = {fault.field for fault in faults}
        columns = {each.name: each for each in columns_of(slot)}
        named = [_named(fault, headers, heads, columns) for fault in found]
        return None, [*faults, *(each for each in named if each.field not in told)]
    return (None if faults else part), faults


def _basis(where: str, header: str, word: str, basis: Basis) -> tuple[Basis, list[Fault]]:
    words = [each.value for each in Basis]
    if word in words:
        return Basis(word), []
    return basis, [Fault(where, header, word, ", ".join(words), did_you_mean(word, words))]


def _value(mapped: Mapped, cell: str, *, decimal_comma: bool) -> Any:
    """What a catalog file would hold in place of a cell."""
    column, text = mapped.column, " ".join(cell.split())
    assert column is not None
    if (column.kind or column.yes or column.choices) and _FORMULA.fullmatch(text):
        raise UnitFault(text, column.accepted, "write the value, not a formula or its error")
    if column.kind is not None:
        said = quantity(text)
        value = said if isinstance(said, str) else said["value"]
        if decimal_comma:
            value = _APART.sub(lambda found: found[0].replace(".", ""), value)
            value = _COMMA.sub(".", value)
        if mapped.unit and _BARE.fullmatch(value):
            value = f"{value} {mapped.unit}"
        return value if isinstance(said, str) else {**said, "value": value}
    if column.yes:
        answers = {**_YES, **_NO}
        if text.casefold() not in answers:
            raise UnitFault(text, "yes or no")
        return answers[text.casefold()]
    if column.many:
        entries = [entry.strip() for entry in re.split(r"[,;]", text)]
        return [_word(entry, column.choices) for entry in entries if entry]
    return _word(text, column.choices) if column.choices else cell


def _word(text: str, choices: Sequence[str]) -> str:
    """A word as the field has it, whatever its capitals, blanks and hyphens."""
    return {letters_of(choice): choice for choice in choices}.get(letters_of(text), text)


def _named(
    fault: Fault,
    headers: Mapping[str, str],
    heads: Mapping[str, str],
    columns: Mapping[str, PartColumn],
) -> Fault:
    """A fault of a field as one of the column that holds it, with what a table can do about it."""
    field = re.sub(r"\[\d+\]", "", fault.field)
    header = headers.get(field)
    if header is None and field in heads:
        return replace(fault, field=heads[field], given="an empty cell", hint="")
    if header is None:
        return replace(fault, field=field, given=NO_COLUMN, hint=f"a column '{field}'")
    hint = fault.hint
    kind = columns[field].kind if field in columns else None
    if field == "name":
        name = short_name(fault.given, LONGEST_NAME)
        hint = f"write {name}" if name else hint
        accepted = f"lower-case letters, digits and . + -, at most {LONGEST_NAME}"
        fault = replace(fault, accepted=accepted)
    elif kind is not None and not kind.bare and _BARE.fullmatch(fault.given):
        hint = f"a unit in the cell, or in the header: '{header} [{kind.units[0]}]'"
    return replace(fault, field=header, hint=hint)


def table_of(slot: str, parts: Iterable[Part]) -> tuple[list[str], list[list[str]]]:
    """Return the headers and rows that `read_table` reads back as the same parts."""
    given = list(parts)
    stated = [column for column in columns_of(slot) if any(_stated(p, column) for p in given)]
    rows = []
    for part in given:
        counts = Counter(figure.basis for _, figure in quantities(part))
        basis = counts.most_common(1)[0][0]
        rows.append([*(_cell(part, column, basis) for column in stated), basis.value])
    return [*(column.name for column in stated), BASIS], rows


def _stated(part: Part, column: PartColumn) -> bool:
    return value_at(part, column.name) not in (None, "", ())


def _cell(part: Part, column: PartColumn, basis: Basis) -> str:
    value = value_at(part, column.name)
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case tuple():
            return ", ".join(value)
        case Quantity():
            return value.text + "".join(_remark(value, basis))
        case _:
            return str(value)


def _remark(value: Quantity, basis: Basis) -> Iterator[str]:
    said = [] if value.basis is basis else [value.basis.value]
    said += [f"note: {value.note}"] if value.note else []
    if said:
        yield f" ({', '.join(said)})"


def understood(table: Imported) -> Iterator[str]:
    """Say in lines what a table was taken for."""
    yield f"{table.where}: {plural(len(table.parts), 'part')} for {table.slot}"
    renamed = [
        each
        for each in table.headers
        if each.unit or each.header != (BASIS if each.column is None else each.column.name)
    ]
    yield from (f"  {shown(each.in_words())}" for each in renamed)
    if table.left_out:
        yield f"  left out: {shown(', '.join(table.left_out), 300)}"
    if table.absent:
        yield f"  no column for {', '.join(table.absent)}"
