"""`headwright sheet`: the data sheet of one build, to hand over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import examples_folder, path_option
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
  headwright sheet gap-filler gap-filler-pads --service --after bay-potting --out card.html
  headwright sheet lid-sealant lid-bead --out parts.csv""",
)
@puts_question()
@build_option
@path_option("--out", required=True, words="Where to; .html, .pdf, .json or .csv says what.")
@click.option("--annex", is_flag=True, help="With every rule, chart and source.")
@click.option("--service", is_flag=True, help="With a service card, on a page of its own.")
@click.option(
    "--after", metavar="MATERIAL", help="What ran in the head before: changeover on the card."
)
@path_option("--language", metavar="FILE.toml", words="Sentences in place of the English ones.")
@click.option("--force", is_flag=True, help="Replace a file that is there.")
def sheet(
    *,
    workshop: Workshop,
    question: Question,
    build: str,
    out: Path,
    annex: bool,
    service: bool,
    after: str | None,
    language: Path | None,
    force: bool,
) -> None:
    """Write the data sheet of one build of MATERIAL and PROCESS into one file.

    On two pages: the head in a picture, parts, what to expect, what is open, first settings,
    heads that are better for a purpose, cautions. --service adds spares, restart, flushing media, storage and
    recalibration, --after what a changeover replaces and flushes. HTML has no script and no link and prints on A4; JSON holds the
    annex as well; CSV is the list of parts for purchasing. HTML needs `pip install
    'headwright[sheet]'`, PDF `pip install 'headwright[pdf]'`.
    """
    ending = out.suffix.lower()
    if ending not in ENDINGS:
        accepted = f"a file that ends in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}"
        raise InputError([Fault("--out", "file", str(out), accepted)])
    from configurator.explain.chosen import listed_build
    from configurator.report.sheet import sheet_as
    from configurator.report.sheet_data import sheet_data
    from configurator.report.sheet_words import load_words
    from configurator.request.load import load_material

    refuse_existing(out, force=force)
    say = None if language is None else load_words(language)
    before = None if after is None else load_material(after, folder=examples_folder())
    answer = workshop.answer(question)
    data = sheet_data(answer, listed_build(answer, build), say)
    card = None
    if service or after is not None:
        from configurator.report.service import service_card

        card = service_card(data, workshop.heads, before)
    write_file(out, sheet_as(ending, data, annex=annex, service=card), force=force)
    complain(f"wrote {out}")
