"""Walks through a real terminal; skipped where there is no tmux."""

from __future__ import annotations

import shutil

import pytest
import real_terminal

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux")


def test_the_walk_shows_what_it_should_and_leaves():
    screens = dict(real_terminal.walk(80, 24))

    assert list(screens) == [name for name, _, _ in real_terminal.WALK]
    assert "[2 Parts]" in screens["picked"]
    assert "stator *" in screens["picked"]
    assert "--pick stator=" in " ".join(screens["command"].split())
    assert all(screen.isascii() for screen in screens.values())


def test_the_walk_through_results_shows_what_it_should_and_leaves():
    screens = dict(real_terminal.review_walk(80, 24))

    assert list(screens) == [name for name, _, _ in real_terminal.REVIEW_WALK]
    assert "x ruled out" in screens["ruled-out"]
    assert "Step mortar coarse" in screens["whole-row"]
    assert "step-mortar-coarse + lid-bead" in screens["opened"]
    assert all(screen.isascii() for screen in screens.values())
