"""Makes the small worlds of `tests/support` importable; tests themselves are no package."""

from __future__ import annotations

import sys
from pathlib import Path

SUPPORT = str(Path(__file__).parent / "support")

if SUPPORT not in sys.path:
    sys.path.insert(0, SUPPORT)
