"""`headwright sheet`: the data sheet of one build, to hand over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import path_option
from configurator.cli.question import build_option, puts_question
from configurator.cli.terminal import complain
from configurator.errors import Fault, InputError
from configurator.report.written import refuse_existing, write_file

if TYPE_CHECKING:
    from configurator.request.question import Question
    from configurator.workshop.workshop import Workshop


ENDINGS = (".html", ".pdf", ".json", ".csv")


@click.command(
    short_help="Write the data sheet of one build.",
    epilog="""\b
Examples:
  headwright sheet lid-sealant lid-bead --build 1 --out head.html
  headwright sheet lid-sealant lid-bead --annex --language german.toml --out head.pdf
  headwright sheet lid-sealant lid-bead --out parts.csv""",
)
@puts_question()
@build_option
@path_option("--out", required=True, words="Where to; .html, .pdf, .json or .csv says what.")
@click.option("--annex", is_flag=True, help="With every rule, chart and source.")
@path_option("--language", metavar="FILE.toml", words="Sentences in place of the English ones.")
@click.option("--force", is_flag=True, help="Replace a file that is there.")
def sheet(
    *,
    workshop: Workshop,
    question: Question,
    rank: int,
    out: Path,
    annex: bool,
    language: Path | None,
    force: bool,
) -> None:
    """Write the data sheet of one build of MATERIAL and PROCESS into one file.

    On two pages: the head in a picture, parts, what to expect, what is open, first settings,
    better neighbours, cautions. HTML has no script and no link and prints on A4; JSON holds the
    annex as well; CSV is the list of parts for purchasing. HTML needs `pip install
    'headwright[sheet]'`, PDF `pip install 'headwright[pdf]'`.
    """
    ending = out.suffix.lower()
    if ending not in ENDINGS:
        accepted = f"a file that ends in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}"
        raise InputError([Fault("--out", "file", str(out), accepted)])
    from configurator.report.sheet import parts_csv, sheet_html, sheet_json, sheet_pdf
    from configurator.report.sheet_data import sheet_data
    from configurator.report.sheet_words import load_words

    refuse_existing(out, force=force)
    say = None if language is None else load_words(language)
    answer = workshop.answer(question)
    data = sheet_data(answer, answer.build(rank), say)
    content: str | bytes
    if ending == ".pdf":
        content = sheet_pdf(data, annex=annex)
    elif ending == ".html":
        content = sheet_html(data, annex=annex)
    else:
        content = sheet_json(data) if ending == ".json" else parts_csv(data)
    write_file(out, content, force=force)
    complain(f"wrote {out}")
