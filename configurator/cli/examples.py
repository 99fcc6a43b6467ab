"""`headwright examples`: the materials and processes that come with the program."""

from __future__ import annotations

import click

from configurator.cli.opening import examples_folder, format_option
from configurator.cli.terminal import put, table_width


@click.command(
    epilog="""\b
Example:
  headwright examples"""
)
@format_option()
def examples(form: str) -> None:
    """List the shipped example materials and processes."""
    from configurator.report.examples import examples_csv, examples_json, examples_table
    from configurator.request.load import (
        load_material,
        load_process,
        material_files,
        process_files,
    )

    folder = examples_folder()
    materials = [
        load_material(folder / "materials" / f"{name}.toml", folder=folder)
        for name in material_files(folder)
    ]
    processes = [
        load_process(folder / "processes" / f"{name}.toml", folder=folder)
        for name in process_files(folder)
    ]
    if form == "json":
        put(examples_json(materials, processes))
    elif form == "csv":
        put(examples_csv(materials, processes))
    else:
        put(examples_table(materials, processes, width=table_width()))
