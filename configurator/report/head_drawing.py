"""A head in one picture: what is joined to what, drawn from the parts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from html import escape

from configurator.catalog.parts import Feed, Mixing, Outlet, Part
from configurator.report.sheet_words import SheetWords

WIDTH, ROW = 182.0, 37.0
"""Of the drawing, and the height of one metering side. [mm]"""

TEXT = 2.6
"""Height of letters, where a name is not too long for its place. [mm]"""

_INK, _METAL, _LINING = "#111111", "#dddddd", "#999999"


def head_drawing(parts: Mapping[str, Part], joints: Mapping[str, str], say: SheetWords) -> str:
    """Return the head as SVG, from the drive on the left to the tip on the right.

    The joints say how the outlet end of each head (by its prefix, or `head`) and the mixer
    (`mixing`) are joined to what follows.
    """
    prefixes = [slot.removesuffix("size") for slot in parts if slot.endswith("size")]
    height = ROW * len(prefixes)
    middle = height / 2.0 + 4.0
    drawn = []
    mixing, outlet = parts.get("mixing"), parts["outlet"]
    mixed = isinstance(mixing, Mixing) and mixing.kind != "none"
    joined = 132.0
    for row, prefix in enumerate(prefixes):
        axis = ROW * row + 22.0
        drawn += _side(parts, prefix, axis, say)
        end = middle if mixed else axis
        drawn.append(_path(f"M124 {axis} H127 L129 {end} H{joined}", width=1.2))
        drawn.append(
            _label(
                134.0,
                axis + (5.5 if axis > middle else -4.0 if mixed else -7.0),
                15.0,
                joints[prefix or "head"],
            )
        )
    if mixed:
        assert isinstance(mixing, Mixing)
        drawn += _mixer(mixing, joined, middle, say)
        drawn.append(_label(162.0, middle - 7.5, 16.0, joints["mixing"]))
        joined = 158.0
    axis = middle if mixed else 22.0
    assert isinstance(outlet, Outlet)
    drawn += _tip(outlet, joined, axis, say)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {WIDTH:g} {height:g}" '
        f'font-family="Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif">{"".join(drawn)}</svg>'
    )


def _side(parts: Mapping[str, Part], prefix: str, axis: float, say: SheetWords) -> list[str]:
    """Drive, shaft seal, body under its feed, and the cavity of rotor and stator."""
    named = {
        slot: (say(f"slot_{slot}") + (f" {prefix[0]}" if prefix else ""), parts[prefix + slot].name)
        for slot in ("drive", "seal", "body", "feed", "rotor", "stator", "cavity", "size")
    }
    feed = parts[f"{prefix}feed"]
    assert isinstance(feed, Feed)
    turns = " ".join(
        f"L{76.0 + place / 2.0:g} {axis + 1.8 * math.sin(place * math.pi / 11.5):.2f}"
        for place in range(1, 93)
    )
    return [
        _box(1.0, axis - 6.0, 29.0, 12.0, _METAL),
        _path(f"M30 {axis} H76", width=1.0),
        _box(36.0, axis - 5.0, 10.0, 10.0, _LINING),
        _box(46.0, axis - 7.0, 28.0, 14.0, "#eeeeee"),
        _path(f"M46 {axis} H76", width=0.9),
        _box(48.0, axis - 19.0, 24.0, 8.0, "#ffffff"),
        _path(f"M60 {axis - 11.0} V{axis - 7.0}", width=1.2),
        _box(74.0, axis - 7.0, 50.0, 14.0, _LINING),
        _box(76.0, axis - 4.0, 46.0, 8.0, "#ffffff"),
        _path(f"M76 {axis} {turns}", width=2.4),
        _box(34.0, axis - 8.5, 91.5, 17.0, "none", dashed=True),
        _pair(15.5, axis + 9.8, 29.0, named["drive"]),
        _pair(41.0, axis + 11.3, 21.0, named["seal"]),
        _pair(62.0, axis + 11.3, 20.0, named["body"]),
        _pair(60.0, axis - 15.6, 23.0, named["feed"]),
        _pair(87.0, axis + 11.3, 25.0, named["rotor"]),
        _pair(113.0, axis + 11.3, 25.0, named["stator"]),
        _pair(88.0, axis - 13.0, 28.0, named["cavity"]),
        _pair(114.0, axis - 13.0, 22.0, named["size"]),
    ]


def _mixer(mixing: Mixing, left: float, axis: float, say: SheetWords) -> list[str]:
    """A tube of elements, or a chamber with a stirrer."""
    if mixing.kind == "static":
        steps = " ".join(
            f"L{left + 1.0 + place * 3.0:g} {axis + (2.6 if place % 2 else -2.6):g}"
            for place in range(1, 9)
        )
        inside = _path(f"M{left + 1.0:g} {axis - 2.6:g} {steps}", width=0.5)
    else:
        inside = (
            f'<circle cx="{left + 13.0:g}" cy="{axis:g}" r="4.5" fill="{_METAL}" stroke="{_INK}" '
            f'stroke-width="0.35"/>{_path(f"M{left + 13.0:g} {axis - 4.5:g} v9 M{left + 8.5:g} {axis:g} h9")}'
        )
    return [
        _box(left, axis - 6.0, 26.0, 12.0, "#ffffff"),
        inside,
        _pair(left + 13.0, axis + 9.8, 28.0, (say("slot_mixing"), mixing.name)),
    ]


def _tip(outlet: Outlet, left: float, axis: float, say: SheetWords) -> list[str]:
    """A cone, or a straight tube for a needle."""
    wide, narrow = (1.4, 1.0) if outlet.kind == "needle" else (3.6, 1.0)
    outline = (
        f"M{left:g} {axis - 4.0:g} h3 V{axis - wide:g} L{left + 21.0:g} {axis - narrow:g} "
        f"V{axis + narrow:g} L{left + 3.0:g} {axis + wide:g} V{axis + 4.0:g} h-3 Z"
    )
    return [
        _path(outline, fill=_METAL),
        _pair(left + 11.0, axis + 9.8, 23.0, (say("slot_outlet"), outlet.name)),
    ]


def _box(x: float, y: float, wide: float, high: float, fill: str, *, dashed: bool = False) -> str:
    dashes = ' stroke-dasharray="1.2 1"' if dashed else ""
    return (
        f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}" fill="{fill}" '
        f'stroke="{_INK}" stroke-width="0.35"{dashes}/>'
    )


def _path(line: str, *, width: float = 0.35, fill: str = "none") -> str:
    return f'<path d="{line}" fill="{fill}" stroke="{_INK}" stroke-width="{width:g}"/>'


def _pair(x: float, y: float, room: float, words: tuple[str, str]) -> str:
    """What it is, and below that its name."""
    return _label(x, y, room, words[0]) + _label(x, y + 3.0, room, words[1], bold=True)


def _label(x: float, y: float, room: float, text: str, *, bold: bool = False) -> str:
    """Letters around a middle, smaller where they would not fit into their room."""
    size = min(TEXT, room / (0.58 * max(len(text), 1)))
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:.2f}" text-anchor="middle" fill="{_INK}"{weight}>'
        f"{escape(text)}</text>"
    )
