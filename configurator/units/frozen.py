"""The base of every model that is read from a file, and the version of the file's layout."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from configurator.errors import described


class Frozen(BaseModel):
    """A model that refuses unknown keys and never changes."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)


def _whole(value: object) -> object:
    """Python takes true and 1.0 for 1; in a file they are slips, as is a 1 in quotes."""
    if isinstance(value, str):
        return f'"{value}"'
    return described(value) if isinstance(value, bool | float) else value


SchemaVersion = Annotated[Literal[1], BeforeValidator(_whole), Field(alias="schema")]
"""`schema = 1` at the top of a file."""
