"""The base of every model that is read from a file."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """A model that refuses unknown keys and never changes."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
