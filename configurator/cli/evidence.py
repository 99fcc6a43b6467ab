"""`headwright evidence`: what the shop has measured itself, in a file that only grows."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import (
    EVIDENCE_VARIABLE,
    catalog_option,
    examples_folder,
    format_option,
    open_catalog,
    open_evidence,
)
from configurator.cli.terminal import complain, put, table_width
from configurator.errors import InputError, did_you_mean, nearest, shown
from configurator.units.display import plural

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.chemistry.evidence import EvidenceRecord

file_argument = click.argument(
    "file", metavar="FILE", type=click.Path(path_type=Path), envvar=EVIDENCE_VARIABLE
)


@click.group(
    epilog="""\b
Example:
  headwright evidence import shop.jsonl results.csv"""
)
def evidence() -> None:
    """Keep the shop's own immersion results and trial findings.

    They override the shipped verdicts for their material and substance, up to the temperature
    of the test; `headwright builds --evidence FILE` uses them.
    """


@evidence.command(
    short_help="Add one finding.",
    epilog="""\b
Example:
  headwright evidence add shop.jsonl --date 2026-03-04 --material NBR \\
    --substance lid-sealant --temperature "28 degC" --time "168 h" \\
    --swelling "2.1 %"
Without --grade, the greatest of swelling and hardness change grades it.""",
)
@file_argument
@click.option("--date", required=True, help="Day of the result, as 2026-03-04.")
@click.option("--material", required=True, metavar="CODE", help="Wetted material, as NBR.")
@click.option(
    "--grade-name", metavar="PART", help="Only the part of this name; else all of that material."
)
@click.option(
    "--substance", required=True, metavar="NAME", help="Constituent, or name of the whole product."
)
@click.option("--kind", metavar="KIND", help="immersion (unless stated), trial, withdrawal.")
@click.option("--temperature", required=True, metavar="QUANTITY", help='As "28 degC".')
@click.option("--time", required=True, metavar="QUANTITY", help='As "168 h".')
@click.option("--swelling", metavar="QUANTITY", help='Volume change, as "2.1 %"; shrinking is -.')
@click.option("--hardness-change", metavar="POINTS", help="Shore A points, softening is -.")
@click.option("--grade", metavar="GRADE", help="satisfactory, limited or not satisfactory.")
@click.option("--note", metavar="TEXT", help="A remark.")
@catalog_option
def add(file: Path, folder: Path | None, **given: str | None) -> None:
    """Add one finding to FILE; one that it already holds changes nothing."""
    from configurator.chemistry.evidence import add_evidence
    from configurator.chemistry.evidence_files import record_from

    record = record_from(given)
    _tell_strangers([record], open_catalog(folder))
    put(f"{plural(add_evidence(file, [record]), 'new finding')}, graded {record.grade}\n")


@evidence.command(
    "import",
    short_help="Take over findings from another file.",
    epilog="""\b
Example:
  headwright evidence import shop.jsonl results.csv
CSV needs a head line, TOML has [[finding]] tables, both with these names:
  date, material, substance, temperature, time; and, where there are any,
  grade_name, kind, swelling, hardness_change, grade, note
Quantities carry their unit: "28 degC", "168 h", "2.1 %".""",
)
@file_argument
@click.argument("source", metavar="SOURCE", type=click.Path(path_type=Path))
@catalog_option
@click.pass_context
def import_(ctx: click.Context, file: Path, source: Path, folder: Path | None) -> None:
    """Add the findings of SOURCE (CSV, TOML or JSON lines) to FILE; twice is as good as once.

    A line that cannot be read is told and left out, with exit code 2; all others are taken.
    """
    from configurator.chemistry.evidence import Evidence, import_evidence
    from configurator.chemistry.evidence_files import read_findings

    found = read_findings(source)

    def read(_source: Path) -> Evidence:
        return found

    _tell_strangers(found.records, open_catalog(folder))
    new, faults = import_evidence(file, source, read)
    complain(*(fault.line() for fault in faults))
    known = len(found.records) - new
    put(f"{plural(new, 'new finding')}, {known} already held, {len(faults)} not readable\n")
    ctx.exit(2 if faults else 0)


@evidence.command(
    short_help="List the findings.",
    epilog="""\b
