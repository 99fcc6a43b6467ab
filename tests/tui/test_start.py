"""Starting: what is seen first needs no engine, and nothing is left switched off behind it."""

from __future__ import annotations

import gc
import subprocess
import sys
from pathlib import Path

from configurator.cli.main import run
from configurator.tui.app import HeadwrightApp

ROOT = Path(__file__).resolve().parents[2]

LOADED_LATE = (
    "numpy",
    "configurator.workshop.answering",
    "configurator.explain",
    "configurator.physics",
    "configurator.workshop.answer",
    "configurator.screen",
    "configurator.engine",
)

CODE = f"""
import sys
from configurator.tui.app import HeadwrightApp

seen = []

def painted(app, done=HeadwrightApp.begin):
    done(app)
    strips = app.screen._compositor.render_strips
    app.call_after_refresh(lambda: seen.append("\\n".join(strip.text for strip in strips())))
    seen.extend(name for name in sys.modules if name in {LOADED_LATE!r})
    app.call_after_refresh(app.exit)

HeadwrightApp.begin = painted
shown = HeadwrightApp.run
HeadwrightApp.run = lambda app, **_: shown(app, headless=True, size=(120, 36))
from configurator.cli.main import run
assert run(["tui", "lid-sealant", "lid-bead"]) == 0
(text,) = seen
assert "lid-sealant + lid-bead" in text, text
assert all(name in text for name in ("1 Duty", "2 Parts", "3 Why", "4 Heads", "~ solving")), text
"""


def test_the_first_paint_needs_neither_numpy_nor_the_engine():
    done = subprocess.run(
        [sys.executable, "-c", CODE], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_the_collector_works_again_once_the_screen_is_seen_and_after_it(monkeypatch):
    at_start = []

    def opened(app, **_):
        at_start.append(gc.isenabled())
        app._painted()
        at_start.append(gc.isenabled())

    monkeypatch.setattr(HeadwrightApp, "run", opened)
    try:
        assert run(["tui", "--fresh"]) == 0
        assert at_start == [False, True]
        assert run(["tui", "lid-sealant", "no-such-process"]) == 2
        assert gc.isenabled()
    finally:
        gc.unfreeze()
