"""Lists every valid build of a continuous-flow metering head for a material and a process.

The public names are imported when they are first asked for, so that `import configurator`
costs nothing.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from configurator.answer import Answer, Choice, RankedBuild
    from configurator.catalog.catalog import Catalog
    from configurator.catalog.load import load_catalog
    from configurator.configure import configure
    from configurator.errors import CatalogError, HeadwrightError, InputError, UsageError
    from configurator.request.load import load_material, load_process
    from configurator.request.material import Material
    from configurator.request.process import Process
    from configurator.request.request import Request
    from configurator.rules.finding import Finding, State

_HOMES = {
    "Answer": "answer",
    "Catalog": "catalog.catalog",
    "CatalogError": "errors",
    "Choice": "answer",
    "Finding": "rules.finding",
    "HeadwrightError": "errors",
    "InputError": "errors",
    "Material": "request.material",
    "Process": "request.process",
    "RankedBuild": "answer",
    "Request": "request.request",
    "State": "rules.finding",
    "UsageError": "errors",
    "configure": "configure",
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


class _Package(ModuleType):
    """The package itself, where `configure` is always the function.

    Importing `configurator.configure` binds that module to the same name, so that what
    `from configurator import configure` gives would hang on what was imported before.
    """

    def __setattr__(self, name: str, value: object) -> None:
        if isinstance(value, ModuleType) and name in _HOMES:
            value = getattr(value, name)
        super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
