"""The shipped catalog and answers of shipped examples, worked out once: none of them changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.workshop.answer import Answer
from configurator.workshop.workshop import Workshop

EXAMPLES = shipped_folder() / "examples"

Reading = tuple[Catalog | None, tuple[Any, ...]]


@cache
def shipped_catalog() -> Catalog:
    """The catalog that people start with."""
    folder = shipped_folder()
    return load_catalog(folder / "generic", substances=folder / "substances", where="shipped")


@cache
def shipped_answer(material: str, process: str, **picks: str) -> Answer:
    """The answer for a shipped material and process, with parts picked."""
    question = Question(
        material=load_material(material, folder=EXAMPLES),
        process=load_process(process, folder=EXAMPLES),
        picks=picks,
    )
    return Workshop(shipped_catalog()).answer(question)


@cache
def cheapest_first(material: str, process: str, **picks: str) -> Answer:
    """The same with the cheapest build first: which head leads is no matter of the test."""
    answer = shipped_answer(material, process, **picks)
    return answer.with_question(replace(answer.question, sort="cost_index"))


def read_once(read: Callable[..., Reading]) -> Callable[..., Reading]:
    """Reading of a catalog that keeps what it has read of the very same bytes without a fault."""
    kept: dict[tuple[object, ...], Reading] = {}

    def again(folder: Path, *, substances: Path, where: str | None = None) -> Reading:
        places = (folder, folder / "substances", substances)
        files = [path for place in places for path in sorted(place.glob("*.toml"))]
        over_another = any(b"extends" in path.read_bytes() for path in folder.glob("*.toml"))
        if over_another or not all(path.is_file() for path in files):
            return read(folder, substances=substances, where=where)
        digests = tuple((path, sha256(path.read_bytes()).digest()) for path in files)
        key = (folder, substances, where, digests)
        if key not in kept:
            reading = read(folder, substances=substances, where=where)
            if reading[1]:
                return reading
            kept[key] = reading
        return kept[key]

    return again
