"""Writes the golden texts anew: `python tests/golden/regenerate.py`.

Run it when answers are meant to change, read the difference as prose, and commit it together
with the change that caused it. The texts are never edited by hand.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from configurator.catalog.load import load_catalog, shipped_folder
from configurator.report.builds import page_of
from configurator.report.table import builds_table
from configurator.report.trial_verdict import evaluation_table
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.trial.evaluate import evaluate
from configurator.trial.form_reader import read_weighings
from configurator.trial.head import head_of
from configurator.trial.planning import TrialAims, plan_trial
from configurator.workshop.answer import Answer
from configurator.workshop.workshop import Workshop

FOLDER = Path(__file__).resolve().parent
SUPPORT = FOLDER.parent / "support"

PAIRS = {
    "lid-sealant": "lid-bead",
    "probe-grease": "plug-grease",
    "grip-mortar": "grip-dots",
}
"""Material and process: builds that are unproven, builds that fit, and no build."""

LISTED = 5

HOURS, SEED = 4.0, 1
"""Of the trial whose evaluation is shown."""


def texts() -> dict[str, str]:
    """The table for each pair, by file name; the digest changes with every catalog edit."""
    shipped = shipped_folder()
    examples = shipped / "examples"
    catalog = load_catalog(shipped / "generic", substances=shipped / "substances", where="shipped")
    written = {}
    for material, process in PAIRS.items():
        question = Question(
            material=load_material(material, folder=examples),
            process=load_process(process, folder=examples),
        )
        table = builds_table(page_of(Workshop(catalog).answer(question), limit=LISTED))
        written[f"{material}.txt"] = re.sub(r"(sha256\s+)[0-9a-f]{12}", r"\g<1>0123456789ab", table)
    trial = Question(
        material=load_material("lid-sealant", folder=examples),
        process=load_process("lid-bead", folder=examples),
    )
    written["trial-evaluate.txt"] = _evaluated(Workshop(catalog).answer(trial))
    return written


def _evaluated(answer: Answer) -> str:
    """The evaluation of half a day with a head that gives too much of its second batch."""
    if str(SUPPORT) not in sys.path:
        sys.path.insert(0, str(SUPPORT))
    from simulated_head import SimulatedHead, filled

    build = answer.builds(limit=1)[0]
    head = head_of(answer.subject, build.parts)
    plan, _ = plan_trial(head, TrialAims(), build.findings, hours=HOURS)
    form = filled(plan, SimulatedHead(batch=0.08), SEED)
    table = evaluation_table(evaluate([read_weighings(form, "weighings.csv")]))
    return re.sub(r"(Trial\s+)[0-9a-f]{12}", r"\g<1>0123456789ab", table)


def main() -> None:
    """Write every golden text and say which changed."""
    for name, text in texts().items():
        path = FOLDER / name
        changed = not path.is_file() or path.read_text(encoding="utf-8") != text
        path.write_text(text, encoding="utf-8")
        sys.stdout.write(f"{name}: {'changed' if changed else 'as it was'}\n")


if __name__ == "__main__":
    main()
