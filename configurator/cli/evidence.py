"""`headwright evidence`: what the shop has measured itself, in a file that only grows."""

from __future__ import annotations

from pathlib import Path

import click

from configurator.cli.measured import EVIDENCE_VARIABLE, open_evidence, tell_strangers
from configurator.cli.opening import catalog_option, format_option, open_catalog
from configurator.cli.terminal import complain, put, table_width

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
@click.option("--kind", metavar="KIND", help="immersion (unless stated) or trial.")
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
    tell_strangers([record], open_catalog(folder))
    put(f"{_count(add_evidence(file, [record]))}, graded {record.grade}\n")


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

    tell_strangers(found.records, open_catalog(folder))
    new, faults = import_evidence(file, source, read)
    complain(*(fault.line() for fault in faults))
    known = len(found.records) - new
    put(f"{_count(new)}, {known} already held, {len(faults)} not readable\n")
    ctx.exit(2 if faults else 0)


def _count(new: int) -> str:
    return f"{new} new finding" + ("" if new == 1 else "s")


@evidence.command(
    short_help="List the findings.",
    epilog="""\b
Examples:
  headwright evidence show shop.jsonl
  headwright evidence show shop.jsonl --format csv > findings.csv""",
)
@file_argument
@catalog_option
@format_option
def show(file: Path, folder: Path | None, form: str) -> None:
    """List the findings in FILE, and the heads that trials measured.

    CSV holds the findings alone. Lines that cannot be read are told on standard error.
    """
    from configurator.report.evidence import evidence_csv, evidence_json, evidence_table
    from configurator.report.trial_records import records_data, records_table
    from configurator.workshop.head_record import load_records

    found = open_evidence(file)
    heads, faults = load_records(file)
    complain(*(fault.line() for fault in faults))
    tell_strangers(found.records, open_catalog(folder))
    if form == "json":
        put(evidence_json(found, records_data(heads)))
    elif form == "csv":
        put(evidence_csv(found))
    else:
        findings = evidence_table(found, width=table_width()) if found.records or not heads else ""
        put("\n".join(filter(None, (findings, records_table(heads, width=table_width())))))
