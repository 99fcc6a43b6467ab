"""`headwright new`: a file to fill in, and the JSON Schemas of the files that people write."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import GenericAlias
from typing import Any

import click

from configurator.cli.opening import examples_folder
from configurator.cli.terminal import put
from configurator.errors import Fault, InputError, UsageError, did_you_mean, shown

KINDS = ("material", "process", "catalog", "list")

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(kind: str) -> dict[str, Any]:
    """The schema of a kind of file: `material`, `process`, `catalog`, or a row of a `list`."""
    made = {"material": _request, "process": _request, "catalog": _catalog, "list": _list}
    schema = made[kind](kind)
    return {"$schema": DRAFT, **schema, "title": f"headwright: {kind}"}


def schema_text(kind: str) -> str:
    """The schema as it is shipped in `catalogs/schemas`."""
    return json.dumps(schema_of(kind), indent=1, ensure_ascii=True) + "\n"


def _request(kind: str) -> dict[str, Any]:
    from configurator.request.material import Material
    from configurator.request.process import Process

    model = Material if kind == "material" else Process
    return model.model_json_schema(by_alias=True)


def _catalog(_kind: str) -> dict[str, Any]:
    """One file of a catalog: its head, parts of any slot, and practice, which a layer states in part."""
    from pydantic import create_model

    from configurator.catalog.catalog import Practice
    from configurator.catalog.columns import MODELS
    from configurator.catalog.layers import CatalogHead

    fields: dict[str, Any] = {}
    for slot, model in MODELS.items():
        fields[slot] = (GenericAlias(tuple, (model, ...)), ())
    whole = create_model("CatalogFile", __base__=CatalogHead, practice=(Practice, None), **fields)
    schema = whole.model_json_schema(by_alias=True)
    for name in ("Practice", "ByFiller", "BoreRatio"):
        del schema["$defs"][name]["required"]
    schema["properties"]["practice"].pop("default")
    return schema


def _list(_kind: str) -> dict[str, Any]:
    from configurator.screen.header import BY_NAME

    columns = {name: {"description": column.form.value} for name, column in BY_NAME.items()}
    return {
        "description": "A row of a list in JSON Lines.",
        "type": "object",
        "properties": columns,
    }


set_option = click.option(
    "--set",
    "given",
    metavar="KEY=VALUE",
    multiple=True,
    help="A value by its place in the file, as component.density='1.2 g/cm^3'.",
)
force_option = click.option("--force", is_flag=True, help="Replace a file that is there.")
target_argument = click.argument("target", metavar="FILE", type=click.Path(path_type=Path))


@click.group(
    epilog="""\b
Example:
  headwright new material my-paste.toml --set component.density='1.2 g/cm^3'"""
)
def new() -> None:
    """Begin a material or process file, or print a schema."""


@new.command(
    epilog="""\b
Examples:
  headwright new material my-paste.toml --set trigger=moisture
  headwright new material row.toml --from customers.csv --row 12"""
)
@target_argument
@set_option
@click.option("--from", "source", metavar="LIST", help="A list of materials to take a row of.")
@click.option("--row", metavar="ROW", help="Number of the row below the header, or its name.")
@force_option
def material(
    target: Path, given: Sequence[str], source: str | None, row: str | None, *, force: bool
) -> None:
    """Write a commented material FILE: what is set, and every other key as a comment."""
    if (source is None) != (row is None):
        raise UsageError("--from and --row go together: a list, and which of its rows")
    tables = {} if source is None or row is None else _row(source, row)
    _write("material", target, tables, given, force=force)


@new.command(
    epilog="""\b
Example:
  headwright new process my-bead.toml --set deposit.kind=bead --set tolerance='5 %'"""
)
@target_argument
@set_option
@force_option
def process(target: Path, given: Sequence[str], *, force: bool) -> None:
    """Write a commented process FILE: what is set, and every other key as a comment."""
    _write("process", target, {}, given, force=force)


@new.command(
    epilog="""\b
