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
from configurator.report.shortlist import shortlist_text
from configurator.report.table import builds_table
from configurator.report.trial_verdict import evaluation_table
from configurator.request.load import load_material, load_process
from configurator.request.question import Question
from configurator.trial.evaluate import evaluate
from configurator.trial.form_reader import read_weighings
from configurator.trial.head import head_of
from configurator.trial.planning import TrialAims, plan_trial
from configurator.workshop.answer import Answer
from configurator.workshop.shortlist import shortlist_of
from configurator.workshop.workshop import Workshop

FOLDER = Path(__file__).resolve().parent
SUPPORT = FOLDER.parent / "support"

PAIRS = {
    "lid-sealant": "lid-bead",
    "probe-grease": "plug-grease",
    "grip-mortar": "grip-dots",
}
"""Material and process: builds that are unproven, builds that fit, and no build."""

SHORTLISTED = {"lid-sealant": "lid-bead", "hull-paste": "hull-seam"}
"""The same of shortlists: one part and two."""

LISTED = 5

HOURS, SEED = 4.0, 1
"""Of the trial whose evaluation is shown."""


def texts() -> dict[str, str]:
    """The table for each pair, by file name."""
    shipped = shipped_folder()
    examples = shipped / "examples"
    catalog = load_catalog(shipped / "generic", substances=shipped / "substances", where="shipped")
    workshop = Workshop(catalog)

    def answer(material: str, process: str) -> Answer:
        asked = load_material(material, folder=examples), load_process(process, folder=examples)
        return workshop.answer(Question(*asked))

    written = {}
    for material, process in PAIRS.items():
        table = builds_table(page_of(answer(material, process), limit=LISTED))
        written[f"{material}.txt"] = _plain(table)
    for material, process in SHORTLISTED.items():
        found = answer(material, process)
        written[f"{material}-shortlist.txt"] = _plain(shortlist_text(found, shortlist_of(found)))
    written["trial-evaluate.txt"] = _evaluated(answer("lid-sealant", "lid-bead"))
    return written


def _plain(text: str) -> str:
    """The digest changes with every edit of the catalog."""
    return re.sub(r"(sha256\s+)[0-9a-f]{12}", r"\g<1>0123456789ab", text)


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
