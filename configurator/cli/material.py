"""`headwright material`: what is known of a material, and what its gaps cost."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.measured import evidence_option, open_workshop
from configurator.cli.opening import catalog_option, examples_folder
from configurator.cli.terminal import put, table_width, watched

if TYPE_CHECKING:
    from configurator.explain.gap_cost import Progress
    from configurator.report.material import Asked
    from configurator.request.material import Material
    from configurator.request.process import Process
    from configurator.workshop.workshop import Workshop


@click.group(
    epilog="""\b
Example:
  headwright material check float-putty --process trim-fill"""
)
def material() -> None:
    """Look at a material before anything is configured."""


@material.command(
    short_help="Say what is known, estimated and missing, and what that costs.",
    epilog="""\b
Examples:
  headwright material check float-putty --process trim-fill
  headwright material check my-paste.toml --evidence shop.jsonl --format json""",
)
@click.argument("name", metavar="MATERIAL")
@click.option(
    "--process",
    "names",
    metavar="PROCESS",
    multiple=True,
    help="Count what each gap costs in builds for it; as often as you like.",
)
@catalog_option
@evidence_option
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="How to print the data.",
)
def check(
    name: str, names: tuple[str, ...], folder: Path | None, findings: Path | None, form: str
) -> None:
    """Say what MATERIAL's file states, what had to be estimated, and what is missing.

    Then every wetted material of the catalog with its verdict, and for each gap the builds
    there would be with the datum settled at its good and at its bad end. MATERIAL and PROCESS
    are files, or names of shipped examples.
    """
    from configurator.explain.material_check import check_material
    from configurator.report.material import material_json, material_table
    from configurator.request.load import load_material, load_process

    examples = examples_folder()
    found = load_material(name, folder=examples)
    chosen = [(load_process(each, folder=examples), "") for each in names]
    if not chosen:
        chosen = list(_obvious(name, found))
    workshop = open_workshop(folder, findings)
    catalog, evidence = workshop.catalog, workshop.evidence
    asked = [_asked(found, process, why, workshop) for process, why in chosen]
    whole = asked[0].check if asked else check_material(found, catalog, evidence=evidence)
    if form == "json":
        put(material_json(whole, catalog, asked))
    else:
        put(material_table(whole, catalog, asked, width=table_width()))


def _obvious(name: str, found: Material) -> Iterator[tuple[Process, str]]:
    """The process that a shipped example is meant for, where one can tell."""
    from configurator.explain.partner import partner_of
    from configurator.request.load import load_process, material_files, process_files

    examples = examples_folder()
    if name != found.name or name not in material_files(examples):
        return
    processes = [
        load_process(examples / "processes" / f"{each}.toml", folder=examples)
        for each in process_files(examples)
    ]
    process = partner_of(found.name, processes)
    if process is not None:
        yield process, "taken as its shipped partner, --process chooses another"


def _asked(
    found: Material,
    process: Process,
    why: str,
    workshop: Workshop,
) -> Asked:
    from configurator.explain.gap_cost import gap_costs
    from configurator.explain.material_check import check_material
    from configurator.report.material import Asked
    from configurator.request.question import Question

    answer = workshop.answer(Question(found, process))
    with _progress() as progress:
        costs = gap_costs(answer, progress=progress)
    temperature = answer.subject.duty.temperature.high
    looked = check_material(
        found, workshop.catalog, temperature=temperature, evidence=workshop.evidence
    )
    return Asked(process, why, looked, costs)


@contextlib.contextmanager
def _progress() -> Iterator[Progress | None]:
    """A line on the terminal that counts up and then goes; nothing where there is no terminal."""
    if not watched():
        yield None
        return

    def told(done: int, solves: int) -> None:
        sys.stderr.write(f"\rsolving again, {done} of {solves}")
        sys.stderr.flush()

    try:
        yield told
    finally:
        sys.stderr.write("\r\x1b[K")
        sys.stderr.flush()
