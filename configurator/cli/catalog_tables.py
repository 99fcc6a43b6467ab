"""`headwright catalog new`, `import` and `export`: a catalog of one's own, from and to tables."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.completion import slots as slots_there
from configurator.cli.opening import catalog_option, check_slots, open_catalog
from configurator.cli.terminal import put
from configurator.errors import Fault, InputError, UsageError, did_you_mean, shown

if TYPE_CHECKING:
    from configurator.catalog.table import Imported
    from configurator.units.interval import Basis


def _writable(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or "cannot be made"
        raise InputError([Fault(str(folder), "folder", reason, "a folder to write to")]) from None


@click.command(
    epilog="""\b
Examples:
  headwright catalog new my-catalog
  headwright catalog new my-catalog --extend
  headwright catalog new my-catalog --empty"""
)
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--empty", is_flag=True, help="Commented files without parts, not a copy.")
@click.option("--extend", is_flag=True, help="One small file over the shipped one.")
def new(folder: Path, *, empty: bool, extend: bool) -> None:
    """Begin a catalog in DIR: a copy of the shipped one, a layer over it, or files to fill in."""
    from configurator.catalog.columns import MODELS
    from configurator.catalog.load import shipped_folder
    from configurator.report.written import write_file

    if empty and extend:
        raise UsageError("--empty and --extend: one of them")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        accepted = "a new folder, or an empty one"
        raise InputError([Fault(str(folder), "DIR", "something that is there", accepted)])
    shipped = shipped_folder() / "generic"
    files = {path.name: path.read_text(encoding="utf-8") for path in shipped.glob("*.toml")}
    if empty:
        kept = {"practice.toml": files["practice.toml"]}
        files = kept | {f"{slot}.toml": "".join(_template(slot)) for slot in MODELS}
    if extend:
        files = {}
    files["catalog.toml"] = _head(folder, empty=empty, extend=extend) + (_OVER if extend else "")
    _writable(folder)
    for name, text in sorted(files.items()):
        write_file(folder / name, text, force=False)
    put(
        f"{shown(str(folder))}: {len(files)} files; `headwright catalog check --catalog "
        f"{shown(str(folder))}` says what is missing or doubtful\n"
    )


_OVER = """\
basis = "datasheet"
extends = "shipped"  # or the folder of another catalog, from here

# Parts of it that you do not have, by slot:
# [withdraw]
# outlet = ["cone-3", "cone-2"]

# A block with the name of a part replaces it, one with a new name adds one:
# [[stator]]
# name = "epdm-own"
# ...

# Rules of thumb of your own; the others stay:
# [practice]
# caution_margin = "15 %"
"""


def _head(folder: Path, *, empty: bool, extend: bool) -> str:
    from configurator.catalog.parts import LONGEST_NAME
    from configurator.units.cell import short_name

    name = short_name(folder.resolve().name, LONGEST_NAME)
    over = ", over the shipped one" if extend else ", begun as a copy of the shipped one"
    title = "Own catalog" + ("" if empty else over)
    invented = "" if empty or extend else "invented = true\n"
    return (
        "# What the catalog is called in answers, and where its figures come from.\n"
        f'schema = 1\nname = "{name or "own"}"\ntitle = "{title}"\n{invented}source = ""\n'
    )


def _template(slot: str) -> Iterator[str]:
    """A file without parts that says what each key takes."""
    from configurator.catalog.columns import columns_of

    yield f"# Parts of the slot {slot}: take the # away and repeat the block, once a part.\n"
    yield "# The basis is what figures rest on that name none: datasheet, measured, published,\n"
    yield '# common practice, from memory. One of its own: { value = "5 bar", basis = "measured" }.\n'
    yield 'schema = 1\nbasis = "datasheet"\nsource = ""\n\n'
    yield f"# [[{slot}]]\n"
    for column in columns_of(slot):
        example = column.kind.example if column.kind else (column.choices or ("...",))[0]
        bare = column.yes or (column.kind is not None and column.kind.bare)
        value = "false" if column.yes else example if bare else f'"{example}"'
        value = f"[{value}]" if column.many else value
        yield f"# {column.name} = {value}  # {column.accepted}\n"


@click.command(
    "import",
    epilog="""\b
