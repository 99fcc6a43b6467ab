"""Makes the small worlds of `tests/support` importable, and reads a catalog once."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

SUPPORT = str(Path(__file__).parent / "support")

if SUPPORT not in sys.path:
    sys.path.insert(0, SUPPORT)


# How long an example takes says more of the machine than of the code.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")


def pytest_collection_finish() -> None:
    """As the command does: much is made and kept, and looking for garbage took a tenth of the time."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)


@pytest.fixture(scope="session", autouse=True)
def _a_catalog_is_read_once() -> Iterator[None]:
    """Spare the commands that run in this process to read the same catalog hundreds of times."""
    from shipped import read_once

    from configurator.catalog import load

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(load, "read_catalog", read_once(load.read_catalog))
        yield
