"""Writes the golden explanations anew: `python tests/golden/why/regenerate_why.py`.

Run it when explanations are meant to change, read each as prose, and commit them together with
the change that caused it. The texts are never edited by hand.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

from configurator.catalog.catalog import Catalog
from configurator.catalog.load import load_catalog, shipped_folder
from configurator.explain.chosen import build_named, read_parts
from configurator.explain.compare import compare
from configurator.explain.measure import measurements
from configurator.explain.why import why
from configurator.report.compare import compare_text
from configurator.report.measure import measure_text
from configurator.report.why import why_text
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.workshop.answer import Answer
from configurator.workshop.workshop import Workshop

FOLDER = Path(__file__).resolve().parent

WIDTH = 100

PATIENCE = 120.0
"""Processor time for remedies and flip points: never the reason for a difference. [s]"""

GREASE_OUT = (
    "size=h2, cavity=h2-0.04-2s, body=hard-al, rotor=alumina-s, stator=nbr-s, "
    "seal=packed-barrier, drive=stepper-0.3, outlet=needle-20g-12.7, feed=syringe-10"
)


@cache
def _catalog() -> Catalog:
    shipped = shipped_folder()
    return load_catalog(shipped / "generic", substances=shipped / "substances", where="shipped")


def _answer(
    material: str,
    process: str,
    picks: Mapping[str, str] | None = None,
    without: Mapping[str, frozenset[str]] | None = None,
) -> Answer:
    examples = shipped_folder() / "examples"
    question = Question(
        material=load_material(material, folder=examples),
        process=load_process(process, folder=examples),
        picks=picks or {},
        without=without or {},
    )
    return Workshop(_catalog()).answer(question)


def _why(answer: Answer, parts: str = "", *, search: bool = False) -> str:
    asked = read_parts(parts) if parts else {}
    return why_text(why(answer, asked, search=search, budget=PATIENCE), WIDTH)


def _first_build(answer: Answer) -> str:
    build = build_named(answer, "1")
    return ", ".join(f"{slot}={part.name}" for slot, part in build.parts.items())


def _small_rotors() -> list[str]:
    return [part.name for part in _catalog().slot("rotor") if not part.name.endswith("-l")]


def _grease() -> Answer:
    return _answer("probe-grease", "plug-grease")


SITUATIONS: dict[str, Callable[[], str]] = {
    "why_grit_too_coarse": lambda: _why(_answer("grip-mortar", "grip-dots"), search=True),
    "why_shot_too_small": lambda: _why(
        _answer("lid-sealant", "bolt-dots", picks={"size": "h3"}), search=True
    ),
    "why_particles_and_shot": lambda: _why(_answer("thermal-paste", "plug-grease"), search=True),
    "why_feed_cannot_fill": lambda: _why(_answer("lid-sealant", "trim-fill")),
    "why_two_parts": lambda: _why(_answer("bay-potting", "grip-dots")),
    "why_stator_attacked": lambda: _why(_answer("lid-sealant", "lid-bead"), "stator=vmq-s"),
    "why_size_too_small": lambda: _why(_answer("lid-sealant", "lid-bead"), "size=h1"),
    "why_part_against_pick": lambda: _why(
        _answer("probe-grease", "plug-grease", {"size": "h3"}), "cavity=h2-0.04-2s", search=True
    ),
    "why_picks_do_not_fit": lambda: _why(
        _answer("probe-grease", "plug-grease", {"outlet": "needle-20g-12.7"}), search=True
    ),
    "why_everything_excluded": lambda: _why(
        _answer(
            "probe-grease",
            "plug-grease",
            {"size": "h2"},
            {"rotor": frozenset(_small_rotors())},
        )
    ),
    "why_part_stands": lambda: _why(_grease(), "stator=nbr-s"),
    "why_build_stands": lambda: _why(_grease(), _first_build(_grease()), search=True),
    "why_build_is_out": lambda: _why(_grease(), GREASE_OUT, search=True),
    "why_three_parts_together": lambda: _why(
        _answer("lid-sealant", "lid-bead"), "size=h3, cavity=h3-0.25-4s, stator=epdm-s"
    ),
    "why_nothing_is_wrong": lambda: _why(_answer("hinge-grease", "hinge-dots")),
    "compare_four": lambda: compare_text(
        _grease(), compare(_grease(), ["1", "40", "400", GREASE_OUT]), WIDTH
    ),
    "measure_lens": lambda: _measured(_answer("lens-adhesive", "lens-ring")),
    "measure_putty": lambda: _measured(_answer("float-putty", "trim-fill")),
}
"""File name to what makes the text."""


def _measured(answer: Answer) -> str:
    return measure_text(answer, measurements(answer), WIDTH)


def main() -> None:
    """Write every golden text and say which changed."""
    for name, make in SITUATIONS.items():
        path = FOLDER / f"{name}.txt"
        text = make()
        changed = not path.is_file() or path.read_text(encoding="utf-8") != text
        path.write_text(text, encoding="utf-8")
        sys.stdout.write(f"{path.name}: {'changed' if changed else 'as it was'}\n")


if __name__ == "__main__":
    main()
