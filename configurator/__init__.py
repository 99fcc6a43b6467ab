"""Lists every valid build of a progressing-cavity metering head for a material and a process.

The public names are imported when they are first asked for, so that `import configurator`
costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from configurator.catalog.catalog import Catalog
    from configurator.catalog.load import load_catalog
    from configurator.errors import CatalogError, HeadwrightError, InputError, UsageError
    from configurator.request.load import load_material, load_process
    from configurator.request.material import Material
    from configurator.request.process import Process
    from configurator.request.question import Question
    from configurator.request.question import Question as Request
    from configurator.rules.finding import Finding, State
    from configurator.workshop.answer import Answer
    from configurator.workshop.told import Choice, RankedBuild
    from configurator.workshop.workshop import Workshop, configure

_HOMES = {
    "Answer": "workshop.answer",
    "Catalog": "catalog.catalog",
    "CatalogError": "errors",
    "Choice": "workshop.told",
    "Finding": "rules.finding",
    "HeadwrightError": "errors",
    "InputError": "errors",
    "Material": "request.material",
    "Process": "request.process",
    "Question": "request.question",
    "RankedBuild": "workshop.told",
    "Request": "request.question:Question",
    "State": "rules.finding",
    "UsageError": "errors",
    "Workshop": "workshop.workshop",
    "configure": "workshop.workshop",
    "load_catalog": "catalog.load",
    "load_material": "request.load",
    "load_process": "request.load",
}

__all__ = [
    "Answer",
    "Catalog",
    "CatalogError",
    "Choice",
    "Finding",
    "HeadwrightError",
    "InputError",
    "Material",
    "Process",
    "Question",
    "RankedBuild",
    "Request",
    "State",
    "UsageError",
    "Workshop",
    "configure",
    "load_catalog",
    "load_material",
    "load_process",
]


def __getattr__(name: str) -> Any:
    """Import the module that holds a public name, at its first use."""
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    module, _, earlier = home.partition(":")
    value = getattr(import_module(f"configurator.{module}"), earlier or name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """Public names, also those that were not asked for yet."""
    return sorted({*globals(), *__all__})
