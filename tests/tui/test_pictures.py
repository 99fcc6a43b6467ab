"""The pictures of the README: drawn by a script, alike each time, fetching nothing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

from pictures import FOLDER, screen_svg
from tui_worlds import asked

MOST = 300_000
"""Bytes of a picture that a page still opens quickly."""


def test_the_screen_is_drawn_alike_each_time_and_fetches_nothing(examples):
    first, second = (screen_svg(asked(examples, "plain", "flow"), (120, 36)) for _ in range(2))
    assert first == second
    for svg in (first, (FOLDER / "screen.svg").read_text(encoding="utf-8")):
        assert ET.fromstring(svg).tag.endswith("svg")
        assert not re.search(r"url\((?!#)|@import|@font-face|<script|<image", svg)


def test_pictures_are_there_and_small():
    assert {path.name for path in FOLDER.iterdir()} == {"screen.svg", "sheet.png"}
    assert all(path.stat().st_size < MOST for path in FOLDER.iterdir())
    assert (FOLDER / "sheet.png").read_bytes().startswith(b"\x89PNG")
