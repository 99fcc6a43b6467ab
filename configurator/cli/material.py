"""`headwright material`: what is known of a material, and what its gaps cost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from configurator.cli.completion import examples
from configurator.cli.opening import examples_folder, format_option, shipped_processes
from configurator.cli.question import QuestionOptions, question_options
from configurator.cli.terminal import ProgressLine, put, table_width

if TYPE_CHECKING:
    from configurator.report.material import Asked
    from configurator.request.material import Material
    from configurator.request.process import Process

LISTS_NONE = "no builds are listed here, only counted"


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
@click.argument("name", metavar="MATERIAL", shell_complete=examples("materials"))
@click.option(
    "--process",
    "names",
    metavar="PROCESS",
    shell_complete=examples("processes"),
    multiple=True,
    help="Count what each gap costs in builds for it; as often as you like.",
)
@question_options(sort=LISTS_NONE, strict=LISTS_NONE)
@format_option("table", "json")
def check(*, asked: QuestionOptions, name: str, names: tuple[str, ...], form: str) -> None:
    """Say what MATERIAL's file states, what had to be estimated, and what is missing.

    Then every wetted material of the catalog with its verdict, and for each gap the builds
    there would be with the datum settled at its good and at its bad end. MATERIAL and PROCESS
    are files, or names of shipped examples.
    """
    from configurator.explain.material_check import check_material
    from configurator.report.material import material_json, material_table
    from configurator.request.load import load_material, load_process

    folder = examples_folder()
    found = load_material(name, folder=folder)
    chosen = [(load_process(each, folder=folder), "") for each in names]
    if not chosen:
        chosen = list(_obvious(name, found))
    catalog, evidence = asked.workshop.catalog, asked.workshop.evidence
    for_each = [_for_process(asked, found, process, why) for process, why in chosen]
    whole = for_each[0].check if for_each else check_material(found, catalog, evidence=evidence)
    if form == "json":
        put(material_json(whole, catalog, for_each))
    else:
        put(material_table(whole, catalog, for_each, width=table_width()))


def _obvious(name: str, found: Material) -> Iterator[tuple[Process, str]]:
    """The process that a shipped example is meant for, where one can tell."""
    from configurator.explain.material_check import partner_of
    from configurator.request.load import material_files

    if name != found.name or name not in material_files(examples_folder()):
        return
    process = partner_of(found.name, shipped_processes())
    if process is not None:
        yield process, "taken as its shipped partner, --process chooses another"


def _for_process(asked: QuestionOptions, found: Material, process: Process, why: str) -> Asked:
    from configurator.explain.gap_cost import gap_costs
    from configurator.explain.material_check import check_material
    from configurator.report.material import Asked

    workshop = asked.workshop
    answer = workshop.answer(asked.question(found, process))
    with ProgressLine() as line:
        costs = gap_costs(answer, progress=lambda done, of: line(f"solving again, {done} of {of}"))
    temperature = answer.subject.duty.temperature.high
    looked = check_material(
        found, workshop.catalog, temperature=temperature, evidence=workshop.evidence
    )
    return Asked(process, why, looked, costs)