Examples:
  headwright evidence show shop.jsonl
  headwright evidence show shop.jsonl --format csv > findings.csv""",
)
@file_argument
@catalog_option
@format_option()
def show(file: Path, folder: Path | None, form: str) -> None:
    """List the findings in FILE, and the heads that trials measured.

    CSV holds the findings alone. Lines that cannot be read are told on standard error.
    """
    from configurator.report.evidence import (
        evidence_csv,
        evidence_json,
        evidence_table,
        records_table,
    )
    from configurator.workshop.head_record import load_records

    found = open_evidence(file)
    heads, faults = load_records(file)
    complain(*(fault.line() for fault in faults))
    _tell_strangers(found.records, open_catalog(folder))
    if form == "json":
        put(evidence_json(found, heads))
    elif form == "csv":
        put(evidence_csv(found))
    else:
        findings = evidence_table(found, width=table_width()) if found.records or not heads else ""
        put("\n".join(filter(None, (findings, records_table(heads, width=table_width())))))


def _tell_strangers(records: Iterable[EvidenceRecord], catalog: Catalog) -> None:
    """Say on standard error which findings speak of nothing that is known."""
    from configurator.catalog.parts import SLOTS, wetted_codes

    records = tuple(records)
    wetted = catalog.substances.wetted
    made_of = {
        (code, part.name)
        for slot in SLOTS
        for part in catalog.slot(slot)
        for _, code in wetted_codes(part)
    }
    lines: dict[str, None] = {}
    for record in records:
        code, compound = record.material, record.grade_name
        if code not in wetted:
            hint = did_you_mean(code, wetted)
            line = f"finding on '{shown(code)}': no wetted material of that code is known"
            lines[f"{line}; {hint}" if hint else line] = None
        elif compound and (code, compound) not in made_of:
            lines[
                f"finding on {code} of grade '{shown(compound)}': no part of that name is made of "
                "it, so the finding counts for none; leave the grade out if it stands for all"
            ] = None
    complain(*lines, *_strange_substances(records, catalog))


def _strange_substances(records: Iterable[EvidenceRecord], catalog: Catalog) -> list[str]:
    """A line for each substance under a name that neither tables nor shipped materials know.

    It may be the name of a material file of the shop's own; a slip of the pen looks the same,
    and would be a finding that counts for nothing.
    """
    from configurator.chemistry.share import unknown_constituent

    known = catalog.substances.by_spelling
    names = {
        folded: record.substance
        for record in records
        if (folded := " ".join(record.substance.split()).casefold()) not in known
    }
    products = _products() if names else frozenset[str]()
    lines = []
    for folded, name in names.items():
        if folded in products:
            continue
        whole = [f"{name} a", f"{name} b"] if f"{folded} a" in products else []
        same = catalog.substances.find(name)
        if same is not None:
            meant = [same.title]
        else:
            near = [*nearest(name, products, 1), *unknown_constituent(name, catalog.substances)]
            meant = whole or near[:3]
        line = (
            f"finding on substance '{shown(name)}': neither a constituent nor a shipped material of "
            "that name, so it counts for a material file of exactly that name alone"
        )
        lines.append(f"{line}; did you mean {' or '.join(meant)}?" if meant else line)
    return lines


def _products() -> frozenset[str]:
    """Names under which a whole shipped material may stand; a side by itself where it has two."""
    from configurator.reading import read_toml
    from configurator.request.load import MATERIALS, material_files

    found: set[str] = set()
    folder = examples_folder()
    for name in material_files(folder):
        try:
            tables, _ = read_toml(folder / MATERIALS / f"{name}.toml")
        except (
            InputError
        ):  # a shipped file that cannot be read is told by the command that needs it
            continue
        found |= {f"{name} a", f"{name} b"} if "mix" in tables else {name}
    return frozenset(found)
