"""`headwright sheet`: the data sheet of one build, to hand over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import path_option
from configurator.cli.question import build_option, puts_question
from configurator.cli.terminal import complain
from configurator.errors import Fault, InputError
from configurator.report.written import write_file

if TYPE_CHECKING:
    from configurator.request.question import Question
    from configurator.workshop.workshop import Workshop


@click.command(
    short_help="Write the data sheet of one build.",
    epilog="""\b
Examples:
  headwright sheet lid-sealant lid-bead --build 1 --out head.html
  headwright sheet lid-sealant lid-bead --build 3 --pick stator=fkm-l --out head.pdf""",
)
@puts_question()
@build_option
@path_option("--out", required=True, words="Where to; .html, .pdf or .json says what.")
@click.option("--force", is_flag=True, help="Replace a file that is there.")
def sheet(
    *,
    workshop: Workshop,
    question: Question,
    rank: int,
    out: Path,
    force: bool,
) -> None:
    """Write the data sheet of one build of MATERIAL and PROCESS into one file.

    Parts with their joints, margins, reasons and rejected alternatives, charts, first
    settings, assumptions and cautions. HTML has no script and no link and prints on A4.
    HTML needs `pip install 'headwright[sheet]'`, PDF `pip install 'headwright[pdf]'`.
    """
    ending = out.suffix.lower()
    if ending not in (".html", ".pdf", ".json"):
        accepted = "a file that ends in .html, .pdf or .json"
        raise InputError([Fault("--out", "file", str(out), accepted)])
    from configurator.report.sheet import sheet_html, sheet_json, sheet_pdf
    from configurator.report.sheet_data import sheet_data

    answer = workshop.answer(question)
    data = sheet_data(answer, answer.build(rank))
    content: str | bytes
    if ending == ".pdf":
        content = sheet_pdf(data)
    else:
        content = sheet_html(data) if ending == ".html" else sheet_json(data)
    write_file(out, content, force=force)
    complain(f"wrote {out}")
