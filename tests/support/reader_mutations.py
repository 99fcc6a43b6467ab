"""Files of every kind that a user may hand in, with something broken, and what reads them.

Whatever stands in a file, its reader gives something back or refuses it as a `HeadwrightError`.
"""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from flat_rows import EXAMPLES
from list_mutations import Mutator, check_error, outcome
from measured_cavity import MEASURED
from result_files import numbered, row, unread, written
from shipped import cheapest_first
from simulated_head import SimulatedHead, filled

from configurator.catalog.load import read_catalog
from configurator.catalog.spreadsheet import read_cells
from configurator.catalog.table import read_table
from configurator.chemistry.evidence_files import read_findings
from configurator.errors import CatalogError, HeadwrightError
from configurator.report.sheet_words import ENGLISH, load_words
from configurator.request.intake import fill_gaps
from configurator.request.load import load_material, load_process
from configurator.screen.pairs import read_pairs
from configurator.screen.results import read_results
from configurator.screen.results_file import Journal, load_journal, save_journal
from configurator.screen.run import EarlierRows
from configurator.trial.form_reader import load_weighings
from configurator.trial.head import head_of
from configurator.trial.planning import TrialAims, plan_trial
from configurator.trial.recalibration import recalibrate
from configurator.units.interval import Basis, Interval
from configurator.workshop.head_record import load_records

CATALOG = EXAMPLES.parent
LONGEST = 12_000
"""Bytes of a good file: more of the same only takes longer."""

FINDING = (
    b'{"date": "2026-05-04", "material": "EPDM", "substance": "polyether polyol", "kind": "immersion",'
    b' "temperature_c": 30.0, "hours": 168.0, "swelling_pct": 4.1}\n'
)
FINDINGS_CSV = (
    b"date,material,substance,kind,temperature,time,swelling\n"
    b"2026-05-04,EPDM,polyether polyol,immersion,30 degC,168 h,4.1 %\n"
)
FINDINGS_TOML = (
    b'[[finding]]\ndate = 2026-05-04\nmaterial = "EPDM"\nsubstance = "polyether polyol"\n'
    b'kind = "immersion"\ntemperature = "30 degC"\ntime = "168 h"\nswelling = "4.1 %"\n'
)
RUNNING = b"date,mass [g],turns\n2026-01-05,10.02,10\n2026-01-12,9.98,10\n12.02.2026,10.1,10\n"
PAIRS = b"material,process\nlid-sealant,lid-bead\nbearing-oil,pulley-drops\n"


@dataclass(frozen=True)
class Reader:
    """A kind of file."""

    good: Callable[[], tuple[tuple[str, bytes], ...]]
    """Name and content of files that are read well."""
    read: Callable[[Path], object]
    """Raises what escapes."""


def _files(folder: Path, pattern: str = "*.toml") -> Callable[[], tuple[tuple[str, bytes], ...]]:
    def good() -> tuple[tuple[str, bytes], ...]:
        return tuple((p.name, _short(p.read_bytes())) for p in sorted(folder.glob(pattern)))

    return good


def _short(data: bytes) -> bytes:
    """The first whole tables or lines."""
    if len(data) <= LONGEST:
        return data
    end = data.rfind(b"\n[[", 0, LONGEST)
    return data[: (end if end > 0 else data.rfind(b"\n", 0, LONGEST)) + 1]


def _fixed(**contents: bytes) -> Callable[[], tuple[tuple[str, bytes], ...]]:
    return lambda: tuple((name.replace("_", "."), data) for name, data in contents.items())


@cache
def _form() -> tuple[tuple[str, bytes], ...]:
    answer = cheapest_first("lid-sealant", "lid-bead", feed="pail-20-epdm")
    build = answer.builds(limit=1)[0]
    head = head_of(answer.subject, build.parts)
    plan = plan_trial(head, TrialAims(), build.findings, look=1, further=None)[0]
    return (("form.csv", filled(plan, SimulatedHead()).encode()),)


@cache
def _results() -> tuple[tuple[str, bytes], ...]:
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"results{end}" for end in (".csv", ".jsonl", ".parquet")]
        rows = numbered([row(), row(name="Oil", state="fits"), unread(name="?")])
        return tuple((path.name, written(path, rows).read_bytes()) for path in paths)


@cache
def _journal() -> tuple[tuple[str, bytes], ...]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "results.csv.journal"
        save_journal(path, Journal({"list": "aaaaaaaaaaaa", "rules": "bbbbbbbbbbbb"}))
        return ((path.name, path.read_bytes()),)


