"""The data sheet of a build: a page in one file, the same as PDF, and as JSON."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from typing import Any

from configurator.chemistry.cautions import DEFER
from configurator.report.builds import question_data
from configurator.report.chart_data import (
    Bars,
    Reaction,
    SpeedOverFlow,
    error_bars,
    flow_windows,
    pressure_chain,
    reaction_of,
)
from configurator.report.charts import flow_window, reaction, stacked_bars
from configurator.report.heading import deferred
from configurator.report.machine import data_of, json_text, number, numbers
from configurator.report.sheet_data import SheetData, part_rows
from configurator.report.sheet_page import missing_library, render
from configurator.rules.finding import Finding
from configurator.units.display import figures

SCHEMA = 1


def sheet_html(data: SheetData) -> str:
    """Return the sheet as one HTML file: no script, no link, charts as drawings in it.

    Raises
    ------
    UsageError
        If jinja2 or matplotlib is not installed.
    """
    answer, build = data.answer, data.build
    catalog = answer.subject.catalog
    return render(
        "sheet.html",
        title=f"Metering head for {answer.question.material.title}",
        build=build,
        program=_program(),
        catalog=catalog,
        asked=data.asked,
        stated=data.stated,
        parts=part_rows(list(build.parts.items())),
        joints=data.joints,
        figures=data.figures,
        findings=[_row(finding) for finding in build.findings],
        reasons=data.reasons,
        rejected=[
            {
                "slot": entry.slot,
                "part": entry.part.name,
                "cheaper": entry.cheaper,
                "rule": entry.broken[0].rule,
                "margin": _margin(entry.broken[0]),
                "reason": entry.broken[0].reason,
                "more": len(entry.broken) - 1,
            }
            for entry in data.rejected
        ],
        flow_window=flow_window(flow_windows(data.head, build.findings)),
        pressure_chain=stacked_bars("pressure-chain", pressure_chain(data.head)),
        error_budget=stacked_bars("error-budget", error_bars(build.error_budget, data.head)),
        reaction=reaction(reaction_of(data.head)),
        settings=data.settings,
        gaps=data.gaps,
        assumptions=data.assumptions,
        open=[_row(finding) for finding in data.open],
        cautions=deferred(data.cautions),
        defer=DEFER,
    )


def _program() -> str:
    try:
        return f"headwright {version('headwright')}"
    except PackageNotFoundError:
        return "headwright, a checkout"


def _row(finding: Finding) -> dict[str, str]:
    return {
        "rule": finding.rule,
        "state": finding.state.words,
        "margin": _margin(finding),
        "corner": finding.corner,
        "basis": finding.basis.value,
        "reason": finding.reason,
    }


def _margin(finding: Finding) -> str:
    return "" if finding.margin is None else f"{figures(finding.margin * 100.0)} %"


def sheet_pdf(data: SheetData) -> bytes:
    """Return the sheet as PDF: the page as HTML has it, laid out on A4.

    Raises
    ------
    UsageError
        If jinja2, matplotlib or weasyprint is not installed, or what weasyprint needs.
    """
    html = sheet_html(data)
    try:
        import weasyprint
    except (ImportError, OSError):  # OSError where its drawing libraries are not there
        raise missing_library("weasyprint with the Pango library", "pdf") from None
    written = weasyprint.HTML(string=html, url_fetcher=_fetch_nothing).write_pdf()
    assert isinstance(written, bytes)  # no target was given
    return written


def _fetch_nothing(url: str, *_: Any, **__: Any) -> Any:
    """Refuse every address: the page has none, and text in it must not make one."""
    raise ValueError(f"a sheet fetches nothing, not even {url[:60]}")


def sheet_json(data: SheetData) -> str:
    """Return the sheet as JSON, charts as their numbers."""
    answer, build = data.answer, data.build
    return json_text(
        {
            "schema": SCHEMA,
            "program": _program(),
            **question_data(answer),
            "asked": [{"what": label, "text": text} for label, text in (*data.asked, *data.stated)],
            "rank": build.rank,
            "state": build.state.words,
            "parts": {slot: part.name for slot, part in build.parts.items()},
            "joints": [data_of(joint, "between", "how", "closed") for joint in data.joints],
            "figures": {name: number(value) for name, value in build.figures.items()},
            "findings": [_finding(finding) for finding in build.findings],
            "reasons": list(data.reasons),
            "rejected": [
                {
                    "slot": entry.slot,
                    "part": entry.part.name,
                    "cheaper": entry.cheaper,
                    "broken": [_finding(finding) for finding in entry.broken],
                }
                for entry in data.rejected
            ],
            "charts": {
                "flow_window": [
                    _window(window) for window in flow_windows(data.head, build.findings)
                ],
                "pressure_chain": _bars(pressure_chain(data.head)),
                "error_budget": _bars(error_bars(build.error_budget, data.head)),
                "time_pressure": _reaction(reaction_of(data.head)),
            },
            "settings": [
                {
                    **data_of(setting, "name", "start"),
                    "range": setting.span,
                    **data_of(setting, "low", "high", "unit", "basis", "note"),
                }
                for setting in data.settings
            ],
            "gaps": [data_of(gap, "field", "says", "used", "settle_with") for gap in data.gaps],
            "assumptions": [
                data_of(each, "where", "what", "basis", "note") for each in data.assumptions
            ],
            "cautions": [data_of(caution, "topic", "text") for caution in data.cautions],
        }
    )


def _finding(finding: Finding) -> dict[str, Any]:
    return {**_row(finding), **data_of(finding, "demand", "limit", "unit", "margin")}


def _window(window: SpeedOverFlow) -> dict[str, Any]:
    return {
        "title": window.title,
        "flow_ml_min": numbers(window.flows),
        "low_rpm": numbers(window.low),
        "nominal_rpm": numbers(window.middle),
        "high_rpm": numbers(window.high),
        "wanted_ml_min": numbers(window.wanted),
        "limits_rpm": {label: number(value) for label, value in window.limits},
    }


def _bars(bars: Bars) -> dict[str, Any]:
    return {
        "unit": bars.unit,
        "rows": list(bars.rows),
        "parts": {label or "share": numbers(values) for label, values in bars.parts},
        "limits": {label: number(value) for label, value in bars.limits},
    }


def _reaction(data: Reaction) -> dict[str, Any]:
    return {
        "ends": list(data.ends),
        "time_pressure_pct": numbers(data.time_pressure),
        "head_pct": number(data.head),
    }
