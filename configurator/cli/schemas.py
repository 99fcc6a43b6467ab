"""JSON Schemas of the files that people write, made from the models that read them."""

from __future__ import annotations

import json
from types import GenericAlias
from typing import Any

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

    from configurator.catalog.columns import MODELS
    from configurator.catalog.layers import CatalogHead
    from configurator.catalog.practice import Practice

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
    from configurator.screen.columns import BY_NAME

    columns = {name: {"description": column.form.value} for name, column in BY_NAME.items()}
    return {
        "description": "A row of a list in JSON Lines.",
        "type": "object",
        "properties": columns,
    }
