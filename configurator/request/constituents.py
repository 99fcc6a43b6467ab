"""A row of section 3 of a safety data sheet: what a material is made of."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import StringConstraints, model_validator

from configurator.request.movable import SAFETY_SHEET, Movable
from configurator.units.cell import share_in_range
from configurator.units.fields import Fraction, Frozen

Substance = Annotated[str, StringConstraints(min_length=1, max_length=240)]
RegistryNumber = Annotated[str, StringConstraints(max_length=40)]

NO_SHARE = ("balance", "rest", "remainder", "-", "")
"""Words of a sheet in place of a share."""


class Share(Frozen):
    """A constituent and how much of it there is: a row of section 3 of the safety data sheet.

    A row may do without a name where it has a number. A solid may be stated by volume instead.
    """

    name: Substance
    cas: RegistryNumber = ""
    ec: RegistryNumber = ""
    mass_fraction: Annotated[Fraction | None, Movable(granted=False, test=SAFETY_SHEET)] = None
    volume_fraction: Annotated[Fraction | None, Movable(granted=False, test=SAFETY_SHEET)] = None

    @model_validator(mode="before")
    @classmethod
    def _as_sheets_write_it(cls, row: Any) -> Any:
        if not isinstance(row, dict):
            return row
        row = dict(row)
        for key in ("mass_fraction", "volume_fraction"):
            if row.get(key) in NO_SHARE:
                del row[key]
            elif isinstance(row.get(key), str):
                row[key] = share_in_range(row[key])
            elif isinstance(row.get(key), dict) and isinstance(row[key].get("value"), str):
                row[key] = {**row[key], "value": share_in_range(row[key]["value"])}
        if not row.get("name"):
            row["name"] = row.get("cas") or row.get("ec")
        return row

    @model_validator(mode="after")
    def _by_mass_or_by_volume(self) -> Self:
        if self.mass_fraction is not None and self.volume_fraction is not None:
            raise ValueError("give a share by mass or by volume, not both")
        return self

    @property
    def numbers(self) -> str:
        """The registry numbers of the row, beside its name."""
        return f"{self.cas} {self.ec}".strip()
