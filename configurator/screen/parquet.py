"""Parquet: written from JSON Lines when all rows are there, and read back; wants pyarrow."""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator, Mapping
from itertools import islice
from pathlib import Path
from types import ModuleType
from typing import Any

from configurator.errors import Fault, InputError, UsageError

ROWS_A_GROUP = 2_000
"""Rows that are in memory at once."""

COUNT_DIGITS = 38
"""Builds of a large catalog do not fit into 64 bits: counts are decimals without a fraction."""

COUNTS = ("builds", "fits", "marginal", "unproven")


def pyarrow() -> ModuleType:
    """Import pyarrow, or say how to get it.

    Raises
    ------
    UsageError
        If it is not installed.
    """
    try:
        import pyarrow as pa
        import pyarrow.parquet
    except ImportError:
        raise UsageError(
            "Parquet wants pyarrow", "pip install 'headwright[parquet]', or write CSV or JSON Lines"
        ) from None
    module: ModuleType = pa
    return module


def _schema(arrow: ModuleType, kinds: Mapping[str, type]) -> Any:
    types: dict[type, Any] = {
        int: arrow.int64(),
        float: arrow.float64(),
        str: arrow.string(),
    }
    count = arrow.decimal128(COUNT_DIGITS, 0)
    return arrow.schema(
        [(head, count if head in COUNTS else types[kind]) for head, kind in kinds.items()]
    )


def write_parquet(lines: Path, out: Path, kinds: Mapping[str, type]) -> None:
    """Make a Parquet file of JSON Lines, whole or not at all; their keys with what each holds.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    arrow = pyarrow()
    schema = _schema(arrow, kinds)
    beside = out.with_name(f".{out.name}.new")
    try:
        with lines.open("rb") as source, beside.open("wb") as file:
            with arrow.parquet.ParquetWriter(file, schema) as writer:
                while group := [json.loads(line) for line in islice(source, ROWS_A_GROUP)]:
                    columns = [
                        arrow.array([_held(row[field.name]) for row in group], type=field.type)
                        for field in schema
                    ]
                    writer.write_table(arrow.Table.from_arrays(columns, schema=schema))
            file.flush()
            os.fsync(file.fileno())
        beside.replace(out)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise


def _held(value: Any) -> Any:
    """Text that no encoding holds, such as half a surrogate pair, is written as its escape."""
    return value.encode("utf-8", "backslashreplace").decode() if isinstance(value, str) else value


def parquet_rows(path: Path) -> Iterator[dict[str, Any]]:
    """Yield the rows of a Parquet file, by column.

    Raises
    ------
    InputError
        If it is no Parquet file.
    """
    arrow = pyarrow()
    try:
        with arrow.parquet.ParquetFile(path) as file:
            for batch in file.iter_batches():
                yield from batch.to_pylist()
    except (OSError, arrow.ArrowException) as error:
        first = (str(error).splitlines() or ["unreadable"])[0]
        raise InputError([Fault(str(path), "file", first, "a Parquet file of results")]) from None