def _results_read(path: Path) -> None:
    list(read_results(path))
    with EarlierRows(path):
        pass


@cache
def _workbooks() -> tuple[tuple[str, bytes], ...]:
    from openpyxl import Workbook

    found = []
    for table in sorted((EXAMPLES / "tables").glob("*.csv")):
        book = Workbook()
        sheet = book.active
        assert sheet is not None
        for line in table.read_text("utf-8").splitlines():
            sheet.append(line.split(","))
        book.save(whole := io.BytesIO())
        found.append((f"{table.stem}.xlsx", whole.getvalue()))
    return tuple(found)


def _table_read(path: Path) -> None:
    for cells in read_cells(path).values():
        for fault in read_table(cells, path.stem, basis=Basis.DATASHEET).faults:
            assert str(fault).isprintable()


def _catalog_read(path: Path) -> None:
    """A folder with this one file: what it lacks beside it is no fault of the file."""
    _, faults = read_catalog(path.parent, substances=path.parent / "substances")
    if own := [fault for fault in faults if path.name in fault.where]:
        raise CatalogError(own)


READERS: dict[str, Reader] = {
    "material": Reader(
        _files(EXAMPLES / "materials"),
        lambda path: fill_gaps(load_material(path, folder=EXAMPLES)),
    ),
    "process": Reader(
        _files(EXAMPLES / "processes"), lambda path: load_process(path, folder=EXAMPLES)
    ),
    "parts": Reader(_files(CATALOG / "generic"), _catalog_read),
    "substances": Reader(_files(CATALOG / "substances"), _catalog_read),
    "findings": Reader(
        _fixed(findings_jsonl=FINDING * 3, findings_csv=FINDINGS_CSV, findings_toml=FINDINGS_TOML),
        read_findings,
    ),
    "head records": Reader(
        lambda: (("heads.jsonl", MEASURED.model_dump_json().encode() + b"\n"),), load_records
    ),
    "weighings": Reader(_form, load_weighings),
    "weighings of a running head": Reader(
        _fixed(running_csv=RUNNING),
        lambda path: recalibrate(path, MEASURED, density=Interval.exact(1250.0), tolerance=0.05),
    ),
    "earlier results": Reader(_results, _results_read),
    "journal": Reader(_journal, load_journal),
    "sentences of a sheet": Reader(_files(ENGLISH.parent, ENGLISH.name), load_words),
    "table of parts": Reader(_files(EXAMPLES / "tables", "*.csv"), _table_read),
    "workbook of parts": Reader(_workbooks, _table_read),
    "jobs": Reader(_fixed(jobs_csv=PAIRS), lambda path: read_pairs(path, folder=EXAMPLES, most=50)),
}


def mutated(mutator: Mutator, name: str, data: bytes) -> bytes:
    """A file changed in some places; of a workbook mostly the sheets packed inside."""
    if not name.endswith(".xlsx") or mutator.one_of((False, False, False, True)):
        return mutator.changed(data)
    packed = zipfile.ZipFile(io.BytesIO(data))
    names = packed.namelist()
    chosen = mutator.one_of([*names, *(each for each in names if "sheet1" in each)])
    with zipfile.ZipFile(whole := io.BytesIO(), "w") as anew:
        for each in names:
            inside = packed.read(each)
            anew.writestr(each, mutator.changed(inside) if each == chosen else inside)
    return whole.getvalue()


def read_one(kind: str, name: str, data: bytes) -> str:
    """Read a file; say whether it was taken or refused.

    Raises
    ------
    AssertionError
        If a refusal is no short clear line.
    """
    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) / "substances" if kind == "substances" else Path(folder)
        where.mkdir(exist_ok=True)
        path = where / name
        path.write_bytes(data)
        if kind == "substances":
            path = Path(folder) / name
        try:
            READERS[kind].read(path)
        except HeadwrightError as error:
            check_error(error)
            return "refused"
    return "read"


def next_of(mutator: Mutator, kind: str) -> tuple[str, bytes, Callable[[], str]]:
    """The next broken file: its name, its content, and what reads it."""
    if kind == "list":
        case = mutator.case()
        return f"list.{case.form or 'txt'}", case.data, lambda: outcome(case)
    name, good = mutator.one_of(READERS[kind].good())
    data = mutated(mutator, name, good)
    return name, data, lambda: read_one(kind, name, data)