Examples:
  headwright catalog import tips.csv --slot outlet --catalog my-catalog --basis datasheet
  headwright catalog import parts.xlsx --catalog my-catalog --column 'Hub=joint'""",
)
@click.argument(
    "files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--slot",
    metavar="SLOT",
    shell_complete=slots_there,
    help="Whose parts they are; else by file or sheet name.",
)
@click.option("--sheet", metavar="NAME", help="Only this sheet of a workbook.")
@click.option(
    "--catalog",
    "folder",
    metavar="DIR",
    required=True,
    type=click.Path(path_type=Path),
    help="Catalog folder to write SLOT.toml into.",
)
@click.option(
    "--column",
    "named",
    metavar="HEADER=FIELD",
    multiple=True,
    help="What a header means; HEADER= leaves the column out. As often as you like.",
)
@click.option(
    "--basis",
    default="from memory",
    show_default=True,
    metavar="WORD",
    help="What figures rest on that state nothing: datasheet, measured, from memory, ...",
)
@click.option("--dry-run", is_flag=True, help="Say what is understood and write nothing.")
@click.option("--force", is_flag=True, help="Replace SLOT.toml where it is there.")
def import_(
    files: Sequence[Path],
    folder: Path,
    named: Sequence[str],
    basis: str,
    *,
    slot: str | None,
    sheet: str | None,
    dry_run: bool,
    force: bool,
) -> None:
    """Read tables of parts, CSV or .xlsx, into a catalog: one table a slot.

    The first row names the fields; a unit stands behind the header, as `ID [mm]`, or in the cells.
    """
    from configurator.catalog.table import understood
    from configurator.report.written import refuse_existing, write_file
    from configurator.units.interval import Basis

    words = [each.value for each in Basis]
    if basis not in words:
        raise UsageError(
            f"--basis: given '{shown(basis)}'; accepted: {', '.join(words)}",
            did_you_mean(basis, words),
        )
    check_slots("--slot", [slot] if slot is not None else ())
    tables = list(_tables(files, slot, sheet, Basis(basis), _named(named)))
    twice = {table.slot for table in tables if sum(t.slot == table.slot for t in tables) > 1}
    if twice:
        raise UsageError(
            f"two tables for {', '.join(sorted(twice))}: import one after the other "
            "into other folders, or make one table of them"
        )
    faults = [fault for table in tables for fault in table.faults]
    heads = {head for table in tables for head in table.told}
    faults += [
        Fault("--column", head, "a header of no table", ", ".join(sorted(heads)))
        for head in _named(named)
        if head not in heads
    ]
    for table in tables:
        put("".join(f"{line}\n" for line in understood(table)))
    if faults:
        raise InputError(faults)
    if dry_run:
        return
    paths = {table.slot: folder / f"{table.slot}.toml" for table in tables}
    for slot_, path in paths.items():
        refuse_existing(path, force=force or _without_parts(path, slot_))
    _writable(folder)
    for table in tables:
        path = paths[table.slot]
        write_file(path, _file_of(table), force=True)
        put(f"wrote {shown(str(path))}\n")
    put(f"`headwright catalog check --catalog {shown(str(folder))}` judges them\n")


def _without_parts(path: Path, slot: str) -> bool:
    """A file that `new --empty` made and nobody has filled may be replaced."""
    from configurator.reading import read_toml

    return path.is_file() and slot not in read_toml(path)[0]


def _named(texts: Sequence[str]) -> dict[str, str]:
    named = {}
    for text in texts:
        header, equals, field = text.rpartition("=")
        if not equals or not header.strip():
            raise UsageError(f"--column: given '{shown(text)}'; accepted: HEADER=FIELD, or HEADER=")
        named[" ".join(header.split())] = field.strip()
    return named


def _tables(
    files: Sequence[Path],
    slot: str | None,
    sheet: str | None,
    basis: Basis,
    named: dict[str, str],
) -> Iterator[Imported]:
    from configurator.catalog.parts import SLOTS
    from configurator.catalog.slot_words import slot_meant, slot_named
    from configurator.catalog.spreadsheet import read_cells
    from configurator.catalog.table import read_table

    for path in files:
        sheets = read_cells(path)
        if sheet is not None and sheet not in sheets:
            hint = did_you_mean(sheet, tuple(sheets))
            there = shown(", ".join(sheets), 300)
            raise UsageError(f"--sheet: given '{shown(sheet)}'; {path.name} has {there}", hint)
        chosen = sheets if sheet is None else {sheet: sheets[sheet]}
        slots = {title: slot_named(title, SLOTS) for title in chosen}
        if slot is not None:
            slots = dict.fromkeys(
                [title for title in slots if len(slots) == 1 or slots[title] == slot], slot
            )
        of_none = [title for title in chosen if not slots.get(title)]
        if len(of_none) == len(chosen):
            one = chosen[of_none[0]].where if len(of_none) == 1 else f"{path}, each sheet"
            more = "" if len(of_none) == 1 else f", and --sheet one of {', '.join(of_none)}"
            hint = slot_meant(slot or of_none[0].casefold().removesuffix("s"), SLOTS)
            raise UsageError(
                f"{shown(one)}: whose parts? --slot takes one of {', '.join(SLOTS)}"
                + shown(more, 300),
                hint,
            )
        for title in of_none if slot is None else ():
            put(f"{shown(chosen[title].where)}: left out, no slot has that name\n")
        for title, wanted in slots.items():
            if wanted:
                yield read_table(chosen[title], wanted, basis=basis, named=named)


def _file_of(table: Imported) -> str:
    from configurator.units.interval import Basis
    from configurator.units.path import quantities
    from configurator.units.toml_text import array_text, plain, toml_text

    counts = Counter(figure.basis for part in table.parts for _, figure in quantities(part))
    basis = counts.most_common(1)[0][0] if counts else Basis.FROM_MEMORY
    head = {"schema": 1, "basis": basis.value, "source": f"Imported from {Path(table.where).name}."}
    parts = []
    for part in table.parts:
        stated = {
            field: getattr(part, field)
            for field, info in type(part).model_fields.items()
            if getattr(part, field) != info.default
        }
        parts.append({field: plain(value, basis) for field, value in stated.items()})
    return toml_text(head) + array_text(table.slot, parts)


@click.command(
    epilog="""\b
