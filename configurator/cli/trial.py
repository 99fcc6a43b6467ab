"""`headwright trial`: how many shots in which order, and what the weighings prove."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from configurator.cli.opening import format_option, number_option, path_option
from configurator.cli.question import build_option, puts_question
from configurator.cli.terminal import complain, put, table_width
from configurator.errors import Fault, InputError, UsageError, did_you_mean
from configurator.report.written import refuse_existing, write_file

if TYPE_CHECKING:
    from configurator.request.question import Question
    from configurator.units.dimension import Kind
    from configurator.workshop.workshop import Workshop


@click.group(
    epilog="""\b
Examples:
  headwright trial plan lid-sealant lid-bead --build 1 --out weighings.csv
  headwright trial evaluate weighings.csv --into shop.jsonl
  headwright trial recalibrate weekly.csv --record shop.jsonl --density "1.25 g/cm^3\""""
)
def trial() -> None:
    """Plan a trial of a build, evaluate it, watch the head later."""


@trial.command(
    short_help="Plan a trial: shots, order, balance, stop rule.",
    epilog="""\b
Example:
  headwright trial plan lid-sealant lid-bead --build 1 --seed 7 --out weighings.csv --page plan.html
Half a day at the bench:
  headwright trial plan lid-sealant lid-bead --build 1 --hours 4 --out weighings.csv
A further look, when the evaluation says extend by 12:
  headwright trial plan lid-sealant lid-bead --build 1 --look 2 --shots 12 --out more.csv""",
)
@puts_question()
@build_option
@click.option("--tolerance", metavar="PERCENT", help="Either way; else that of the process.")
@click.option(
    "--confidence", metavar="PERCENT", help="Over all looks; else that of the process, or 95 %."
)
@click.option(
    "--reliability",
    metavar="PERCENT",
    default="95 %",
    show_default=True,
    help="Share of all shots that the tolerance shall hold.",
)
@click.option(
    "--spread",
    metavar="PERCENT",
    help="Expected relative standard deviation of shots; else that of the trade.",
)
@click.option(
    "--balance-step",
    "step",
    metavar="MASS",
    default="0.1 mg",
    show_default=True,
    help="Step of the balance at hand; light shots are grouped for it.",
)
@number_option(
    "--looks",
    low=1,
    high=5,
    default=2,
    words="How often the data may be looked at to decide; the risk is split among them.",
)
@number_option("--seed", low=0, default=1, words="Of the order.")
@number_option("--look", low=1, high=5, default=1)
@number_option("--shots", low=1, high=1000, words="Weighings of each condition of a later look.")
@click.option(
    "--again",
    metavar="BLOCK",
    multiple=True,
    help="Block that a later look weighs again; repeatability if none is named.",
)
@click.option(
    "--hours",
    metavar="H",
    type=click.FloatRange(0.1, 1000.0),
    help="Time at the bench: the most informative runs that fit.",
)
@path_option("--out", metavar="FILE.csv", words="Write the form to fill in.")
@path_option("--page", metavar="FILE.html", words="Write a page to print.")
@click.option("--force", is_flag=True, help="Replace files that are there.")
@format_option(words="How to print the plan; csv is the form.")
def plan(
    *,
    workshop: Workshop,
    question: Question,
    build: str,
    tolerance: str | None,
    confidence: str | None,
    reliability: str,
    spread: str | None,
    step: str,
    looks: int,
    seed: int,
    look: int,
    shots: int | None,
    again: tuple[str, ...],
    hours: float | None,
    out: Path | None,
    page: Path | None,
    force: bool,
    form: str,
) -> None:
    """Plan the trial of one build of MATERIAL and PROCESS.

    The number of shots follows from the tolerance, the confidence and the reliability. The
    stop rule is fixed with the plan, before anything is weighed.
    """
    from configurator.explain.chosen import listed_build
    from configurator.report.trial_plan import plan_page, plan_table, planned_json
    from configurator.trial.form import form_csv
    from configurator.trial.head import head_of
    from configurator.trial.planning import TrialAims, plan_trial
    from configurator.units.kinds import FRACTION, MASS

    _check_look(look, looks, shots, again, hours)
    wanted = TrialAims(
        confidence=None if confidence is None else _share("--confidence", confidence),
        reliability=_share("--reliability", reliability),
        spread=None if spread is None else _positive("--spread", spread, FRACTION),
        tolerance=None if tolerance is None else _positive("--tolerance", tolerance, FRACTION),
        looks=looks,
        seed=seed,
        step=_positive("--balance-step", step, MASS),
    )
    answer = workshop.answer(question)
    chosen = listed_build(answer, build)
    head = head_of(answer.subject, chosen.parts)
    made, sizing = plan_trial(
        head,
        wanted,
        chosen.findings,
        look=look,
        further=shots,
        blocks=again or ("repeatability",),
        hours=hours,
    )
    # Both or none: a form without its page was planned by nobody.
    for path in filter(None, (out, page)):
        refuse_existing(path, force=force)
    if out is not None:
        write_file(out, form_csv(made), force=force)
    cautions = answer.cautions_of(chosen)
    if page is not None:
        write_file(page, plan_page(made, sizing, head, cautions), force=force)
    if form == "csv":
        put(form_csv(made))
    elif form == "json":
        put(planned_json(made, sizing, head, cautions))
    else:
        put(plan_table(made, sizing, head, cautions, width=table_width()))


