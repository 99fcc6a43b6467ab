"""Ways of the rules that only two-part materials meet: the place for them, rule by rule."""

from __future__ import annotations

from ways import Ways

TWO_PART_RULES: tuple[str, ...] = ()
TWO_PART_WAYS: tuple[Ways, ...] = ()