Example:
  headwright new schema material"""
)
@click.argument("kind", type=click.Choice(KINDS))
def schema(kind: str) -> None:
    """Print the JSON Schema by which an editor completes and checks files."""
    put(schema_text(kind))


def _row(source: str, wanted: str) -> dict[str, Any]:
    """Tables of the material of one row of a list."""
    from configurator.screen.sources import open_list
    from configurator.units.toml_text import plain

    names = []
    for entry in open_list(source, folder=examples_folder()):
        name = entry.material.name if entry.material else entry.cells.get("name", "")
        names.append(name)
        if wanted in (str(entry.number), name):
            if entry.material is None:
                raise InputError([Fault(source, f"row {entry.number}", entry.fault, "a sound row")])
            tables: dict[str, Any] = plain(entry.material, entry.material.basis)
            return {key: value for key, value in tables.items() if value not in ("", False)}
    accepted = f"the number of a row, 1 to {len(names)}, or its name"
    raise InputError([Fault(source, "--row", wanted, accepted, did_you_mean(wanted, names))])


def _write(
    kind: str, target: Path, tables: dict[str, Any], given: Sequence[str], *, force: bool
) -> None:
    from configurator.report.written import write_file
    from configurator.units.cell import short_name

    values = dict(_flat(tables, ""))
    for text in given:
        key, equals, value = text.partition("=")
        if not equals or not key.strip():
            raise UsageError(f"--set: given '{shown(text)}'; accepted: KEY=VALUE")
        values[key.strip()] = _typed(value.strip())
    name = short_name(target.stem) or "own"
    values = {"schema": 1, "name": name, "title": target.stem, **values}
    body = _Template(schema_of(kind), kind, values).text()
    write_file(target, f"#:schema {_schema_place(kind)}\n{body}", force=force)
    put(f"wrote {shown(str(target))}\n")


def _typed(value: str) -> Any:
    """A value of an option as TOML has it: true, false, a list in brackets, a number, else text."""
    try:
        found = json.loads(value)
    except ValueError:
        return value
    return found if isinstance(found, (bool, int, list)) else value


def _flat(tables: Mapping[str, Any], front: str) -> Iterator[tuple[str, Any]]:
    for key, value in tables.items():
        if isinstance(value, Mapping) and "value" not in value:
            yield from _flat(value, f"{front}{key}.")
        else:
            yield front + key, value


def _schema_place(kind: str) -> str:
    from configurator.catalog.load import shipped_folder

    return (shipped_folder() / "schemas" / f"{kind}.json").as_uri()


_OF_PARTS = {
    "component": "needed of one part",
    "a": "needed of two parts",
    "b": "needed of two parts",
    "mix": "needed of two parts",
}


class _Template:
    """A file of a kind: values that are given stand, other keys are comments with what they take."""

    def __init__(self, schema: Mapping[str, Any], kind: str, values: dict[str, Any]) -> None:
        self._schema = schema
        self._kind = kind
        self._values = values
        self._used: set[str] = set()
        self._tags: dict[str, list[str]] = {}

    def text(self) -> str:
        """The whole file.

        Raises
        ------
        UsageError
            If a value is given for a key that is none.
        """
        lines = list(self._table(self._schema, ""))
        if unknown := [key for key in self._values if key not in self._used]:
            known = sorted(self._used)
            raise UsageError(
                f"--set: given '{shown(unknown[0])}'; accepted: a key of a {self._kind} file",
                did_you_mean(unknown[0], known),
            )
        return "\n".join(lines) + "\n"

    def _table(self, schema: Mapping[str, Any], front: str) -> Iterator[str]:
        from configurator.units.toml_text import toml_text

        inner, needed = [], schema.get("required", ())
        for key, field in schema.get("properties", {}).items():
            if not front and key in self._other_parts():
                continue
            path, found = f"{front}{key}", self._meant(field, f"{front}{key}")
            self._used.add(path)
            if "properties" in found and not isinstance(found.get("type"), list):
                inner.append((path, found))
            elif path in self._values:
                yield toml_text({key: self._values[path]}).rstrip("\n")
            else:
                words = ("needed: " if key in needed else "") + _words(found, self._schema)
                if tags := self._tags.get(path):
                    words = f"needed: {' or '.join(tags)}; --set {path}={tags[-1]} shows its keys"
                yield f"# {key} = {_example(found)}  # {words}"
        for path, found in inner:
            stated = any(key.startswith(f"{path}.") for key in self._values)
            yield ""
            words = _OF_PARTS.get(path, "needed" if path in needed else "")
            words = f"  # {words}" if words else ""
            yield (f"[{path}]" if stated else f"# [{path}]") + words
            yield from self._table(found, f"{path}.")

    def _other_parts(self) -> tuple[str, ...]:
        """Tables of a two-part material in a one-part one, and the other way round."""
        trigger = self._values.get("trigger")
        if self._kind != "material" or trigger is None:
            return ()
        return ("component",) if trigger == "two-part" else ("a", "b", "mix")

    def _meant(self, field: Mapping[str, Any], path: str) -> Mapping[str, Any]:
        """A field with its reference followed; of several kinds the one that `kind` names."""
        if "$ref" in field:
            return self._schema["$defs"][field["$ref"].rpartition("/")[2]]  # type: ignore[no-any-return]
        for choice in ("anyOf", "oneOf"):
            options = [self._meant(each, path) for each in field.get(choice, ())]
            wanted, named = self._values.get(f"{path}.kind"), f"{path}.kind"
            tags = [each.get("properties", {}).get("kind", {}).get("const") for each in options]
            self._tags[named] = [*filter(None, tags)]
            if wanted is not None and any(tags) and wanted not in tags:
                accepted = ", ".join(self._tags[named])
                raise UsageError(f"--set: {named}: given '{wanted}'; accepted: {accepted}")
            for tag, option in zip(tags, options, strict=True):
                if option.get("type") != "null" and wanted in (None, tag):
                    return option
        return field


def _example(schema: Mapping[str, Any]) -> str:
    words = schema.get("enum") or [schema.get("const") or (schema.get("examples") or ["..."])[0]]
    kind = schema.get("type")
    if kind == "array":
        return "[...]"
    if kind == "boolean":
        return "false"
    return json.dumps(words[0])


def _words(schema: Mapping[str, Any], whole: Mapping[str, Any]) -> str:
    """What may stand there, in words."""
    if schema.get("type") == "array":
        items = schema.get("items", {})
        inner = whole["$defs"].get(items.get("$ref", "").rpartition("/")[2], items)
        keys = ", ".join(inner.get("properties", ()))
        return f"tables with {keys}" if keys else f"a list: {_words(inner, whole)}"
    told = str(schema.get("description", "")).partition("\n")[0]
    if "enum" in schema:
        return " or ".join(map(str, schema["enum"])) + (f" ({told})" if told else "")
    return told or {"boolean": "true or false"}.get(str(schema.get("type")), "text")