def _check_look(
    look: int, looks: int, shots: int | None, again: tuple[str, ...], hours: float | None
) -> None:
    """Options of the first look and of later ones do not go together."""
    from configurator.trial.blocks import PURPOSE

    if (look == 1) != (shots is None):
        raise UsageError("--shots: goes with --look 2 or a later one, and a later look needs it")
    for option, given in (("--again", again and look == 1), ("--hours", hours and look > 1)):
        if given:
            kind = "a later look" if option == "--again" else "the first look"
            raise UsageError(f"{option}: goes with {kind} alone")
    for block in again:
        if block not in PURPOSE:
            near = did_you_mean(block, PURPOSE)
            raise UsageError(f"--again: given '{block}'; accepted: {', '.join(PURPOSE)}", near)
    if look > looks:
        raise UsageError(f"--look: given '{look}'; accepted: up to --looks, which is {looks}")


def _positive(option: str, text: str, kind: Kind) -> float:
    from configurator.units.quantity import UnitFault, parse

    try:
        value = parse(text, kind).nominal
    except UnitFault as fault:
        raise InputError(
            [Fault(option, "value", fault.given, fault.accepted, fault.hint)]
        ) from None
    if value <= 0.0:
        raise InputError([Fault(option, "value", text, f"{kind.accepted}, above zero")])
    return value


def _share(option: str, text: str) -> float:
    from configurator.units.kinds import FRACTION

    value = _positive(option, text, FRACTION)
    if not 0.5 <= value <= 0.9999:  # noqa: PLR2004 - beyond them no trial is that small or large
        raise InputError([Fault(option, "value", text, "50 % to 99.99 %")])
    return value


@trial.command(
    short_help="Evaluate weighings: accept, extend or reject.",
    epilog="""\b
Examples:
  headwright trial evaluate weighings.csv
  headwright trial evaluate weighings.csv more.csv --into shop.jsonl""",
)
@click.argument(
    "forms", metavar="WEIGHINGS.csv...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@path_option(
    "--into",
    words="Add measured displacement and slip to this record; `builds --evidence` uses it.",
)
@format_option("table", "json", words="How to print the evaluation.")
@click.pass_context
def evaluate(ctx: click.Context, forms: tuple[Path, ...], into: Path | None, form: str) -> None:
    """Evaluate filled forms of one trial, the further looks behind the first.

    Exit code 0 if the head is accepted, 1 if the trial is extended or the head rejected.
    """
    from configurator.report.trial_verdict import evaluation_json, evaluation_table
    from configurator.trial.evaluate import evaluate as evaluated
    from configurator.trial.form_reader import load_weighings
    from configurator.trial.records import records_of
    from configurator.units.display import plural
    from configurator.workshop.head_record import add_records

    read = [load_weighings(path) for path in forms]
    found = evaluated(read)
    complain(*(f"{path}: {each.read_as}" for path, each in zip(forms, read, strict=True)))
    put(evaluation_json(found) if form == "json" else evaluation_table(found, width=table_width()))
    if into is not None:
        records = records_of(found)
        new = add_records(into, records)
        words = (
            f"{plural(new, 'new head record')} in {into}" if new else f"{into} held them already"
        )
        if not records:
            words = "no head record: the catches cannot tell displacement from slip"
        elif found.verdict.word == "reject":
            words += ", of a rejected head: kept, and not used by `builds --evidence`"
        complain(words)
    ctx.exit(0 if found.verdict.word == "accept" else 1)


@trial.command(
    short_help="A running head against its record: still in, drifting or out.",
    epilog="""\b
Example:
  headwright trial recalibrate weekly.csv --record shop.jsonl --density "1.25 g/cm^3"
weekly.csv holds a row a weighing: date, mass [g], turns; and shots and density where they vary.""",
)
@click.argument("weighings", metavar="WEIGHINGS.csv", type=click.Path(path_type=Path))
@path_option(
    "--record", words="The shop's record that `trial evaluate --into` wrote.", required=True
)
@click.option("--trial", "name", metavar="ID", help="Trial in the record; else the last one.")
@click.option("--side", type=click.Choice(["a", "b"]), help="Of a two-part head.")
@click.option("--density", metavar="DENSITY", help="Of what was weighed, where no column has it.")
@click.option("--tolerance", metavar="PERCENT", help="Either way; else that of the record.")
@format_option("table", "json", words="How to print it.")
@click.pass_context
def recalibrate(
    ctx: click.Context,
    *,
    weighings: Path,
    record: Path,
    name: str | None,
    side: str | None,
    density: str | None,
    tolerance: str | None,
    form: str,
) -> None:
    """Judge weighings of a running head, dated, against the record of its trial.

    Exit code 0 if it is still in, 1 if it drifts, is out, or nothing is proven.
    """
    from configurator.report.recalibration import recalibration_json, recalibration_table
    from configurator.trial.recalibration import IN, record_of
    from configurator.trial.recalibration import recalibrate as judged
    from configurator.units.interval import Interval
    from configurator.units.kinds import DENSITY, FRACTION
    from configurator.workshop.head_record import load_records

    records, faults = load_records(record)
    complain(*(fault.line() for fault in faults))
    found = judged(
        weighings,
        record_of(records, name, side or ""),
        density=None
        if density is None
        else Interval.exact(_positive("--density", density, DENSITY)),
        tolerance=None if tolerance is None else _positive("--tolerance", tolerance, FRACTION),
    )
    complain(f"{weighings}: {found.read_as}")
    if form == "json":
        put(recalibration_json(found))
    else:
        put(recalibration_table(found, width=table_width()))
    ctx.exit(0 if found.word == IN else 1)
