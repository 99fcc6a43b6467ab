"""The data sheet of a build: a page in one file, the same as PDF, as JSON, and its parts as CSV."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version
from itertools import accumulate
from typing import Any

from configurator.chemistry.cautions import DEFER
from configurator.report.bought_parts import longest_wait, part_table, parts_csv
from configurator.report.builds import build_data, finding_data, question_data
from configurator.report.chart_data import flow_windows, pressure_chain
from configurator.report.charts import flow_window, pressure_bars
from configurator.report.head_drawing import head_drawing
from configurator.report.heading import deferred
from configurator.report.machine import answer_json, data_of, number
from configurator.report.service import Card
from configurator.report.settings_kind import Setting
from configurator.report.sheet_data import BetterHead, SheetData, slot_words
from configurator.report.sheet_words import missing_library, render
from configurator.rules.finding import Finding
from configurator.rules.rulebook import rule_named
from configurator.units.display import figures

MOST_OPEN, MOST_LETTERS = 6, 750
"""Open points, and letters of them, that a sheet tells in full; the others by their names, and all
in the annex."""

KEYS = (
    "speed_low_rpm",
    "speed_high_rpm",
    "back_pressure_bar",
    "pressure_allowed_bar",
    "mixing_cov",
    "stop_allowed_min",
    "head_mass_kg",
)
"""Figures beside the volume error that a sheet shows without its annex."""


def sheet_html(data: SheetData, *, annex: bool = False, service: Card | None = None) -> str:
    """Return the sheet as one HTML file: no script, no link, charts as drawings in it.

    An annex has every rule, chart and source; a service card has a page of its own behind all.

    Raises
    ------
    UsageError
        If jinja2 is not installed, or matplotlib for an annex.
    """
    say = data.say
    catalog = data.answer.subject.catalog
    told = _told_in_full(data.open)
    rest = [finding.rule for finding in data.open[told:]]
    fields = ", ".join(dict.fromkeys(gap.field for gap in data.gaps))
    return render(
        "sheet.html",
        told=say.told,
        say=say,
        title=say("title", material=data.answer.question.material.title),
        head_line=say(
            "head_line",
            rank=data.build.rank or say("named_parts"),
            state=say(f"state_{int(data.build.state)}"),
            catalog=catalog.title,
            name=catalog.name,
            program=_program(),
        ),
        asked=[(say(f"asked_{name}"), text) for name, text in data.asked if name != "note"],
        drawing=head_drawing(
            data.build.parts,
            {
                joint.drawn: joint.how if joint.closed else say("joint_missing", joint=joint.how)
                for joint in data.joints
                if joint.drawn
            },
            say,
        ),
        parts=part_table(data),
        wait=longest_wait(data),
        errors=_errors(data),
        keys=[
            (each.title, f"{each.value} {each.unit}") for each in data.figures if each.name in KEYS
        ],
        floor=_floor(data),
        open=data.open[:told],
        more=say("open_more", count=len(rest), rules=", ".join(map(say.told, rest)))
        if rest
        else "",
        gaps_line=say("gaps_line", fields=fields) if fields else "",
        settings=[
            (each.name, each.start, each.span, say("as_above") if alike else each.note)
            for alike, each in _after_alike(data.settings)
        ],
        better=[_better(each, data) for each in data.better],
        cautions=deferred(data.cautions),
        defer=DEFER,
        service=service,
        service_note=say("service_note", parts=len(data.bought)),
        annex=annex,
        **(_annex(data) if annex else {}),
    )


def _told_in_full(findings: Sequence[Finding]) -> int:
    letters = list(accumulate(len(finding.reason) for finding in findings[:MOST_OPEN]))
    return max(sum(so_far <= MOST_LETTERS for so_far in letters), 1)


def _after_alike(settings: Sequence[Setting]) -> Iterator[tuple[bool, Setting]]:
    """Yield settings, each with whether the one before it has the same note."""
    notes = ["", *(each.note for each in settings)]
    for before, each in zip(notes, settings, strict=False):
        yield bool(each.note) and each.note == before, each


def _annex(data: SheetData) -> dict[str, Any]:
    say, catalog = data.say, data.answer.subject.catalog
    return {
        "stated": [
            *((say("asked_note"), text) for name, text in data.asked if name == "note"),
            *data.stated,
        ],
        "joints": [
            (joint.between, joint.how, say("closed" if joint.closed else "not_closed"))
            for joint in data.joints
        ],
        "flow_window": flow_window(flow_windows(data.head, data.build.findings), say),
        "pressure_chain": pressure_bars(pressure_chain(data.head), say),
        "budget": [
            (name, *(_share(part) for part in (share.before, share.weighed)), share.basis.value)
            for name, share in data.build.error_budget.items()
        ],
        "figures": [(each.title, each.value, each.unit) for each in data.figures],
        "checks": [
            (
                each.rule,
                say(f"state_{int(each.state)}"),
                ("" if each.margin is None else f"{figures(each.margin * 100.0)} %"),
                f"{each.reason} ({each.corner})" if each.corner else each.reason,
                each.basis.value,
                _source(each),
            )
            for each in data.build.findings
        ],
        "gaps": [
            (
                gap.field,
                gap.says,
                f"{gap.used} ({gap.basis.value})" if gap.basis else gap.used,
                gap.settle_with,
            )
            for gap in data.gaps
        ],
        "weak": [(each.where, each.what, each.basis, each.note) for each in data.assumptions],
        "catalog_line": say("catalog_line", where=catalog.where, digest=catalog.sha256),
    }


def _program() -> str:
    try:
        return f"headwright {version('headwright')}"
    except PackageNotFoundError:
        return "headwright, a checkout"


def _errors(data: SheetData) -> list[tuple[str, str]]:
    """The volume error before and after weighing, each with the part that leads."""
    told = []
    for key, name, weighed in (
        ("error_before", "volume_error_unweighed_pct", False),
        ("error_weighed", "volume_error_pct", True),
    ):
        value, part = data.build.figures[name], data.build.leading_error(weighed=weighed)
        known: dict[str, object] = {
            "part": part,
            "tolerance": _share(data.head.case.duty.tolerance),
        }
        if value is None:
            told.append((data.say(key), data.say("error_unknown", **known)))
            continue
        known |= {"percent": figures(value), "basis": data.build.error_budget[part].basis.value}
        told.append((data.say(key), data.say("error_known", **known)))
    return told


def _floor(data: SheetData) -> str:
    floor = data.head.case.practice.error_left_out
    return data.say("error_floor", percent=_share(floor.nominal), basis=floor.basis.value)


def _better(better: BetterHead, data: SheetData) -> tuple[str, str, str]:
    say = data.say
    costs = _changes(better.costs, data) or say("costs_nothing")
    # Both sides under one part where they change to the same.
    slots: dict[tuple[str, str], list[str]] = {}
    for slot, name in better.parts.items():
        slots.setdefault((slot.rpartition(".")[2], name), []).append(slot_words(slot, say))
    parts = ", ".join(
        f"{called[0]}{''.join(f', {each[-1]}' for each in called[1:])} {name}"
        for (_, name), called in slots.items()
    )
    purposes = ", ".join(say(f"best_{name.replace(' ', '_')}") for name in better.best_for)
    return f"{purposes}: {parts}", _changes(better.gains, data), costs


def _changes(moved: Mapping[str, tuple[float | None, float | None]], data: SheetData) -> str:
    told = []
    for name, pair in moved.items():
        here, there = ("?" if value is None else figures(value) for value in pair)
        told.append(data.say(f"change_{name}", here=here, there=there))
    return "; ".join(told)


def _share(value: float | None) -> str:
    return "?" if value is None else figures(value * 100.0)


def _source(finding: Finding) -> str:
    rule = rule_named(finding.rule) or rule_named(finding.rule.partition(": ")[2])
    return "" if rule is None else rule.source


def sheet_pdf(data: SheetData, *, annex: bool = False, service: Card | None = None) -> bytes:
    """Return the sheet as PDF: the page as HTML has it, laid out on A4.

    Raises
    ------
    UsageError
        If jinja2, matplotlib or weasyprint is not installed, or what weasyprint needs.
    """
    html = sheet_html(data, annex=annex, service=service)
    try:
        import weasyprint
    except (ImportError, OSError):  # OSError where its drawing libraries are not there
        raise missing_library("weasyprint with the Pango library", "pdf") from None
    written = weasyprint.HTML(string=html, url_fetcher=_fetch_nothing).write_pdf()
    assert isinstance(written, bytes)  # no target was given
    return written


def sheet_as(
    ending: str, data: SheetData, *, annex: bool = False, service: Card | None = None
) -> str | bytes:
    """Return the sheet in the form of a file's ending; anything else than these is a list of parts.

    Parameters
    ----------
    ending : str
        `.html`, `.pdf`, `.json` or another.
    data, annex, service
        As above.
    """
    if ending == ".pdf":
        return sheet_pdf(data, annex=annex, service=service)
    if ending == ".html":
        return sheet_html(data, annex=annex, service=service)
    return sheet_json(data, service) if ending == ".json" else parts_csv(data)


def _fetch_nothing(url: str, *_: Any, **__: Any) -> Any:
    """Refuse every address: the page has none, and text in it must not make one."""
    raise ValueError(f"a sheet fetches nothing, not even {url[:60]}")


def sheet_json(data: SheetData, service: Card | None = None) -> str:
    """Return the sheet with its annex as JSON, charts as their numbers."""
    answer, build = data.answer, data.build
    return answer_json(
        schema=3,
        program=_program(),
        **question_data(answer),
        asked=[{"what": label, "text": text} for label, text in (*data.asked, *data.stated)],
        **build_data(build),
        quantities=[
            {
                "name": each.part.name,
                **each.stated,
                **data_of(each, "slots", "quantity"),
            }
            for each in data.bought
        ],
        joints=[data_of(joint, "between", "how", "closed") for joint in data.joints],
        figures={name: number(value) for name, value in build.figures.items()},
        error_budget={
            name: data_of(share, *share._fields) for name, share in build.error_budget.items()
        },
        findings=[finding_data(finding) for finding in build.findings],
        better=[data_of(each) for each in data.better],
        charts={
            "flow_window": [data_of(window) for window in flow_windows(data.head, build.findings)],
            "pressure_chain": data_of(pressure_chain(data.head)),
        },
        settings=[data_of(setting) for setting in data.settings],
        gaps=[data_of(gap) for gap in data.gaps],
        assumptions=[data_of(each) for each in data.assumptions],
        cautions=[data_of(caution) for caution in data.cautions],
        service=service,
    )
