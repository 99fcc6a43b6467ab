"""Results of a small screening, made by a real run over the small catalog: invented."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from tui_worlds import small_catalog

from configurator.request.load import load_process
from configurator.screen.chunk import Setup
from configurator.screen.results import form_of, head_bytes
from configurator.screen.run import screen
from configurator.screen.sources import read_list
from configurator.screen.store import Kept
from configurator.workshop.workshop import Workshop

LIQUID = {
    "trigger": "none",
    "model": "newtonian",
    "at": "20 degC",
    "viscosity": "10 Pa*s",
    "activation_energy": "0 kJ/mol",
    "density": "1000 kg/m^3",
    "constituents": "plainol 100 %",
    "complete": "yes",
}
"""The base liquid in the columns of a list."""

Rows = Sequence[Mapping[str, str]]

ROWS: Rows = (
    {"shop": "Q-1", "name": "Plain liquid", **LIQUID},
    {"shop": "Q-2", "name": "Coarse liquid", **LIQUID, "filler": "quartz", "filler_d99": "1.5 mm"},
    {"shop": "Q-3", "file": "unseen"},
    {"shop": "Q-4", "name": "Slip of the pen", **LIQUID, "viscosity": "ten"},
    {"shop": "Q-5", "file": "pair"},
    {"shop": "Q-6", "file": "own/plain.toml"},
)
"""One that fits, one with grit, a shipped one of which little is known, one that cannot be read,
one of two parts, and one in a file beside the list."""

PROCESSES = ("flow", "mixed")


def write_list(path: Path, rows: Rows = ROWS) -> Path:
    """Write rows as a list, CSV or JSON Lines by its suffix."""
    columns = list(dict.fromkeys(column for row in (*rows, *ROWS) for column in row))
    with path.open("w", encoding="utf-8", newline="") as file:
        if path.suffix == ".jsonl":
            file.writelines(json.dumps(row) + "\n" for row in rows)
        else:
            writer = csv.DictWriter(file, columns, restval="", lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    return path


def screened(listed: Path, out: Path, examples: Path, processes: Sequence[str] = PROCESSES) -> Path:
    """Screen a list as the command does, with a material file of the shop's own beside it."""
    _own_beside(listed, examples)
    form = form_of(out, None)
    with listed.open("rb") as stream:
        entries = read_list(stream, listed.name, base=listed.parent, folder=examples)
        asked = tuple(load_process(name, folder=examples) for name in processes)
        setup = Setup(tuple(entries.columns), form, asked, Workshop(small_catalog()))
        head = head_bytes(form, setup.heads)
        with Kept(
            out, form=form, heads=setup.heads, head=head, fingerprint={}, resume=False, force=True
        ) as store:
            screen(entries, setup, store)
    return out


def _own_beside(listed: Path, examples: Path) -> None:
    own = listed.parent / "own"
    own.mkdir(exist_ok=True)
    plain = examples / "materials" / "plain.toml"
    (own / "plain.toml").write_bytes(plain.read_bytes())


_SCREENED: dict[tuple[str, str], bytes] = {}


def results(folder: Path, examples: Path, name: str = "results.csv", rows: Rows = ROWS) -> Path:
    """The results of some rows, their list beside them; the same rows are screened once."""
    listed = write_list(folder / "materials.csv", rows)
    key = (name, json.dumps(rows))
    if key not in _SCREENED:
        _SCREENED[key] = screened(listed, folder / name, examples).read_bytes()
    _own_beside(listed, examples)
    out = folder / name
    out.write_bytes(_SCREENED[key])
    return out
