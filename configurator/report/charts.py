"""Charts of a sheet as vector drawings: grey, hatched, and the same for the same input."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from configurator.report.chart_data import Bars, SpeedOverFlow
from configurator.report.sheet_words import SheetWords, missing_library

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WIDE = (7.2, 2.35)
"""Size in inches: the width of an A4 page between its margins."""

LABEL_SHARE = 0.085
"""Height of a label over that of its axes: no two labels stand closer. [-]"""

_GREYS = ("0.45", "0.75", "1.0")
_HATCHES = ("", "////", "....")
_LINES = ("-", "--", ":", "-.")

_STYLE: dict[str, Any] = {
    "svg.fonttype": "path",
    "axes.unicode_minus": False,
    "font.family": "DejaVu Sans",
    "font.size": 7.5,
    "axes.titlesize": 8.5,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.6,
    "hatch.linewidth": 0.6,
    "legend.frameon": False,
    "legend.fontsize": 7,
}


class _Drawing:
    def __init__(self) -> None:
        self.axes: list[Axes] = []
        self.svg = ""


@contextmanager
def _drawing(name: str, size: tuple[float, float], columns: int = 1) -> Iterator[_Drawing]:
    """A new drawing; nothing of the user's own settings comes in."""
    try:
        import matplotlib as mpl
        from matplotlib.figure import Figure
    except ImportError:
        raise missing_library("matplotlib", "sheet") from None
    with mpl.rc_context():
        mpl.rcdefaults()
        style: Any = {**_STYLE, "svg.hashsalt": name}
        mpl.rcParams.update(style)
        figure = Figure(figsize=size, layout="constrained")
        drawing = _Drawing()
        drawing.axes = list(figure.subplots(1, columns, squeeze=False)[0])
        yield drawing
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
        drawing.svg = _inline(out.getvalue(), name)


def _inline(svg: str, name: str) -> str:
    """Take what a page needs of a drawing: no prologue, metadata or remarks, names of its own."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"\s*(<metadata>.*?</metadata>|<!--.*?-->)", "", svg, flags=re.DOTALL)
    svg = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', svg)
    svg = re.sub(r'href="#([^"]+)"', rf'href="#{name}-\1"', svg)
    svg = re.sub(r"url\(#([^)]+)\)", rf"url(#{name}-\1)", svg)
    return svg.replace("<svg ", '<svg role="img" ', 1).rstrip()


def _small(value: float) -> str:
    return f"{value:.3g}" if value >= 1e-3 or value == 0.0 else "< 0.001"  # noqa: PLR2004


def apart(values: Sequence[float], least: float, top: float) -> list[float]:
    """Return rising places for labels, each near its value and none on another.

    Examples
    --------
    >>> apart([4.0, 5.0, 40.0], 3.0, 50.0)
    [4.0, 7.0, 40.0]
    """
    places: list[float] = []
    for value in values:
        places.append(max(value, places[-1] + least if places else value))
    over = places[-1] - top if places else 0.0
    return [place - over for place in places] if over > 0.0 else places


def _said(labels: str, say: SheetWords) -> str:
    """SheetWords of a chart, several with commas between; the letter of a side stays."""
    return ", ".join(_word(label, say) for label in labels.split(", "))


def _word(label: str, say: SheetWords) -> str:
    name, _, side = label.rpartition(" ")
    if side in ("a", "b"):
        return f"{_word(name, say)} {side}"
    key = f"chart_{label.replace(' ', '_')}"
    return say(key) if key in say.texts else label


def flow_window(windows: Sequence[SpeedOverFlow], say: SheetWords) -> str:
    """Rotor speed over flow with its slip band, the wanted flows, and what limits the speed."""
    name = "flow-window"
    with _drawing(name, WIDE, len(windows)) as drawing:
        for axis, window in zip(drawing.axes, windows, strict=True):
            axis.axvspan(*window.wanted_ml_min, color="0.9", lw=0, label=say("chart_wanted"))
            axis.fill_between(
                window.flow_ml_min,
                window.low_rpm,
                window.high_rpm,
                color="0.55",
                lw=0,
                label=say(
                    "chart_slip"
                    if all(map(math.isfinite, window.high_rpm))
                    else "chart_slip_unknown"
                ),
            )
            axis.plot(
                window.flow_ml_min,
                window.nominal_rpm,
                color="0",
                lw=1.3,
                label=say("chart_nominal_material"),
            )
            known = [rpm for rpm in (*window.nominal_rpm, *window.high_rpm) if math.isfinite(rpm)]
            top = max([*known, *(rpm for _, rpm in window.limits_rpm.items())]) * 1.15
            places = apart([rpm for _, rpm in window.limits_rpm.items()], top * LABEL_SHARE, top)
            for place, (label, rpm) in enumerate(window.limits_rpm.items()):
                axis.axhline(rpm, color="0", lw=0.9, ls=_LINES[1 + place % 3])
                # Beside the axes, where no curve can cross it.
                axis.annotate(
                    f"{_said(label, say)} {rpm:.3g}",
                    (1.0, places[place]),
                    xycoords=("axes fraction", "data"),
                    xytext=(3, 0),
                    textcoords="offset points",
                    va="center",
                    fontsize=6.5,
                )
            axis.set_xlim(window.flow_ml_min[0], window.flow_ml_min[-1])
            axis.set_ylim(0, top)
            axis.set_xlabel(say("chart_flow"))
            axis.set_ylabel(say("chart_speed"))
            axis.set_title(say("chart_side", side=window.title[-1]) if window.title else "")
        # One legend serves all sides.
        first = drawing.axes[0]
        first.figure.legend(*first.get_legend_handles_labels(), loc="outside lower center", ncols=3)
    return drawing.svg


def pressure_bars(bars: Bars, say: SheetWords) -> str:
    """Horizontal bars, each a stack of named parts, with limits as lines across."""
    rows = [_said(row, say) for row in bars.rows]
    with _drawing("pressure-chain", WIDE) as drawing:
        axis = drawing.axes[0]
        left = [0.0] * len(rows)
        for place, (label, values) in enumerate(bars.parts.items()):
            axis.barh(
                rows,
                values,
                left=left,
                color=_GREYS[place % 3],
                hatch=_HATCHES[place % 3],
                edgecolor="0",
                lw=0.6,
                height=0.6,
                label=_said(label, say),
            )
            left = [before + value for before, value in zip(left, values, strict=True)]
        for end, row in zip(left, range(len(rows)), strict=True):
            axis.annotate(
                _small(end), (end, row), xytext=(3, -2.5), textcoords="offset points", fontsize=7
            )
        for place, (label, value) in enumerate(bars.limits.items()):
            axis.axvline(
                value,
                color="0",
                lw=1.1,
                ls=_LINES[1 + place % 3],
                label=f"{_said(label, say)} {value:.3g}",
            )
        most = max([*left, *bars.limits.values()], default=1.0)
        axis.set_xlim(0, (most or 1.0) * 1.18)
        axis.invert_yaxis()
        axis.set_xlabel(say("chart_pressure"))
        if len(bars.parts) > 1 or bars.limits:
            axis.legend(loc="upper center", bbox_to_anchor=(0.45, -0.22), ncols=3)
    return drawing.svg
