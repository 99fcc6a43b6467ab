"""What a shell offers behind a half-typed word: examples, slots, parts, figures. Faults offer nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click
from click.shell_completion import CompletionItem

from configurator.errors import HeadwrightError
from configurator.request.orders import ORDERS

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog

Offer = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]


def _items(names: Iterable[str], typed: str) -> list[CompletionItem]:
    return [CompletionItem(name) for name in names if name.startswith(typed)]


def _catalog(ctx: click.Context) -> Catalog:
    from configurator.cli.opening import open_catalog

    folder = ctx.params.get("folder")
    return open_catalog(folder if isinstance(folder, Path) else None)


def pairs(ctx: click.Context, _parameter: click.Parameter, typed: str) -> list[CompletionItem]:
    """Offer `slot=`, then the parts of the slot."""
    from configurator.catalog.parts import SIDE_SLOTS, SLOTS

    slot, equals, _ = typed.partition("=")
    if not equals:
        sides = [f"{side}.{each}=" for side in "ab" for each in SIDE_SLOTS]
        return _items([*(f"{each}=" for each in SLOTS), *(sides if "." in typed else ())], typed)
    try:
        catalog = _catalog(ctx)
    except HeadwrightError:
        return []
    if slot.rpartition(".")[2] not in SLOTS:
        return []
    return _items((f"{slot}={part.name}" for part in catalog.slot(slot)), typed)


def slots(_ctx: click.Context, _parameter: click.Parameter, typed: str) -> list[CompletionItem]:
    """Offer the slots."""
    from configurator.catalog.parts import SLOTS

    return _items(SLOTS, typed)


def figures(_ctx: click.Context, _parameter: click.Parameter, typed: str) -> list[CompletionItem]:
    """Offer the figures that builds are ordered by, each behind those typed before a comma."""
    before, comma, _ = typed.rpartition(",")
    given = before.split(",")
    return _items((f"{before}{comma}{name}" for name in ORDERS if name not in given), typed)


def examples(kind: str) -> Offer:
    """Offer the shipped examples of a kind, `materials` or `processes`, and files."""

    def offer(_ctx: click.Context, _parameter: click.Parameter, typed: str) -> list[CompletionItem]:
        from configurator.cli.opening import examples_folder

        names = sorted(path.stem for path in (examples_folder() / kind).glob("*.toml"))
        return [*_items(names, typed), CompletionItem(typed, type="file")]

    return offer