Examples:
  headwright catalog export tables
  headwright catalog export parts.xlsx --catalog my-catalog --slot outlet"""
)
@click.argument("target", metavar="OUT", type=click.Path(path_type=Path))
@click.option(
    "--slot",
    "slots",
    metavar="SLOT",
    multiple=True,
    shell_complete=slots_there,
    help="Only this slot.",
)
@click.option("--force", is_flag=True, help="Replace files that are there.")
@catalog_option
def export(target: Path, slots: Sequence[str], folder: Path | None, *, force: bool) -> None:
    """Write the parts as tables that `import` reads back: a folder of CSV files, or a workbook.

    OUT ends with .xlsx for a workbook with a sheet a slot, which needs the extra `xlsx`.
    """
    from configurator.catalog.parts import SLOTS
    from configurator.catalog.spreadsheet import WORKBOOK, workbook
    from configurator.catalog.table import table_of
    from configurator.report.machine import csv_exact
    from configurator.report.written import refuse_existing, write_file

    check_slots("--slot", slots)
    opened = open_catalog(folder)
    tables = {slot: table_of(slot, opened.slot(slot)) for slot in slots or SLOTS}
    if target.suffix.lower() == WORKBOOK:
        write_file(target, workbook(tables), force=force)
    else:
        files = {target / f"{slot}.csv": csv_exact(*table) for slot, table in tables.items()}
        for path in files:
            refuse_existing(path, force=force)
        _writable(target)
        for path, text in files.items():
            write_file(path, text, force=force)
    count = sum(len(rows) for _, rows in tables.values())
    put(f"{shown(str(target))}: {count} parts of {len(tables)} slots\n")
