"""Which shipped process a shipped material is obviously meant for."""

from __future__ import annotations

import re
from collections.abc import Sequence

from configurator.request.process import Process


def partner_of(material: str, processes: Sequence[Process]) -> Process | None:
    """Return the one process that a material is meant for, or None if that is not obvious.

    It is the only one whose note says that it goes with the material; else the only one whose name
    begins alike and whose note claims no other.
    """
    claims = {process.name: _claim(process) for process in processes}
    by_name = {process.name: process for process in processes}
    claimed = [name for name, claim in claims.items() if claim == material]
    alike = [
        name
        for name, claim in claims.items()
        if not claim and name.partition("-")[0] == material.partition("-")[0]
    ]
    found = claimed or alike
    return by_name[found[0]] if len(found) == 1 else None


def _claim(process: Process) -> str:
    found = re.search(r"\bGoes with ([a-z0-9][a-z0-9+-]*)", process.note)
    return found[1] if found else ""
