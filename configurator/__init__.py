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
    from configurator.request.request import Request
    from configurator.rules.finding import Finding, State
    from configurator.workshop.answer import Answer
    from configurator.workshop.configure import configure
    from configurator.workshop.told import Choice, RankedBuild

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
    "RankedBuild": "workshop.told",
    "Request": "request.request",
    "State": "rules.finding",
    "UsageError": "errors",
    "configure": "workshop.configure",
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
    "RankedBuild",
    "Request",
    "State",
    "UsageError",
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
    value = getattr(import_module(f"configurator.{home}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """Public names, also those that were not asked for yet."""
    return sorted({*globals(), *__all__})
