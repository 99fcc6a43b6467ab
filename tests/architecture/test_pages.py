"""No page can rot: its commands run, its outputs are real, its tables are the models."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any, get_args

import click
import pytest
from pages import (
    LEFT_OUT,
    PAGES,
    README,
    ROOT,
    Step,
    Walk,
    blocks,
    missing,
    steps,
    table,
    title,
    transcripts,
    unquoted,
    walked,
)
from pydantic import BaseModel, ValidationError, create_model

from configurator.catalog.load import CATALOG_VARIABLE
from configurator.catalog.parts import PART_TYPES, Part
from configurator.cli.main import DEBUG_VARIABLE, INTERNAL, PIPE_CLOSED, STOPPED, headwright
from configurator.cli.question import question_options
from configurator.errors import CatalogError, InputError
from configurator.request import material, process
from configurator.request.load import material_files, process_files
from configurator.screen.changes_text import HEADS
from configurator.screen.header import COLUMNS, ColumnOf
from configurator.screen.hypothetical.every import DERIVATIONS
from configurator.screen.result_columns import MEASURED, PURPOSES, RESULT_COLUMNS
from configurator.units.grammar import UnitFault
from configurator.units.interval import Basis
from configurator.units.kinds import FRACTION, LENGTH, TEMPERATURE, VISCOSITY, VOLUME_FLOW
from configurator.units.quantity import read_quantity
from configurator.workshop.figures import FIGURES

TEXT = "\n".join(page.read_text(encoding="utf-8") for page in PAGES)
EXAMPLES = ROOT / "catalogs" / "examples"

FILE_TABLES: list[type[BaseModel]] = [
    material.Material,
    material.Component,
    material.Flow,
    material.FlowPoint,
    material.WarmPoint,
    material.Filler,
    material.Share,
    material.Mix,
    material.PotLife,
    process.Process,
    process.Dots,
    process.Bead,
    process.Potting,
    process.PlainFlow,
    process.Production,
    process.Carrier,
]
EACH_TABLE = pytest.mark.parametrize("model", FILE_TABLES, ids=lambda model: model.__name__)


def keys_of(model: type[BaseModel]) -> list[str]:
    return [field.alias or name for name, field in model.model_fields.items()]


def commands(kind: str) -> list[str]:
    found = []
    for block in (each for page in PAGES for each in blocks(page)):
        if block.kind == kind:
            found += [line.removeprefix("$ ") for line in block.body.splitlines()]
    return found


def test_each_of_the_two_commands_is_one_line_below_its_marker() -> None:
    marked = {b.marker: b.body for b in blocks(README) if b.marker.startswith("command: ")}

    assert set(marked) == {"command: first run", "command: tests"}
    for body in marked.values():
        assert body.count("\n") == 1
        assert body.startswith("python3 -m venv .venv && ")
        assert "--constraint constraints.txt" in body


@pytest.mark.parametrize("name", ["first run", "tests"])
def test_the_pipeline_finds_the_same_commands(name: str) -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    function = re.search(r"^command_after\(\).*?^}$", script, re.MULTILINE | re.DOTALL)
    assert function is not None
    assert f'command_after "command: {name}"' in script

    code = f'{function[0]}\ncommand_after "command: {name}"'
    printed = subprocess.run(
        ["bash", "-c", code], cwd=ROOT, capture_output=True, text=True, check=True, timeout=30
    ).stdout

    assert printed in [b.body for b in blocks(README) if b.marker == f"command: {name}"]


def test_every_file_that_an_installation_needs_is_there() -> None:
    for name in ("constraints.txt", "LICENSE", "DEVELOPERS.md", "pyproject.toml"):
        assert (ROOT / name).is_file()


POSIX = pytest.mark.skipif(sys.platform == "win32", reason="the transcripts are for a POSIX shell")


SHOWN = [
    pytest.param(page, number, id=f"{title(page)}: {command}")
    for page in PAGES
    for number, command in transcripts(page).items()
]


@POSIX
@pytest.mark.parametrize(("page", "block"), SHOWN)
def test_a_transcript_shows_what_the_program_prints(page: Path, block: int, tmp_path: Path) -> None:
    wrong = [
        f"$ {step.command}\n  shown but not printed: {line}"
        for step, printed in walked(page, block, tmp_path)
        if (line := missing(step, printed))
    ]
    assert not wrong, "\n".join([*wrong, "renew them: python tests/support/pages.py"])


def test_there_are_transcripts_to_hold() -> None:
    shown = [
        step.shown
        for page in PAGES
        for number in transcripts(page)
        for step in steps(blocks(page)[number].body)
    ]

    assert len(shown) > 15
    assert sum(map(len, shown)) > 50


def test_the_readme_stays_short_enough_to_read() -> None:
    assert len(README.read_text(encoding="utf-8").splitlines()) <= 200


def test_every_page_is_named_in_the_readme() -> None:
    text = README.read_text(encoding="utf-8")

    assert all(f"({title(page)})" in text for page in PAGES if page != README)


@POSIX
@pytest.mark.parametrize("arguments", ["examples", "builds no-such-file.toml lid-bead"])
def test_a_command_prints_the_same_in_a_process_of_its_own(arguments: str, tmp_path: Path) -> None:
    walk = Walk(tmp_path)

    assert walk.run(f"headwright {arguments}") == walk.run_in_shell(f"headwright {arguments}") != ""


def test_every_shipped_example_that_is_named_exists() -> None:
    pairs = re.findall(r"headwright builds ([a-z0-9-]+) ([a-z0-9-]+)(?= |$)", TEXT, re.MULTILINE)

    assert len(pairs) > 5
    assert {name for name, _ in pairs} <= set(material_files(EXAMPLES))
    assert {name for _, name in pairs} <= set(process_files(EXAMPLES))


def test_every_command_and_option_that_is_named_exists() -> None:
    context = click.Context(headwright)
    for line in commands("console"):
        if not line.startswith("headwright "):
            continue
        words = line.partition(" | ")[0].split()[1:]
        command: click.Command = headwright
        while isinstance(command, click.Group):
            found = command.get_command(context, words.pop(0))
            assert found is not None, line
            command = found
        options = {name for parameter in command.params for name in parameter.opts}
        assert {word for word in words if word.startswith("--")} <= options, line


@EACH_TABLE
def test_a_table_of_keys_is_the_model(model: type[BaseModel]) -> None:
    rows = table(f"fields: {model.__name__}")

    assert keys_of(model) == [unquoted(row[0]) for row in rows]
    for field, row in zip(model.model_fields.values(), rows, strict=True):
        assert ("yes" if field.is_required() else "no") == row[1], row[0]
        assert row[3]


def holds_a_model(annotation: object) -> bool:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return True
    return any(holds_a_model(part) for part in get_args(annotation))


@EACH_TABLE
def test_every_example_in_a_table_is_accepted(model: type[BaseModel]) -> None:
    rows = table(f"fields: {model.__name__}")
    for (name, field), row in zip(model.model_fields.items(), rows, strict=True):
        if row[2] == "table":
            assert holds_a_model(field.annotation), name
            continue
        alone: Any = {name: (field.annotation, field)}
        example = tomllib.loads(f"example = {unquoted(row[2])}")["example"]
        assert create_model("Alone", **alone).model_validate({field.alias or name: example})


def test_a_wrong_example_in_a_table_would_be_seen() -> None:
    alone: Any = {"density": (material.Component.model_fields["density"].annotation, ...)}

    with pytest.raises(ValidationError):
        create_model("Alone", **alone).model_validate({"density": "1.4 m"})


def quoted(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


def test_the_flow_models_are_those_of_the_code() -> None:
    rows = table("table: flow models")
    shown = {unquoted(row[0]): tuple(quoted(row[1])) for row in rows}

    assert shown == material.MODEL_KEYS
    assert material.FEWEST_POINTS == 3


def test_the_figures_are_those_of_an_answer() -> None:
    assert [figure.name for figure in FIGURES] == [
        unquoted(row[0]) for row in table("table: figures")
    ]


def test_the_slots_and_their_keys_are_those_of_the_catalog() -> None:
    common = set(Part.model_fields)
    models = {
        model.slot: [key for key in model.model_fields if key not in common] for model in PART_TYPES
    }

    assert models == {unquoted(row[0]): quoted(row[1]) for row in table("table: slots")}
    assert common == {
        *("name", "title", "note", "cost_index"),
        *("order_text", "price", "delivery", "stock"),
    }


@pytest.mark.parametrize(
    ("key", "where"),
    [
        ("trigger", material.Trigger),
        ("sensitive_to", material.Sensitivity),
        ("shape", material.Shape),
        ("control", process.Control),
        ("definition", material.PotLife.model_fields["definition"].annotation),
        ("by", material.Mix.model_fields["by"].annotation),
    ],
)
def test_the_words_that_a_key_takes_are_listed(key: str, where: object) -> None:
    row = next(line for line in TEXT.splitlines() if line.startswith(f"| `{key}` |"))

    assert set(get_args(where)) <= set(quoted(row.rpartition(" | ")[2]))


def test_the_bases_are_listed_from_strongest_to_weakest() -> None:
    paragraph = re.search(r"From strongest to weakest: (.*?)\. A value", TEXT, re.DOTALL)

    assert paragraph is not None
    assert quoted(paragraph[1]) == [basis.value for basis in Basis]


def test_quantities_that_are_said_to_be_accepted_are_and_those_refused_are_not() -> None:
    accepted = {"20 Pa*s": VISCOSITY, "18..28 degC": TEMPERATURE, "20 Pa*s +/- 15 %": VISCOSITY}
    accepted |= {"4 mm +/- 0.2 mm": LENGTH}
    for text, kind in accepted.items():
        assert f'`"{text}"`' in TEXT
        read_quantity(text, kind, Basis.DATASHEET)
    for text, kind in {"3,5 mL/min": VOLUME_FLOW, "< 5 %": FRACTION}.items():
        assert f'`"{text}"`' in TEXT
        with pytest.raises(UnitFault):
            read_quantity(text, kind, Basis.DATASHEET)


def test_the_options_of_the_question_are_those_of_every_command() -> None:
    command = click.command()(question_options()(print))
    taken = [each.opts[0] for each in command.params]

    assert [re.split(r"[` ]+", row[0])[1] for row in table("table: options")] == taken


def test_the_exit_codes_are_those_of_the_command() -> None:
    codes = {
        int(code)
        for row in re.findall(r"^\| ([0-9, ]+) \|", TEXT, re.MULTILINE)
        for code in row.split(",")
    }

    assert codes == {
        0,
        1,
        InputError.exit_code,
        CatalogError.exit_code,
        INTERNAL,
        STOPPED,
        PIPE_CLOSED,
    }
    assert f"`{DEBUG_VARIABLE}=1`" in TEXT
    assert f"`{CATALOG_VARIABLE}`" in TEXT


def anchors(page: Path) -> set[str]:
    return {
        re.sub(r"[^a-z0-9 -]", "", line.lstrip("# ").lower()).replace(" ", "-")
        for line in page.read_text(encoding="utf-8").splitlines()
        if line.startswith("#")
    }


@pytest.mark.parametrize("page", PAGES, ids=title)
def test_links_inside_the_repository_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)]+)\)", page.read_text(encoding="utf-8")):
        path, _, anchor = target.partition("#")
        linked = page.parent / path if path else page
        assert linked.exists(), target
        assert not anchor or anchor in anchors(linked), target


def test_an_output_that_was_made_up_would_be_seen() -> None:
    assert not missing(Step("", ("a", LEFT_OUT, "c")), ["a", "b", "c"])
    assert missing(Step("", ("a", "c")), ["a", "b", "c"]) == "c"
    assert missing(Step("", (LEFT_OUT, "d", LEFT_OUT)), ["a", "b", "c"]) == "d"
    assert missing(Step("", ("a",)), ["a", "b"]) == "(more output: b)"
    assert not missing(Step("", ("rank,state...",)), ["rank,state,size"])


@pytest.mark.parametrize(
    ("part", "word"),
    [
        (ColumnOf.MATERIAL, "material"),
        (ColumnOf.COMPONENT, "component"),
        (ColumnOf.MIX, "mix"),
    ],
)
def test_the_table_of_list_columns_is_the_one_that_reads(part: ColumnOf, word: str) -> None:
    rows = table(f"table: list columns, {word}")
    columns = [column for column in COLUMNS if column.part is part]
    assert [(unquoted(row[0]), unquoted(row[1])) for row in rows] == [
        (column.name, column.example) for column in columns
    ]


def test_the_table_of_result_columns_is_the_one_that_is_written() -> None:
    assert [unquoted(row[0]) for row in table("table: result columns")] == [
        column.name for column in RESULT_COLUMNS
    ]
    assert [(unquoted(row[0]), row[1]) for row in table("table: columns on request")] == [
        (column.name, column.says) for column in (*PURPOSES, *MEASURED)
    ]


def test_the_tables_of_hypothetical_parts_and_of_changes_are_those_of_the_code() -> None:
    rules = [unquoted(row[0]) for row in table("table: hypothetical parts")]
    assert rules == [derivation.name for derivation in DERIVATIONS]
    assert [unquoted(row[0]) for row in table("table: changes")] == list(HEADS)
