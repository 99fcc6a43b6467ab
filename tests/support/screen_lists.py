"""Lists of invented pastes as files, and the command that screens them."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


COMMAND = [sys.executable, "-m", "configurator"]


HEAD = "name,at,viscosity,shear_rate,density,trigger,lot\n"


def row(number: int, viscosity: str = "") -> str:
    stated = viscosity or f"{5 + number * 7 % 60} Pa*s"
    return f"paste {number},23 degC,{stated},10 1/s,1.4 g/cm^3,moisture,=L{number}\n"


def listed(folder: Path, count: int, *, bad: tuple[int, ...] = ()) -> Path:
    path = folder / "list.csv"
    lines = (row(number, "many" if number in bad else "") for number in range(1, count + 1))
    path.write_text(HEAD + "".join(lines), encoding="utf-8")
    return path


def asked(path: Path | str, catalog: Path, *more: str) -> list[str]:
    return ["screen", str(path), "--process", "lid-bead", "--catalog", str(catalog), *more]
